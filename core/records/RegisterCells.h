// SPDX-License-Identifier: GPL-3.0-or-later
// Kinds of cells: text, number, date, name of an enumeration, polygon; each reads, refuses in words, and
// writes. Included by RegisterFields.cpp only.
#pragma once

#include "core/base/Text.h"
#include "core/records/Names.h"
#include "core/records/Numbers.h"
#include "core/records/PolygonText.h"
#include "core/records/RegisterFields.h"

namespace inkpeg {

using Problem = std::optional<std::string>;

/// What a number may be, with the words for it.
struct NumberRange {
    double least;
    double most;
    const char* words;
};
inline constexpr NumberRange AnyMetres{-1e8, 1e8, "metres, such as 52.31"};
inline constexpr NumberRange NoNegativeMetres{0, 1e5, "metres, nought or more, such as 0.02"};
inline constexpr NumberRange Pixels{-1e6, 1e6, "pixels of the scan, such as 1024.5"};
inline constexpr NumberRange Dpi{10, 100'000, "pixels per inch, such as 400"};
inline constexpr NumberRange Exaggeration{0.1, 100, "a factor from 0.1 to 100, such as 2"};
inline constexpr NumberRange Reading{-100, 100, "metres on the staff with a point, such as 1.216"};
inline constexpr NumberRange Lean{0, 180, "degrees from the vertical, 0 to 180"};
inline constexpr NumberRange Bearing{0, 360, "degrees clockwise from grid north, 0 to 360"};

/// The number in a cell, if it is one within `range`.
std::optional<double> numberIn(const Cell& cell, const NumberRange& range);

/// True for YYYY-MM-DD, YYYY-MM or YYYY of the calendar (ISO 8601-1:2019, 5.2.2).
bool isIsoDate(std::string_view text);

/// True for one of the sixteen points of the compass: N, NNE, NE, ...
bool isCompassPoint(std::string_view text);

/// The denominator of "20" or "1:20".
std::optional<double> scaleIn(const Cell& cell);

/// "yes", "no" and their kin.
std::optional<bool> truthIn(const Cell& cell);

inline Problem notA(const Cell& cell, const std::string& right)
{
    return "\"" + cell.text + "\" is not " + right;
}

/// Builds fields from members of a record within a line: `inner` leads from the line to the record.
template<typename Line, typename Inner>
class FieldMaker {
public:
    using Record = std::remove_cvref_t<std::invoke_result_t<Inner, Line&>>;
    using Field = RegisterField<Line>;

    explicit FieldMaker(Inner inner) : m_inner(inner) {}

    Field text(RegisterColumn column, std::string Record::*member) const
    {
        return {std::move(column),
                [inner = m_inner, member](Line& line, const Cell& cell) -> Problem {
                    inner(line).*member = cell.text;
                    return std::nullopt;
                },
                [inner = m_inner, member](const Line& line) { return inner(line).*member; }};
    }

    /// A number that may be written in the brackets of the trade.
    Field plain(RegisterColumn column, std::string Record::*member) const
    {
        return {std::move(column),
                [inner = m_inner, member](Line& line, const Cell& cell) -> Problem {
                    inner(line).*member = plainNumber(cell.text);
                    return std::nullopt;
                },
                [inner = m_inner, member](const Line& line) { return inner(line).*member; }};
    }

    Field checked(RegisterColumn column, std::string Record::*member, bool (*good)(std::string_view)) const
    {
        const std::string right = column.words;
        return {std::move(column),
                [inner = m_inner, member, good, right](Line& line, const Cell& cell) -> Problem {
                    if (!good(cell.text))
                        return notA(cell, right);
                    inner(line).*member = cell.text;
                    return std::nullopt;
                },
                [inner = m_inner, member](const Line& line) { return inner(line).*member; }};
    }

    template<typename Number> // double or std::optional<double>
    Field number(RegisterColumn column, Number Record::*member, NumberRange range) const
    {
        return {std::move(column),
                [inner = m_inner, member, range](Line& line, const Cell& cell) -> Problem {
                    const auto value = numberIn(cell, range);
                    if (!value)
                        return notA(cell, range.words);
                    inner(line).*member = *value;
                    return std::nullopt;
                },
                [inner = m_inner, member](const Line& line) {
                    const std::optional<double> value = inner(line).*member;
                    return value ? exact(*value) : std::string();
                }};
    }

    template<Named Enum>
    Field name(RegisterColumn column, Enum Record::*member) const
    {
        return {std::move(column),
                [inner = m_inner, member](Line& line, const Cell& cell) -> Problem {
                    const auto value = named<Enum>(cell.text);
                    if (!value)
                        return "\"" + cell.text + "\" is none of " + allNames<Enum>();
                    inner(line).*member = *value;
                    return std::nullopt;
                },
                [inner = m_inner, member](const Line& line) { return nameOf(inner(line).*member); }};
    }

    /// East or north of a place that may be missing; the other stays not-a-number until its cell comes.
    Field ordinate(RegisterColumn column, std::optional<GroundM> Record::*member,
                   double GroundM::*which) const
    {
        return {std::move(column),
                [inner = m_inner, member, which](Line& line, const Cell& cell) -> Problem {
                    const auto value = numberIn(cell, AnyMetres);
                    if (!value)
                        return notA(cell, AnyMetres.words);
                    std::optional<GroundM>& place = inner(line).*member;
                    if (!place)
                        place = GroundM{std::nan(""), std::nan("")};
                    (*place).*which = *value;
                    return std::nullopt;
                },
                [inner = m_inner, member, which](const Line& line) {
                    const std::optional<GroundM>& place = inner(line).*member;
                    return place ? exact((*place).*which) : std::string();
                }};
    }

    template<typename Position>
    Field polygon(RegisterColumn column, std::vector<Position> Record::*member, double Position::*x,
                  double Position::*y) const
    {
        return {std::move(column),
                [inner = m_inner, member, x, y](Line& line, const Cell& cell) -> Problem {
                    const Result<std::vector<Coordinate>> ring = parsePolygonText(cell.text);
                    if (!ring)
                        return ring.error().message;
                    auto& corners = inner(line).*member;
                    corners.clear();
                    for (const Coordinate& corner : *ring) {
                        Position& position = corners.emplace_back();
                        position.*x = corner.x;
                        position.*y = corner.y;
                    }
                    return std::nullopt;
                },
                [inner = m_inner, member, x, y](const Line& line) {
                    std::vector<Coordinate> ring;
                    for (const Position& position : inner(line).*member)
                        ring.push_back({position.*x, position.*y});
                    return polygonText(ring);
                }};
    }

private:
    Inner m_inner;
};

} // namespace inkpeg
