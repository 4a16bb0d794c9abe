// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/SpaceScene.h"

#include <algorithm>
#include <iterator>
#include <map>
#include <set>

#include "core/checks/UprightTimbers.h"
#include "core/handover/GroundOutlines.h"
#include "core/handover/SpaceLayers.h"
#include "core/store/DrawingFit.h"

namespace inkpeg {

namespace {

constexpr double ChordMm = 0.2; // for looking at, not for measuring

std::optional<double> mean(const std::vector<double>& values)
{
    if (values.empty())
        return std::nullopt;
    double sum = 0;
    for (const double value : values)
        sum += value;
    return sum / static_cast<double>(values.size());
}

class SceneMaker {
public:
    explicit SceneMaker(const Project& project) : m_project(project)
    {
        for (const Context& context : project.all<Context>())
            if (context.topM)
                m_topOf[context.number] = *context.topM;
        std::vector<double> levels;
        for (const Peg& peg : project.all<Peg>())
            if (peg.levelM) {
                m_levelOfPeg[peg.name] = *peg.levelM;
                levels.push_back(*peg.levelM);
            }
        m_levelOfAll = mean(levels).value_or(0);
    }

    SpaceScene make()
    {
        for (const Drawing& drawing : m_project.all<Drawing>()) {
            const std::vector<Outline> outlines = m_project.ofDrawing<Outline>(drawing.id);
            const bool upright = isUpright(drawing.kind);
            if (outlines.empty() && !upright)
                continue;
            const Result<DrawingGround> ground = groundOfDrawing(m_project, drawing);
            if (!ground) {
                if (!outlines.empty())
                    m_scene.remarks.push_back(ground.error().message);
            } else if (upright) {
                addSection(drawing, *ground, outlines);
            } else {
                addPlan(drawing, *ground, outlines);
            }
        }
        addPosts();
        addTrenches();
        return std::move(m_scene);
    }

private:
    void addSection(const Drawing& drawing, const DrawingGround& ground,
                    const std::vector<Outline>& outlines)
    {
        const PositionErrors noErrors(ground, {}, 0);
        for (const Outline& outline : outlines) {
            Result<std::vector<SpaceRings>> polygons = ringsInSpace(outline, ground, noErrors, ChordMm);
            if (!polygons) {
                m_scene.remarks.push_back("section " + drawing.number + ": " + polygons.error().message);
                continue;
            }
            for (SpaceRings& rings : *polygons)
                m_scene.faces.push_back({SpaceFaceKind::Section, outline.context, drawing.number,
                                         std::move(rings), drawing.trench});
        }
        const SectionFrame& frame = *ground.section;
        m_scene.traces.push_back(
            {drawing.number,
             frame.toSpace(
                 std::vector<SectionPoint>{{0, frame.datumM()}, {frame.lengthM(), frame.datumM()}}, false),
             frame.facingRad(), drawing.trench});
    }

    /// At its context's own level, or else at one that stands for the whole drawing.
    double levelOf(const Outline& outline, const std::vector<SpotLevel>& spots, double levelOfDrawing) const
    {
        if (const auto top = m_topOf.find(outline.context); top != m_topOf.end())
            return top->second;
        std::vector<double> own;
        for (const SpotLevel& spot : spots)
            if (spot.context == outline.context)
                own.push_back(spot.levelM);
        return mean(own).value_or(levelOfDrawing);
    }

