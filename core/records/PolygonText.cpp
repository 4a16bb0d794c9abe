// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/records/PolygonText.h"

#include <cmath>

#include "core/base/Text.h"

namespace inkpeg {

namespace {

Error refuse(std::string_view text, const std::string& what)
{
    const std::string shown(text.substr(0, 60));
    return {ErrorCode::BadInput, "\"" + shown + (text.size() > shown.size() ? "...\" " : "\" ") + what +
                                     "; right would be POLYGON ((0 0, 10 0, 10 5, 0 0))"};
}

double signedArea(const std::vector<Coordinate>& ring)
{
    double twice = 0;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const Coordinate& a = ring[i];
        const Coordinate& b = ring[(i + 1) % ring.size()];
        // Relative to the first corner: large ground coordinates would lose digits.
        twice += (a.x - ring[0].x) * (b.y - ring[0].y) - (b.x - ring[0].x) * (a.y - ring[0].y);
    }
    return twice / 2;
}

/// What stands within "POLYGON ((" and "))", or nothing.
std::optional<std::string_view> insideOf(std::string_view text)
{
    constexpr std::string_view Word = "polygon";
    text = trimmed(text);
    if (lowerAscii(text.substr(0, Word.size())) != Word)
        return std::nullopt;
    text = trimmed(text.substr(Word.size()));
    for (int depth = 0; depth < 2; ++depth) {
        if (!text.starts_with('(') || !text.ends_with(')') || text.size() < 2)
            return std::nullopt;
        text = trimmed(text.substr(1, text.size() - 2));
    }
    return text;
}

} // namespace

Result<std::vector<Coordinate>> parsePolygonText(std::string_view text)
{
    const std::optional<std::string_view> inside = insideOf(text);
    if (!inside)
        return refuse(text, "is no polygon as well-known text");
    if (inside->find_first_of("()") != std::string_view::npos)
        return refuse(text, "has more than one ring");
    std::vector<Coordinate> ring;
    for (std::size_t from = 0; from <= inside->size();) {
        const std::size_t to = std::min(inside->find(',', from), inside->size());
        const std::string_view pair = trimmed(inside->substr(from, to - from));
        const std::size_t blank = pair.find_first_of(" \t");
        const auto x = parseNumber(pair.substr(0, blank));
        const auto y = blank == std::string_view::npos ? std::nullopt : parseNumber(pair.substr(blank));
        if (!x || !y)
            return refuse(text, "has \"" + std::string(pair) + "\" where x and y belong");
        ring.push_back({*x, *y});
        from = to + 1;
    }
    if (ring.size() < 4 || ring.front() != ring.back())
        return refuse(text,
                      ring.size() < 4 ? "has fewer than three corners" : "does not end where it began");
    ring.pop_back();
    if (!(std::abs(signedArea(ring)) > 0))
        return refuse(text, "has no area");
    return ring;
}

std::string polygonText(const std::vector<Coordinate>& corners)
{
    if (corners.empty())
        return {};
    std::string text = "POLYGON ((";
    for (const Coordinate& corner : corners)
        text += exact(corner.x) + " " + exact(corner.y) + ", ";
    return text + exact(corners[0].x) + " " + exact(corners[0].y) + "))";
}

} // namespace inkpeg
