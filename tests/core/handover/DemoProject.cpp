// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/core/handover/DemoProject.h"

#include <functional>
#include <stdexcept>

#include "core/records/Names.h"
#include "samples/generator/Demo.h"

namespace inkpeg::demoproject {

namespace {

template<typename Record>
void put(Editor& edit, Record record)
{
    if (const Result<void> done = edit.put(record); !done)
        throw std::runtime_error(done.error().message);
}

template<typename Record>
Record placed(const demo::PlacedRecord& from)
{
    Record record;
    record.number = from.number;
    record.context = from.context;
    record.trench = from.trench;
    record.position = demo::groundOfSite(from.place);
    record.standardErrorM = from.standardErrorM;
    return record;
}

void putRegisters(const demo::Demo& demo, Editor& edit)
{
    for (const demo::PersonRecord& one : demo.people)
        put(edit, Person{0, one.initials, one.name, one.role});
    for (const demo::TrenchRecord& one : demo.trenches) {
        Trench trench{0, one.name, one.kind, {}};
        for (const demo::Metres corner : one.limit)
            trench.limit.push_back(demo::groundOfSite(corner));
        put(edit, trench);
    }
    for (const demo::ContextRecord& one : demo.contexts)
        put(edit, Context{0, one.number, one.kind, one.trench, one.description, one.period, one.recordedBy,
                          one.recordedOn, one.topM, one.bottomM, Stage::Listed});
    for (const demo::PlacedRecord& one : demo.finds) {
        Find find = placed<Find>(one);
        find.levelM = one.topM;
        put(edit, find);
    }
    for (const demo::PlacedRecord& one : demo.samples)
        put(edit, placed<Sample>(one));
    for (const demo::PlacedRecord& one : demo.timbers)
        put(edit, placed<Timber>(one));
    for (const demo::PegRecord& one : demo.pegs) {
        Peg peg;
        peg.name = one.name;
        peg.frame = one.inSiteFrame ? PegFrame::Site : PegFrame::Crs;
        peg.position = {one.east, one.north};
        peg.levelM = one.levelM;
        peg.standardErrorEastM = peg.standardErrorNorthM = one.standardErrorM;
        // The register gives some pegs in both frames; the project keeps the first.
        (void)edit.put(peg);
    }
}

Outline outlineOf(const demo::DrawnOutline& drawn, const demo::DrawingPlan& plan,
                  const demo::SheetPlan& sheet)
{
    Outline outline;
    outline.context = drawn.context;
    outline.tracedBy = "QQ";
    outline.tracedAt = "2026-06-20T08:00:00Z";
    Part part;
    for (std::size_t i = 0; i < drawn.ring.size(); ++i) {
        part.outer.vertices.push_back(sheet.map.toScan(plan.toFilm(drawn.ring[i])));
        part.outer.kinds.push_back(*named<EdgeKind>(drawn.edges[i]));
    }
    outline.parts.push_back(std::move(part));
    return outline;
}

void putDrawing(const demo::Demo& demo, const demo::DrawingPlan& plan, Editor& edit)
{
    const demo::SheetPlan& sheet = demo.sheetOf(plan);
    Drawing drawing;
    drawing.number = plan.number;
    drawing.kind = *named<DrawingKind>(plan.kind);
    drawing.title = plan.title;
    drawing.trench = plan.trench;
    drawing.sheet = plan.sheet;
    drawing.scaleDenominator = plan.scale;
    drawing.drawnBy = plan.drawnBy;
    drawing.drawnOn = plan.drawnOn;
    drawing.facing = plan.facing;
    drawing.datumM = plan.datumM;
    drawing.model = plan.upright() ? Model::Similarity : Model::Affine;
    drawing.stage = Stage::Traced;
    if (const Result<void> done = edit.put(drawing); !done)
        throw std::runtime_error(done.error().message);
    for (const demo::PinRecord& pin : demo.pins)
        if (pin.drawing == plan.number)
            put(edit, Pin{0, drawing.id, pin.peg, pin.clicked, *named<PinUse>(pin.use), "hand"});
    for (const demo::DrawnOutline& drawn : plan.outlines) {
        Outline outline = outlineOf(drawn, plan, sheet);
        outline.drawing = drawing.id;
        put(edit, outline);
    }
    for (const demo::SpotLevelMark& mark : plan.levels)
        put(edit, SpotLevel{0, drawing.id, {}, sheet.map.toScan(plan.toFilm(mark.place)), mark.levelM});
}

} // namespace

Project make(const std::filesystem::path& file)
{
    const demo::Demo demo = demo::skelderRigg(400);
    Result<Project> project =
        Project::create(file, {"SKR26", "Skelder Rigg, kiln and malting yard", "EPSG:25832", "DHHN2016",
                               0.25, 0.5, "CC BY 4.0", "Harrow & Lund"});
    if (!project)
        throw std::runtime_error(project.error().message);
    project->setPerson("QQ");
    const Result<Change> change = project->act("set up Skelder Rigg", [&](Editor& edit) {
        putRegisters(demo, edit);
        for (const demo::SheetPlan& one : demo.sheets)
            put(edit,
                Sheet{0,
                      one.number,
                      one.filmSize,
                      one.file,
                      "",
                      {static_cast<double>(one.map.widthPx()), static_cast<double>(one.map.heightPx()),
                       one.map.dpi, one.map.dpi, one.map.faceDown}});
        for (const demo::DrawingPlan& plan : demo.drawings)
            putDrawing(demo, plan, edit);
        return Result<void>();
    });
    if (!change)
        throw std::runtime_error(change.error().message);
    return std::move(project).value();
}

} // namespace inkpeg::demoproject