    void addPlan(const Drawing& drawing, const DrawingGround& ground, const std::vector<Outline>& outlines)
    {
        const std::vector<SpotLevel> spots = m_project.ofDrawing<SpotLevel>(drawing.id);
        std::vector<double> written, ofPegs;
        for (const SpotLevel& spot : spots)
            written.push_back(spot.levelM);
        for (const Pin& pin : m_project.ofDrawing<Pin>(drawing.id))
            if (const auto level = m_levelOfPeg.find(pin.peg); level != m_levelOfPeg.end())
                ofPegs.push_back(level->second);
        const double levelOfDrawing =
            written.empty() ? mean(ofPegs).value_or(m_levelOfAll) : mean(written).value_or(0);
        int borrowed = 0;
        const PositionErrors noErrors(ground, {}, 0);
        for (const Outline& outline : outlines) {
            const double levelM = levelOf(outline, spots, levelOfDrawing);
            borrowed += m_topOf.contains(outline.context) ? 0 : 1;
            for (const VertexPart& part : partsOnGround(outline.parts, ground, noErrors, ChordMm)) {
                SpaceFace face{
                    SpaceFaceKind::Plan, outline.context, drawing.number, {lifted(part.outer, levelM)}};
                for (const VertexRing& hole : part.holes)
                    face.rings.push_back(lifted(hole, levelM));
                face.trench = drawing.trench;
                m_scene.faces.push_back(std::move(face));
            }
        }
        if (borrowed > 0)
            m_scene.remarks.push_back(
                "plan " + drawing.number + ": " + std::to_string(borrowed) +
                " outlines lie at a level of the drawing, for their contexts have none");
    }

    static std::vector<SpacePoint> lifted(const VertexRing& ring, double levelM)
    {
        std::vector<SpacePoint> places;
        for (const GroundVertex& vertex : ring)
            places.push_back({vertex.at.east, vertex.at.north, levelM});
        return places;
    }

    /// Two faces square to each other through the axis: enough to see how a post stands.
    void addPosts()
    {
        for (const Timber& timber : m_project.all<Timber>()) {
            const Result<UprightTimber> post = standing(timber);
            if (!post)
                continue; // no levels: nothing stands
            const double half = std::max(post->diameterM, 0.04) / 2;
            for (const auto& [east, north] : {std::pair{half, 0.0}, {0.0, half}})
                m_scene.faces.push_back(
                    {SpaceFaceKind::Post,
                     timber.number,
                     {},
                     {{{post->bottom.eastM - east, post->bottom.northM - north, post->bottom.levelM},
                       {post->bottom.eastM + east, post->bottom.northM + north, post->bottom.levelM},
                       {post->top.eastM + east, post->top.northM + north, post->top.levelM},
                       {post->top.eastM - east, post->top.northM - north, post->top.levelM}}},
                     timber.trench});
        }
    }

    void addTrenches()
    {
        for (const Trench& trench : m_project.all<Trench>()) {
            if (trench.limit.size() < 3)
                continue;
            std::vector<SpacePoint> ring;
            for (const GroundM corner : trench.limit)
                ring.push_back({corner.east, corner.north, m_levelOfAll});
            m_scene.faces.push_back(
                {SpaceFaceKind::Trench, trench.name, {}, {std::move(ring)}, trench.name});
        }
    }

    const Project& m_project;
    std::map<std::string, double> m_topOf, m_levelOfPeg;
    double m_levelOfAll = 0;
    SpaceScene m_scene;
};

} // namespace

std::optional<std::pair<SpacePoint, SpacePoint>> SpaceScene::box() const
{
    std::optional<std::pair<SpacePoint, SpacePoint>> found;
    for (const SpaceFace& face : faces)
        for (const std::vector<SpacePoint>& ring : face.rings)
            for (const SpacePoint& place : ring) {
                if (!found)
                    found = std::pair{place, place};
                found->first = {std::min(found->first.eastM, place.eastM),
                                std::min(found->first.northM, place.northM),
                                std::min(found->first.levelM, place.levelM)};
                found->second = {std::max(found->second.eastM, place.eastM),
                                 std::max(found->second.northM, place.northM),
                                 std::max(found->second.levelM, place.levelM)};
            }
    return found;
}

std::vector<std::string> SpaceScene::trenches() const
{
    std::set<std::string> names;
    for (const SpaceFace& face : faces)
        if (!face.trench.empty())
            names.insert(face.trench);
    return {names.begin(), names.end()};
}

SpaceScene SpaceScene::ofTrench(const std::string& trench) const
{
    SpaceScene part{{}, {}, remarks};
    const auto belongs = [&](const auto& thing) { return thing.trench == trench; };
    std::ranges::copy_if(faces, std::back_inserter(part.faces), belongs);
    std::ranges::copy_if(traces, std::back_inserter(part.traces), belongs);
    return part;
}

SpaceScene spaceScene(const Project& project)
{
    return SceneMaker(project).make();
}

} // namespace inkpeg
