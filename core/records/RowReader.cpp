// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/records/RowReader.h"

#include <algorithm>

namespace inkpeg {

namespace {

std::vector<Ring*> ringsOf(std::vector<Part>& parts)
{
    std::vector<Ring*> rings;
    for (Part& part : parts) {
        rings.push_back(&part.outer);
        for (Ring& hole : part.holes)
            rings.push_back(&hole);
    }
    return rings;
}

std::vector<std::string_view> splitAt(std::string_view text, char mark)
{
    std::vector<std::string_view> pieces;
    for (std::size_t from = 0; from <= text.size();) {
        const std::size_t to = std::min(text.find(mark, from), text.size());
        pieces.push_back(trimmed(text.substr(from, to - from)));
        from = to + 1;
    }
    return pieces;
}

} // namespace

std::optional<std::string> readEdgeKinds(const std::string& text, std::vector<Part>& parts)
{
    const std::vector<Ring*> rings = ringsOf(parts);
    if (rings.empty() && trimmed(text).empty())
        return std::nullopt;
    const std::vector<std::string_view> perRing = splitAt(text, ';');
    if (perRing.size() != rings.size())
        return "tells " + std::to_string(perRing.size()) + " rings, the geometry has " +
               std::to_string(rings.size());
    for (std::size_t r = 0; r < rings.size(); ++r) {
        std::vector<EdgeKind> kinds;
        for (const std::string_view run : splitAt(perRing[r], ',')) {
            const std::size_t blank = std::min(run.find(' '), run.size());
            const auto count = parseWhole(run.substr(0, blank));
            const auto kind = named<EdgeKind>(run.substr(blank));
            if (!count || !kind || *count < 1 || *count > static_cast<long long>(rings[r]->vertices.size()))
                return "\"" + std::string(run) + "\" is no run such as \"12 certain\"";
            kinds.insert(kinds.end(), static_cast<std::size_t>(*count), *kind);
        }
        if (kinds.size() != rings[r]->vertices.size())
            return "ring " + std::to_string(r + 1) + " has " + std::to_string(rings[r]->vertices.size()) +
                   " edges, but " + std::to_string(kinds.size()) + " kinds";
        rings[r]->kinds = std::move(kinds);
    }
    return std::nullopt;
}

} // namespace inkpeg
