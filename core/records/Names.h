// SPDX-License-Identifier: GPL-3.0-or-later
// The words that stand for each enumerator in the project file, in CSV and on the command line.
//
//   nameOf(Stage::SignedOff)          // "signed off"
//   named<Stage>("signed off")        // Stage::SignedOff
//   allNames<Stage>()                 // "listed, scanned, pinned, traced, checked, signed off"
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>

#include "core/base/Text.h"
#include "core/records/Records.h"

namespace inkpeg {

/// The names of an enumeration in the order of its values.
template<typename Enum>
struct NamesOf;

template<>
struct NamesOf<Stage> {
    static constexpr std::array<std::string_view, 6> Names = {"listed", "scanned", "pinned",
                                                              "traced", "checked", "signed off"};
};
template<>
struct NamesOf<DrawingKind> {
    static constexpr std::array<std::string_view, 4> Names = {"plan", "section", "elevation", "profile"};
};
template<>
struct NamesOf<RelationKind> {
    static constexpr std::array<std::string_view, 8> Names = {"above", "below",     "cuts",    "cut by",
                                                              "fills", "filled by", "same as", "abuts"};
};
template<>
struct NamesOf<PinUse> {
    static constexpr std::array<std::string_view, 3> Names = {"fit", "check", "out"};
};
template<>
struct NamesOf<PegFrame> {
    static constexpr std::array<std::string_view, 2> Names = {"crs", "site"};
};
template<>
struct NamesOf<LineKind> {
    static constexpr std::array<std::string_view, 5> Names = {"break top", "break bottom", "section line",
                                                              "limit of excavation", "other"};
};
template<>
struct NamesOf<PointKind> {
    static constexpr std::array<std::string_view, 4> Names = {"find", "sample", "timber", "note"};
};
template<>
struct NamesOf<EdgeKind> {
    static constexpr std::array<std::string_view, 5> Names = {"certain", "uncertain", "truncated",
                                                              "limit of excavation", "beyond the sheet"};
};
/// As modelName in core/fit gives them; RecordsNamesTest holds the two together.
template<>
struct NamesOf<Model> {
    static constexpr std::array<std::string_view, 6> Names = {
        "similarity", "affine", "projective", "polynomial 2", "polynomial 3", "thin-plate spline"};
};

template<typename Enum>
concept Named = requires
{
    NamesOf<Enum>::Names;
};

template<Named Enum>
std::string nameOf(Enum value)
{
    return std::string(NamesOf<Enum>::Names[static_cast<std::size_t>(value)]);
}

/// The value with this name (case of ASCII letters and blanks at the ends are ignored), if there is one.
template<Named Enum>
std::optional<Enum> named(std::string_view name)
{
    const std::string wanted = lowerAscii(trimmed(name));
    for (std::size_t i = 0; i < NamesOf<Enum>::Names.size(); ++i)
        if (NamesOf<Enum>::Names[i] == wanted)
            return static_cast<Enum>(i);
    return std::nullopt;
}

/// Every name, with commas between: for messages.
template<Named Enum>
std::string allNames()
{
    std::string text;
    for (const std::string_view name : NamesOf<Enum>::Names)
        text.append(text.empty() ? "" : ", ").append(name);
    return text;
}

} // namespace inkpeg
