// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/FeatureLayers.h"

#include <algorithm>
#include <map>

#include "core/base/Csv.h"
#include "core/handover/DrawnLayers.h"
#include "core/handover/RegisterLayers.h"
#include "core/handover/TimberLayers.h"
#include "core/records/Names.h"
#include "core/store/DrawingFit.h"

namespace inkpeg {

namespace {

/// Where a pin lies on the ground by the fit; for a section, back from the plane of the section.
GroundPosition fittedPlace(const DrawingGround& ground, ScanPx mark)
{
    if (!ground.section)
        return {ground.toGround(mark), {}};
    const SpacePoint place = ground.toSpace(mark);
    return {{place.eastM, place.northM}, place.levelM};
}

void addPins(const std::vector<Pin>& pins, const DrawingRow& row, DrawnWork& work)
{
    for (std::size_t i = 0; i < pins.size(); ++i) {
        PinRow pinRow{pins[i], row.drawing.number, {}, {}};
        if (row.ground) {
            pinRow.fitted = fittedPlace(*row.ground, pins[i].mark);
            pinRow.residual = row.ground->fit.residuals[i];
        }
        work.pins.push_back(std::move(pinRow));
    }
}

void addSectionLine(const DrawingRow& row, const std::vector<ControlPoint>& pins, DrawnWork& work)
{
    double fromM = pins.front().ground.east, toM = fromM;
    for (const ControlPoint& pin : pins) {
        fromM = std::min(fromM, pin.ground.east);
        toM = std::max(toM, pin.ground.east);
    }
    const double datumM = row.ground->section->datumM();
    std::vector<GroundM> line;
    for (const SpacePoint& place :
         row.ground->section->toSpace(std::vector<SectionPoint>{{fromM, datumM}, {toM, datumM}}, false))
        line.push_back({place.eastM, place.northM});
    work.sectionLines.push_back({row.drawing.number, row.drawing.trench, row.drawing.facing,
                                 row.drawing.datumM, line.front(), line.back(), fromM, toM, line});
}

/// Gathers the drawn work drawing by drawing.
class DrawnGathering {
public:
    DrawnGathering(const Project& project, const GatherSettings& settings)
        : m_project(project), m_settings(settings), m_facts(project.facts())
    {
        for (Context& context : project.all<Context>()) {
            std::string number = context.number;
            m_contexts.emplace(std::move(number), std::move(context));
        }
    }

    Result<void> add(const Drawing& drawing)
    {
        const std::vector<Pin> pins = m_project.ofDrawing<Pin>(drawing.id);
        DrawingRow row{drawing, {}, {}};
        Result<DrawingGround> ground = groundOfDrawing(m_project, drawing, pins);
        if (ground)
            row.ground = std::move(ground).value();
        else
            row.whyNot = ground.error().message;
        addPins(pins, row, m_work);
        if (!row.ground)
            remarkUnfitted(drawing, row.whyNot);
        else if (const Result<void> added = addDrawnWork(row, pins); !added)
            return Error{added.error().code, "drawing " + drawing.number + ": " + added.error().message};
        m_work.drawings.push_back(std::move(row));
        return {};
    }

    DrawnWork take() { return std::move(m_work); }

    std::vector<std::string> remarks() const
    {
        std::vector<std::string> remarks = m_remarks;
        if (m_tooEarly > 0)
            remarks.push_back(std::to_string(m_tooEarly) +
                              " outlines stay behind: their stage is below \"" +
                              nameOf(m_settings.leastStage) + "\"");
        return remarks;
    }

private:
    Result<void> addDrawnWork(const DrawingRow& row, const std::vector<Pin>& pins)
    {
        const Result<std::vector<ControlPoint>> points = controlPoints(m_project, row.drawing, pins);
        const std::vector<ControlPoint> known = points ? *points : std::vector<ControlPoint>();
        const PositionErrors errors(*row.ground, known, m_facts.tracingErrorMm);
        const bool upright = row.ground->section.has_value();
        if (upright && !known.empty())
            addSectionLine(row, known, m_work);
        DrawnWork::InOneSpace& space = upright ? m_work.section : m_work.plan;
        addOutlines(row, errors, space);
        if (upright)
            if (const Result<void> added =
                    addSpaceWork(m_project, row.drawing, *row.ground, errors, handedOver(row.drawing),
                                 m_settings.chordToleranceMm, m_work.space);
                !added)
                return added;
        for (const EdgeLine& line : m_project.ofDrawing<EdgeLine>(row.drawing.id))
            space.lines.push_back(
                {line, row.drawing.number,
                 lineOnGround(line.vertices, *row.ground, errors, m_settings.chordToleranceMm)});
        for (const SpotLevel& level : m_project.ofDrawing<SpotLevel>(row.drawing.id))
            space.levels.push_back({level, row.drawing.number, placeOf(level.mark, *row.ground, errors)});
        for (const DrawnPoint& point : m_project.ofDrawing<DrawnPoint>(row.drawing.id))
            space.points.push_back({point, row.drawing.number, placeOf(point.mark, *row.ground, errors)});
        return {};
    }

