// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/checks/PlanAgainstSection.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "core/checks/ContextInPlan.h"
#include "core/checks/Evidence.h"
#include "core/checks/SectionEdges.h"

namespace inkpeg {

namespace {

/// Levels are written to the centimetre: the standard deviation of a uniform distribution one wide.
const double WrittenErrorM = 0.01 / std::sqrt(12.0);

class Comparison {
public:
    Comparison(const ProjectRecords& records, const CompareSettings& settings)
        : m_records(records), m_settings(settings)
    {
        for (const Drawing& drawing : records.drawings)
            if (const auto place = records.places.find(drawing.id);
                drawing.kind == DrawingKind::Plan && place != records.places.end() && fits(place->second))
                m_plans.emplace(drawing.id, &drawing);
    }

    PlanAgainstSection run()
    {
        for (const SectionFace& face : sectionFaces(m_records)) {
            ++m_found.sections;
            compareEdgesOf(face);
            compareLevels(face);
            comparePlaced(face);
        }
        return std::move(m_found);
    }

private:
    void compareEdgesOf(const SectionFace& face)
    {
        for (const OutlineOnGround& ground : m_records.groundOutlines) {
            const Outline& outline = m_records.outlines[ground.outline];
            const auto plan = m_plans.find(outline.drawing);
            if (plan != m_plans.end() && face.shows(outline.context))
                compareEdges(m_records, ground, *plan->second, face, m_settings.sameEdgeM, m_found.edges);
        }
    }

    struct FaceLevel {
        double levelM = 0;
        bool base = false;
        double errorM = 0;
    };

    /// The line of the face that a level of the context belongs to: its top; of a cut its top or base,
    /// whichever lies nearer; of no context the surface.
    static std::optional<FaceLevel> faceLevel(const SectionFace& face, const std::string& context,
                                              double alongM, double writtenM)
    {
        std::optional<FaceLevel> best;
        const auto offer = [&](double levelM, bool base, double errorM) {
            if (!best || std::abs(levelM - writtenM) < std::abs(best->levelM - writtenM))
                best = FaceLevel{levelM, base, errorM};
        };
        for (const FaceArea& area : face.areas()) {
            if (area.context != context)
                continue;
            for (const FaceSpan& span : SectionFace::spans(area, alongM)) {
                offer(span.topM, false, area.errorM);
                if (area.isCut)
                    offer(span.bottomM, true, area.errorM);
            }
        }
        if (!best && context.empty())
            if (const auto surface = face.surfaceM(alongM))
                offer(*surface, false, face.areas().front().errorM);
        return best;
    }

    void compareLevels(const SectionFace& face)
    {
        constexpr double SlopeStepM = 0.05;
        for (const LevelOnGround& level : m_records.groundLevels) {
            const SpotLevel& spot = m_records.spotLevels[level.spotLevel];
            const auto plan = m_plans.find(spot.drawing);
            if (plan == m_plans.end())
                continue;
            const SectionFoot foot = face.frame().footOf(level.position);
            if (std::abs(foot.offsetM) > m_settings.reachM)
                continue;
            const std::string context = spot.context.empty()
                                            ? contextInPlan(m_records, spot.drawing, level.position)
                                            : spot.context;
            const auto here = faceLevel(face, context, foot.alongM, spot.levelM);
            if (!here)
                continue;
            // The face may slope: the place's own error, and its distance from the face, become level.
            double slope = 0;
            for (const double step : {-SlopeStepM, SlopeStepM})
                if (const auto beside = faceLevel(face, context, foot.alongM + step, here->levelM))
                    slope = std::max(slope, std::abs(beside->levelM - here->levelM) / SlopeStepM);
            const double placeM =
                std::hypot(level.covariance.standardErrorM(), std::abs(foot.offsetM) / MisfitSigmas);
            m_found.levels.push_back({context, plan->second->number, face.drawing().number,
                                      face.drawing().id, foot.alongM, foot.offsetM, spot.levelM,
                                      here->levelM, here->base, std::hypot(WrittenErrorM, slope * placeM),
                                      here->errorM, level.position});
        }
    }

    void comparePlaced(const SectionFace& face)
    {
        for (const Placed& placed : placedOf(m_records)) {
            if (!placed.position || !placed.levelM)
                continue;
            const SectionFoot foot = face.frame().footOf(*placed.position);
            if (std::abs(foot.offsetM) > m_settings.reachM || foot.alongM < 0 ||
                foot.alongM > face.frame().lengthM())
                continue;
            PlacedOnFace found;
            found.kind = placed.kind;
            found.number = placed.number;
            found.context = placed.context;
            found.section = face.drawing().number;
            found.sectionId = face.drawing().id;
            found.alongM = foot.alongM;
            found.offsetM = foot.offsetM;
            found.levelM = *placed.levelM;
            found.ground = *placed.position;
            if (const auto surface = face.surfaceM(foot.alongM))
                found.depthM = *surface - *placed.levelM;
            const FaceArea* shown = face.at(foot.alongM, *placed.levelM);
            found.shown = shown ? shown->context : std::string();
            found.errorM =
                std::hypot(placed.standardErrorM, shown ? shown->errorM : face.areas().front().errorM);
            const auto away = face.distanceTo(found.context, foot.alongM, *placed.levelM);
            found.awayM = away.value_or(0);
            // What lies off the face may lie in another context than the face shows: the edge's course
            // between is not known, so the offset counts as one sigma.
            const double allowedM = MisfitSigmas * std::hypot(found.errorM, std::abs(foot.offsetM));
            found.verdict = !away               ? FaceVerdict::NotShown
                            : *away == 0        ? FaceVerdict::Agrees
                            : *away <= allowedM ? FaceVerdict::NearEdge
                                                : FaceVerdict::Elsewhere;
            m_found.placed.push_back(std::move(found));
        }
    }

    const ProjectRecords& m_records;
    CompareSettings m_settings;
    std::map<std::int64_t, const Drawing*> m_plans;
    PlanAgainstSection m_found;
};

} // namespace

PlanAgainstSection comparePlansAndSections(const ProjectRecords& records, const CompareSettings& settings)
{
    return Comparison(records, settings).run();
}

} // namespace inkpeg
