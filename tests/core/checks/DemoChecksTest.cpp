// SPDX-License-Identifier: GPL-3.0-or-later
// The demo excavation, drawn and recorded as its truth says, with the faults that its list names: every
// planted fault is found, and nothing else is of severity "must".
#include "core/checks/Checks.h"

#include <map>
#include <set>

#include <QTest>

#include "samples/generator/Demo.h"

using namespace inkpeg;

namespace {

const std::map<std::string, RelationKind> RelationWords{
    {"above", RelationKind::Above},    {"below", RelationKind::Below},
    {"cuts", RelationKind::Cuts},      {"cut_by", RelationKind::CutBy},
    {"fills", RelationKind::Fills},    {"filled_by", RelationKind::FilledBy},
    {"same_as", RelationKind::SameAs}, {"abuts", RelationKind::Abuts}};

DrawingKind kindOf(const std::string& kind)
{
    return kind == "plan"        ? DrawingKind::Plan
           : kind == "section"   ? DrawingKind::Section
           : kind == "elevation" ? DrawingKind::Elevation
                                 : DrawingKind::Profile;
}

EdgeKind edgeOf(const std::string& edge)
{
    for (const EdgeKind kind : {EdgeKind::Certain, EdgeKind::Uncertain, EdgeKind::Truncated,
                                EdgeKind::LimitOfExcavation, EdgeKind::BeyondTheSheet})
        if (edgeKindName(kind) == edge)
            return kind;
    qFatal("no such edge: %s", edge.c_str());
}

FilmFrame frameOf(const demo::SheetPlan& sheet)
{
    return {static_cast<double>(sheet.map.widthPx()), static_cast<double>(sheet.map.heightPx()),
            sheet.map.dpi, sheet.map.dpi, sheet.map.faceDown};
}

void takeRegisters(const demo::Demo& demo, ProjectRecords& records)
{
    for (const demo::PersonRecord& one : demo.people)
        records.people.push_back({0, one.initials, one.name, one.role});
    for (const demo::TrenchRecord& one : demo.trenches) {
        Trench trench{0, one.name, one.kind, {}};
        for (const auto corner : one.limit)
            trench.limit.push_back(demo::groundOfSite(corner));
        records.trenches.push_back(trench);
    }
    for (const demo::ContextRecord& one : demo.contexts) {
        records.contexts.push_back({0, one.number, one.kind, one.trench, one.description, one.period,
                                    one.recordedBy, one.recordedOn, one.topM, one.bottomM, Stage::Listed});
        for (const auto& [word, others] : one.relations)
            for (const std::string& other : others)
                records.relations.push_back({0, one.number, RelationWords.at(word), other});
    }
    const auto take = [](const demo::PlacedRecord& from, auto record) {
        record.number = from.number;
        record.context = from.context;
        record.trench = from.trench;
        record.position = demo::groundOfSite(from.place);
        record.standardErrorM = from.standardErrorM;
        return record;
    };
    for (const demo::PlacedRecord& one : demo.finds) {
        records.finds.push_back(take(one, Find()));
        records.finds.back().levelM = one.topM;
    }
    for (const demo::PlacedRecord& one : demo.samples) {
        records.samples.push_back(take(one, Sample()));
        records.samples.back().levelM = one.topM;
    }
    for (const demo::PlacedRecord& one : demo.timbers)
        records.timbers.push_back(take(one, Timber()));
}

/// A peg's place in the frame of a drawing, as the register gives it.
GroundM pegOn(const demo::DrawingPlan& drawing, const demo::PegRecord& peg)
{
    const GroundM ground =
        peg.inSiteFrame ? demo::groundOfSite({peg.east, peg.north}) : GroundM{peg.east, peg.north};
    if (!drawing.upright())
        return ground;
    const demo::Metres site = demo::siteOfGround(ground);
    return {(site.x - drawing.lineStart.x) * drawing.lineDirection.x +
                (site.y - drawing.lineStart.y) * drawing.lineDirection.y,
            peg.levelM.value_or(0)};
}

std::vector<ControlPoint> controlOf(const demo::Demo& demo, const demo::DrawingPlan& drawing,
                                    const FilmFrame& frame)
{
    std::vector<ControlPoint> control;
    for (const demo::PinRecord& pin : demo.pins)
        for (const demo::PegRecord& peg : demo.pegs)
            if (pin.drawing == drawing.number && pin.peg == peg.name)
                control.push_back({peg.name, frame.toFilm(pin.clicked), pegOn(drawing, peg),
                                   peg.standardErrorM, peg.standardErrorM,
                                   pin.use == "fit"     ? PinUse::Fit
                                   : pin.use == "check" ? PinUse::Check
                                                        : PinUse::LeftOut});
    return control;
}

RingOnGround onGround(const std::vector<ScanPx>& ring, const FilmFrame& frame, const ControlFit& fit)
{
    RingOnGround placed;
    for (const ScanPx vertex : ring)
        placed.push_back(fit.transform.toGround(frame.toFilm(vertex)));
    return placed;
}

Outline outlineOf(const demo::DrawnOutline& drawn, const demo::DrawingPlan& plan,
                  const demo::SheetPlan& sheet)
{
    Outline outline;
    outline.context = drawn.context;
    outline.tracedBy = "QQ";
    Part part;
    for (std::size_t i = 0; i < drawn.ring.size(); ++i) {
        part.outer.vertices.push_back(sheet.map.toScan(plan.toFilm(drawn.ring[i])));
        part.outer.kinds.push_back(edgeOf(drawn.edges[i]));
    }
    outline.parts.push_back(part);
    return outline;
}

void takeDrawing(const demo::Demo& demo, const demo::DrawingPlan& plan, ProjectRecords& records)
{
    const demo::SheetPlan& sheet = demo.sheetOf(plan);
    const FilmFrame frame = frameOf(sheet);
    Drawing drawing;
    drawing.id = static_cast<std::int64_t>(records.drawings.size() + 1);
    drawing.number = plan.number;
    drawing.kind = kindOf(plan.kind);
    drawing.trench = plan.trench;
    drawing.sheet = plan.sheet;
    drawing.scaleDenominator = plan.scale;
    drawing.drawnBy = plan.drawnBy;
    drawing.drawnOn = plan.drawnOn;
    drawing.facing = plan.facing;
    drawing.datumM = plan.datumM;
    drawing.stage = Stage::Traced;
    records.drawings.push_back(drawing);
    for (const demo::PinRecord& pin : demo.pins)
        if (pin.drawing == plan.number)
            records.pins.push_back({0, drawing.id, pin.peg, pin.clicked, PinUse::Fit, "hand"});
    FitSettings settings;
    settings.scaleDenominator = plan.scale;
    settings.model = plan.upright() ? Model::Similarity : Model::Affine;
    const Result<ControlFit> fit = fitControl(controlOf(demo, plan, frame), settings);
    DrawingPlace& place = records.places[drawing.id];
    if (fit) {
        place.fit = *fit;
        place.footprint =
            onGround({{0, 0}, {frame.widthPx, 0}, {frame.widthPx, frame.heightPx}, {0, frame.heightPx}},
                     frame, *fit);
    } else {
        place.whyNot = fit.error().message;
    }
    const double errorM = groundMFromFilmMm(0.3, plan.scale); // tracing and fit together
    for (const demo::DrawnOutline& drawn : plan.outlines) {
        records.outlines.push_back(outlineOf(drawn, plan, sheet));
        records.outlines.back().drawing = drawing.id;
        if (fit)
            records.groundOutlines.push_back(
                {records.outlines.size() - 1,
                 {{onGround(records.outlines.back().parts[0].outer.vertices, frame, *fit), {}}},
                 {errorM * errorM, 0, errorM * errorM}});
    }
}

ProjectRecords recordsOf(const demo::Demo& demo)
{
    ProjectRecords records;
    takeRegisters(demo, records);
    for (const demo::SheetPlan& one : demo.sheets) {
        Sheet sheet;
        sheet.number = one.number;
        sheet.scanFile = one.file;
        sheet.frame = frameOf(one);
        records.sheets.push_back(sheet);
    }
    for (const demo::DrawingPlan& plan : demo.drawings)
        takeDrawing(demo, plan, records);
    return records;
}

/// "check: subject" of everything of severity must.
std::set<std::string> musts(const std::vector<Matter>& matters)
{
    std::set<std::string> all;
    for (const Matter& matter : matters)
        if (matter.severity == Severity::Must) {
            all.insert(matter.check + ": " + matter.subject);
            qInfo("%s: %s", matter.check.c_str(), matter.words.c_str());
        }
    return all;
}

/// What the checks should say of a planted fault.
std::string expectedOf(const demo::Fault& fault)
{
    if (fault.kind == "transposed digits")
        return "out of pin tolerance: P-05"; // the only drawing that uses the peg
    if (fault.kind == "swapped pins")
        return "out of pin tolerance: " + fault.subject;
    if (fault.kind == "drawn but not in the register")
        return "outline without record: " + fault.subject;
    if (fault.kind == "registered but not drawn")
        return "context not drawn: " + fault.subject;
    if (fault.kind == "find whose context disagrees with its position")
        return "out of place: " + fault.subject;
    std::string loop = "stratigraphic loop: " + fault.subject;
    for (std::size_t at = loop.find(' ', loop.find(':') + 2); at != std::string::npos;
         at = loop.find(' ', at + 3))
        loop.replace(at, 1, " / ");
    return loop;
}

/// Puts the pegs and pins right, as one does before anything on those drawings can be judged.
void correctControl(demo::Demo& demo)
{
    for (demo::PinRecord& pin : demo.pins)
        if (distance(pin.clicked, pin.true_) > 100)
            pin.clicked = pin.true_;
    for (demo::PegRecord& peg : demo.pegs) {
        const GroundM truth = demo::groundOfSite(peg.true_);
        const GroundM given =
            peg.inSiteFrame ? demo::groundOfSite({peg.east, peg.north}) : GroundM{peg.east, peg.north};
        if (distance(truth, given) > 1) {
            peg.east = peg.inSiteFrame ? peg.true_.x : truth.east;
            peg.north = peg.inSiteFrame ? peg.true_.y : truth.north;
        }
    }
}

} // namespace

class DemoChecksTest final : public QObject {
    Q_OBJECT

private slots:
    void plantedFaultsAreFoundAndNothingElseMustBePutRight()
    {
        const demo::Demo demo = demo::skelderRigg(400);
        std::set<std::string> expected;
        for (const demo::Fault& fault : demo.faults)
            expected.insert(expectedOf(fault));
        QCOMPARE(expected.size(), demo.faults.size());
        QCOMPARE(musts(runChecks(recordsOf(demo))), expected);
    }

    /// With peg and pins put right, what lies on P-02 and P-05 is judged too, and again nothing else is told.
    void withPegsAndPinsPutRightOnlyTheOtherFaultsAreLeft()
    {
        demo::Demo demo = demo::skelderRigg(400);
        correctControl(demo);
        std::set<std::string> expected;
        for (const demo::Fault& fault : demo.faults)
            if (fault.kind != "transposed digits" && fault.kind != "swapped pins")
                expected.insert(expectedOf(fault));
        QCOMPARE(musts(runChecks(recordsOf(demo))), expected);
    }
};

QTEST_GUILESS_MAIN(DemoChecksTest)
#include "DemoChecksTest.moc"