    std::vector<Outline> handedOver(const Drawing& drawing) const
    {
        std::vector<Outline> outlines = m_project.ofDrawing<Outline>(drawing.id);
        std::erase_if(outlines,
                      [&](const Outline& outline) { return outline.stage < m_settings.leastStage; });
        return outlines;
    }

    void addOutlines(const DrawingRow& row, const PositionErrors& errors, DrawnWork::InOneSpace& space)
    {
        for (Outline& outline : m_project.ofDrawing<Outline>(row.drawing.id)) {
            // A drawing is signed off as a whole: its outlines have come as far as it has.
            outline.stage = std::max(outline.stage, row.drawing.stage);
            if (outline.stage < m_settings.leastStage) {
                ++m_tooEarly;
                continue;
            }
            OutlineRow made;
            made.drawing = row.drawing.number;
            made.parts = partsOnGround(outline.parts, *row.ground, errors, m_settings.chordToleranceMm);
            if (const auto context = m_contexts.find(outline.context); context != m_contexts.end()) {
                made.contextKind = context->second.kind;
                made.topM = context->second.topM;
                made.bottomM = context->second.bottomM;
            }
            made.outline = std::move(outline);
            space.outlines.push_back(std::move(made));
        }
    }

    void remarkUnfitted(const Drawing& drawing, const std::string& whyNot)
    {
        const std::size_t outlines = m_project.ofDrawing<Outline>(drawing.id).size();
        m_remarks.push_back(
            whyNot + (outlines > 0 ? "; its " + std::to_string(outlines) + " outlines stay behind" : ""));
    }

    static GroundVertex placeOf(ScanPx mark, const DrawingGround& ground, const PositionErrors& errors)
    {
        return {ground.toGround(mark), errors.at(mark), EdgeKind::Certain};
    }

    const Project& m_project;
    GatherSettings m_settings;
    ProjectFacts m_facts;
    std::map<std::string, Context> m_contexts;
    DrawnWork m_work;
    std::vector<std::string> m_remarks;
    int m_tooEarly = 0;
};

void append(std::vector<FeatureLayer> more, std::vector<FeatureLayer>& layers)
{
    std::move(more.begin(), more.end(), std::back_inserter(layers));
}

} // namespace

Result<GatheredWork> gatherDrawnWork(const Project& project, const GatherSettings& settings,
                                     const Progress& progress)
{
    DrawnGathering gathering(project, settings);
    const std::vector<Drawing> drawings = project.all<Drawing>();
    for (std::size_t i = 0; i < drawings.size(); ++i) {
        if (const Result<void> added = gathering.add(drawings[i]); !added)
            return added.error();
        if (!report(progress, static_cast<double>(i + 1) / static_cast<double>(drawings.size())))
            return Error{ErrorCode::Cancelled, "gathering was stopped"};
    }
    if (const auto trouble = project.takeReadingTrouble())
        return *trouble;
    std::vector<std::string> remarks = gathering.remarks();
    return GatheredWork{gathering.take(), std::move(remarks)};
}

Result<HandOverContent> gatherLayers(const Project& project, const GatherSettings& settings,
                                     const Progress& progress)
{
    Result<GatheredWork> gathered = gatherDrawnWork(project, settings, progress);
    if (!gathered)
        return gathered.error();
    HandOverContent content{{}, std::move(gathered->remarks)};
    append(registerLayers(&project, content.remarks), content.layers);
    append(drawnLayers(gathered->work), content.layers);
    append(timberLayers(&project), content.layers);
    if (const auto trouble = project.takeReadingTrouble())
        return *trouble;
    return content;
}

std::vector<LayerSchema> handOverSchema()
{
    std::vector<std::string> remarks;
    std::vector<FeatureLayer> layers = registerLayers(nullptr, remarks);
    append(drawnLayers({}), layers);
    append(timberLayers(nullptr), layers);
    std::vector<LayerSchema> schemas;
    for (FeatureLayer& layer : layers)
        schemas.push_back(std::move(layer.schema));
    return schemas;
}

std::string dataDictionaryCsv(const std::vector<LayerSchema>& schemas)
{
    std::string csv = "layer,field,type,unit,meaning\r\n";
    for (const LayerSchema& schema : schemas) {
        if (schema.geometry != GeometryKind::None)
            csv += schema.name + ",geometry," + geometryKindName(schema.geometry) + ",m," +
                   csvField(schema.meaning) + "\r\n";
        else
            csv += schema.name + ",,,," + csvField(schema.meaning) + "\r\n";
        for (const FieldSchema& field : schema.fields)
            csv += schema.name + "," + field.name + "," + fieldTypeName(field.type) + "," + field.unit +
                   "," + csvField(field.meaning) + "\r\n";
    }
    return csv;
}

} // namespace inkpeg
