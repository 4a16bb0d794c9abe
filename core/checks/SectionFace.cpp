// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/checks/SectionFace.h"

#include <algorithm>
#include <cmath>
#include <set>

#include "core/checks/PlaneGeometry.h"

namespace inkpeg {

namespace {

double areaOf(const RingOnGround& ring)
{
    double twice = 0;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const GroundM a = ring[i], b = ring[(i + 1) % ring.size()];
        twice += (a.east - ring[0].east) * (b.north - ring[0].north) -
                 (b.east - ring[0].east) * (a.north - ring[0].north);
    }
    return std::abs(twice) / 2;
}

/// Levels at which a ring crosses the vertical at `alongM`; a vertex on it counts once for each side.
void addCrossings(const RingOnGround& ring, double alongM, std::vector<double>& levels)
{
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const GroundM a = ring[i], b = ring[(i + 1) % ring.size()];
        if ((a.east <= alongM) == (b.east <= alongM))
            continue;
        levels.push_back(a.north + (alongM - a.east) / (b.east - a.east) * (b.north - a.north));
    }
}

} // namespace

SectionFace::SectionFace(const ProjectRecords& records, const Drawing& drawing)
    : m_drawing(&drawing), m_frame(&*records.places.at(drawing.id).section)
{
    std::set<std::string> cuts;
    for (const Context& context : records.contexts)
        if (context.kind == "cut")
            cuts.insert(context.number);
    for (const OutlineOnGround& ground : records.groundOutlines) {
        const Outline& outline = records.outlines[ground.outline];
        if (outline.drawing != drawing.id)
            continue;
        for (std::size_t p = 0; p < ground.parts.size() && p < outline.parts.size(); ++p)
            m_areas.push_back({outline.context, cuts.contains(outline.context), &ground.parts[p],
                               &outline.parts[p], ground.covariance.standardErrorM(),
                               areaOf(ground.parts[p].outer)});
    }
}

bool SectionFace::shows(const std::string& context) const
{
    return std::any_of(m_areas.begin(), m_areas.end(),
                       [&](const FaceArea& area) { return area.context == context; });
}

std::vector<FaceSpan> SectionFace::spans(const FaceArea& area, double alongM)
{
    std::vector<double> levels;
    addCrossings(area.part->outer, alongM, levels);
    for (const RingOnGround& hole : area.part->holes)
        addCrossings(hole, alongM, levels);
    std::sort(levels.rbegin(), levels.rend());
    std::vector<FaceSpan> spans;
    for (std::size_t i = 0; i + 1 < levels.size(); i += 2)
        spans.push_back({levels[i], levels[i + 1]});
    return spans;
}

std::optional<double> SectionFace::surfaceM(double alongM) const
{
    std::optional<double> surface;
    for (const FaceArea& area : m_areas)
        for (const FaceSpan& span : spans(area, alongM))
            surface = surface ? std::max(*surface, span.topM) : span.topM;
    return surface;
}

const FaceArea* SectionFace::at(double alongM, double levelM) const
{
    const FaceArea* best = nullptr;
    for (const FaceArea& area : m_areas) {
        if (sideOf(GroundM{alongM, levelM}, *area.part) == Side::Outside)
            continue;
        const bool better = best == nullptr || (best->isCut && !area.isCut) ||
                            (best->isCut == area.isCut && area.areaM2 < best->areaM2);
        if (better)
            best = &area;
    }
    return best;
}

std::optional<double> SectionFace::distanceTo(const std::string& context, double alongM,
                                              double levelM) const
{
    std::optional<double> least;
    for (const FaceArea& area : m_areas) {
        if (area.context != context)
            continue;
        const GroundM place{alongM, levelM};
        const double away =
            sideOf(place, *area.part) == Side::Outside ? distanceToEdge(place, *area.part) : 0.0;
        least = least ? std::min(*least, away) : away;
    }
    return least;
}

std::vector<SectionFace> sectionFaces(const ProjectRecords& records)
{
    std::vector<SectionFace> faces;
    for (const Drawing& drawing : records.drawings) {
        const auto place = records.places.find(drawing.id);
        if (!showsLevels(drawing.kind) || place == records.places.end() || !place->second.section ||
            !fits(place->second))
            continue;
        SectionFace face(records, drawing);
        if (!face.areas().empty())
            faces.push_back(std::move(face));
    }
    return faces;
}

} // namespace inkpeg
