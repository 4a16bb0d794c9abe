// SPDX-License-Identifier: GPL-3.0-or-later
// What can be said of an outline on the ground: its figures, and how it meets the next sheets.
#include <algorithm>

#include "app/window/Session.h"
#include "core/store/PositionError.h"

namespace inkpeg {
namespace {

RingOnGround ringOnGround(const std::vector<ScanPx>& vertices, const DrawingGround& ground)
{
    RingOnGround ring;
    for (const ScanPx& vertex : vertices)
        ring.push_back(ground.toGround(vertex));
    return ring;
}

/// One sheet's outline on the ground; nothing where its drawing has no place there.
std::optional<SheetOutline> onGround(const Project& project, const Outline& outline, double tracingErrorMm)
{
    const auto drawing = project.byId<Drawing>(outline.drawing);
    if (!drawing || isUpright(drawing->kind))
        return std::nullopt;
    const std::vector<Pin> pins = project.ofDrawing<Pin>(drawing->id);
    const Result<DrawingGround> ground = groundOfDrawing(project, *drawing, pins);
    const Result<std::vector<ControlPoint>> control = controlPoints(project, *drawing, pins);
    if (!ground || !control || outline.parts.empty())
        return std::nullopt;
    SheetOutline sheet;
    sheet.drawing = drawing->number;
    for (const Part& part : outline.parts) {
        sheet.parts.push_back({ringOnGround(part.outer.vertices, *ground), {}});
        for (const Ring& hole : part.holes)
            sheet.parts.back().holes.push_back(ringOnGround(hole.vertices, *ground));
        sheet.kinds.push_back(part.outer.kinds);
    }
    const double width = ground->film.widthPx, height = ground->film.heightPx;
    const std::vector<ScanPx> whole{{0, 0}, {width, 0}, {width, height}, {0, height}};
    sheet.footprint = ringOnGround(drawing->frame.size() >= 3 ? drawing->frame : whole, *ground);
    sheet.standardErrorM = PositionErrors(*ground, *control, tracingErrorMm)
                               .at(outline.parts.front().outer.vertices.front())
                               .totalM();
    return sheet;
}

} // namespace

std::optional<OutlineFigures> Session::figuresOf(std::int64_t outline) const
{
    if (!m_scene.drawing || !m_scene.drawing->ground)
        return std::nullopt;
    const Outline* there = m_scene.drawing->outlines.byId(outline);
    if (!there)
        return std::nullopt;
    const BoardDrawing& drawing = *m_scene.drawing;
    const auto control = controlPoints(*m_project, drawing.record, drawing.pins);
    if (!control)
        return std::nullopt;
    const PositionErrors errors(*drawing.ground, *control, drawing.tracingErrorMm);
    return outlineFigures(*drawing.ground, there->parts, drawing.tracingErrorMm,
                          errors.at(there->parts.front().outer.vertices.front()).pegM);
}

std::vector<SheetOutline> Session::sheetsOf(const std::string& context) const
{
    std::vector<SheetOutline> sheets;
    if (!m_project || !m_scene.drawing)
        return sheets;
    for (const std::int64_t id : m_register.outlinesOf(context))
        if (const auto outline = m_project->byId<Outline>(id))
            if (auto sheet = onGround(*m_project, *outline, m_scene.drawing->tracingErrorMm))
                sheets.push_back(std::move(*sheet));
    return sheets;
}

} // namespace inkpeg
