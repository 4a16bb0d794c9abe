// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/outline/OutlineActs.h"

#include <algorithm>

#include "core/outline/Area.h"
#include "core/outline/GeosShape.h"
#include "core/outline/Overlay.h"
#include "core/outline/RingVisits.h"
#include "core/outline/Validity.h"

namespace inkpeg {
namespace {

Error refused(std::string words)
{
    return {ErrorCode::BadInput, std::move(words)};
}

bool sharesEdge(std::span<const Part> a, std::span<const Part> b)
{
    const GeosSession geos;
    const GeosGeometry first = geosOf(geos, a), second = geosOf(geos, b);
    // Boundaries that meet along a line.
    return first && second &&
           GEOSRelatePattern_r(geos.handle(), first.get(), second.get(), "****1****") == 1;
}

bool isWithin(std::span<const Part> inner, std::span<const Part> outer)
{
    const GeosSession geos;
    const GeosGeometry first = geosOf(geos, inner), second = geosOf(geos, outer);
    return first && second && GEOSCoveredBy_r(geos.handle(), first.get(), second.get()) == 1;
}

/// The union where the areas meet in more than points, else side by side.
Result<std::vector<Part>> joined(const std::vector<Part>& parts, std::span<const Part> more)
{
    if (overlaps(parts, more) || sharesEdge(parts, more))
        return overlay(parts, more, Overlay::Union);
    std::vector<Part> all = parts;
    all.insert(all.end(), more.begin(), more.end());
    return all;
}

/// Index of the part whose outer ring holds `at`, if any.
std::optional<std::size_t> partAbout(std::span<const Part> parts, ScanPx at)
{
    for (std::size_t i = 0; i < parts.size(); ++i) {
        const Part filled{parts[i].outer, {}};
        if (contains(std::span(&filled, 1), at))
            return i;
    }
    return std::nullopt;
}

struct Division {
    std::vector<Part> kept, rest;
};

/// The part that the line divides, in its largest piece and the others.
Result<Division> divide(const DrawnOutline& outline, std::span<const ScanPx> line, EdgeKind cutKind)
{
    Division division;
    for (const Part& part : outline.parts) {
        Result<std::vector<std::vector<Part>>> pieces = piecesAlong(std::span(&part, 1), line, cutKind);
        if (!pieces)
            return pieces.error();
        if (pieces->size() < 2) {
            division.kept.push_back(part);
            continue;
        }
        const auto largest = std::ranges::max_element(
            *pieces, {}, [](const std::vector<Part>& piece) { return areaPx2(piece); });
        for (auto piece = pieces->begin(); piece != pieces->end(); ++piece) {
            std::vector<Part>& side = piece == largest ? division.kept : division.rest;
            side.insert(side.end(), piece->begin(), piece->end());
        }
    }
    if (division.rest.empty())
        return refused("the line does not divide context " + outline.context +
                       "; draw it from one edge of the outline across to another");
    return division;
}

} // namespace

Result<void> addParts(DrawnOutlines& outlines, const std::string& context, std::span<const Part> parts)
{
    if (const Result<void> sound = checkParts(parts); !sound)
        return Error{sound.error().code, "context " + context + ": " + sound.error().message};
    return editOutlines(outlines, [&](DrawnOutlines& all) -> Result<void> {
        const auto there = std::ranges::find(all, context, &DrawnOutline::context);
        if (there == all.end()) {
            all.push_back({0, context, {parts.begin(), parts.end()}});
            return {};
        }
        Result<std::vector<Part>> both = joined(there->parts, parts);
        if (!both)
            return both.error();
        there->parts = std::move(*both);
        return {};
    });
}

Result<void> cutOut(DrawnOutlines& outlines, std::size_t newer, std::size_t older)
{
    const std::string what =
        "context " + outlines[newer].context + " out of context " + outlines[older].context;
    if (newer == older || !overlaps(outlines[newer].parts, outlines[older].parts))
        return refused("cannot cut " + what + ": they do not overlap");
    return editOutlines(outlines, [&](DrawnOutlines& all) -> Result<void> {
        Result<std::vector<Part>> left = overlay(all[older].parts, all[newer].parts, Overlay::Difference);
        if (!left)
            return left.error();
        if (left->empty())
            return refused("cutting " + what + " would leave nothing of it; delete its outline instead");
        all[older].parts = std::move(*left);
        return {};
    });
}

Result<void> splitOutline(DrawnOutlines& outlines, std::size_t index, std::span<const ScanPx> line,
                          const std::string& context, EdgeKind cutKind)
{
    if (line.size() < 2)
        return refused("a line that divides an outline needs 2 vertices or more");
    Result<Division> division = divide(outlines[index], line, cutKind);
    if (!division)
        return division.error();
    if (context == outlines[index].context)
        return refused("the second piece needs a record number of its own; context " + context +
                       " keeps the larger piece");
    return editOutlines(outlines, [&](DrawnOutlines& all) -> Result<void> {
        all[index].parts = division->kept;
        const auto there = std::ranges::find(all, context, &DrawnOutline::context);
        if (there == all.end()) {
            all.push_back({0, context, division->rest});
            return {};
        }
        Result<std::vector<Part>> both = joined(there->parts, division->rest);
        if (!both)
            return both.error();
        there->parts = std::move(*both);
        return {};
    });
}

Result<void> mergeOutlines(DrawnOutlines& outlines, std::size_t kept, std::size_t other)
{
    if (kept == other)
        return refused("context " + outlines[kept].context + " cannot be merged with itself");
    return editOutlines(outlines, [&](DrawnOutlines& all) -> Result<void> {
        Result<std::vector<Part>> both = joined(all[kept].parts, all[other].parts);
        if (!both)
            return both.error();
        all[kept].parts = std::move(*both);
        all.erase(all.begin() + static_cast<std::ptrdiff_t>(other));
        return {};
    });
}

Result<void> addHole(DrawnOutlines& outlines, std::size_t index, const Ring& ring)
{
    const std::vector<Part> hole{{ring, {}}};
    const std::string& context = outlines[index].context;
    if (const Result<void> sound = checkParts(hole); !sound)
        return Error{sound.error().code, "the hole: " + sound.error().message};
    if (!isWithin(hole, outlines[index].parts))
        return refused("the hole reaches beyond the outline of context " + context +
                       "; keep all of it inside");
    return editOutlines(outlines, [&](DrawnOutlines& all) -> Result<void> {
        Result<std::vector<Part>> left = overlay(all[index].parts, hole, Overlay::Difference);
        if (!left)
            return left.error();
        if (left->empty())
            return refused("the hole takes all of context " + context + "; delete its outline instead");
        all[index].parts = std::move(*left);
        return {};
    });
}

Result<void> removeHole(DrawnOutlines& outlines, std::size_t index, ScanPx at)
{
    return editOutlines(outlines, [&](DrawnOutlines& all) -> Result<void> {
        for (Part& part : all[index].parts)
            for (auto hole = part.holes.begin(); hole != part.holes.end(); ++hole) {
                const Part filled{*hole, {}};
                if (!contains(std::span(&filled, 1), at))
                    continue;
                part.holes.erase(hole);
                return {};
            }
        return refused("context " + all[index].context + " has no hole there");
    });
}

Result<void> removePart(DrawnOutlines& outlines, std::size_t index, ScanPx at)
{
    return editOutlines(outlines, [&](DrawnOutlines& all) -> Result<void> {
        const std::optional<std::size_t> part = partAbout(all[index].parts, at);
        if (!part)
            return refused("context " + all[index].context + " has no part there");
        all[index].parts.erase(all[index].parts.begin() + static_cast<std::ptrdiff_t>(*part));
        return {};
    });
}

} // namespace inkpeg
