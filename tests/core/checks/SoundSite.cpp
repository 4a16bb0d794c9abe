// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/core/checks/SoundSite.h"

#include <algorithm>

#include "core/checks/Seal.h"

namespace inkpeg {

namespace {

/// The film's lower left corner lies at (100, 50); 1 mm on film is 20 mm on the ground.
constexpr GroundM Corner{100, 50};
constexpr double Denominator = 20;

FilmFrame frame()
{
    return {6000, 4000, 400, 400, false};
}

GroundM groundOf(const Drawing& drawing, const ProjectRecords& records, ScanPx at)
{
    return records.places.at(drawing.id).fit->transform.toGround(frame().toFilm(at));
}

RingOnGround ringOf(const Drawing& drawing, const ProjectRecords& records, const std::vector<ScanPx>& ring)
{
    RingOnGround placed;
    for (const ScanPx vertex : ring)
        placed.push_back(groundOf(drawing, records, vertex));
    return placed;
}

} // namespace

SoundSite::SoundSite()
{
    records.facts.siteCode = "SKR26";
    records.people = {{1, "AB", "A. B.", "illustrator"}, {2, "CD", "C. D.", "supervisor"}};
    records.trenches = {{1, "T1", "trench", rectangle(100.5, 50.5, 107, 54.5)}};
    for (const DrawingKind kind : {DrawingKind::Plan, DrawingKind::Section})
        addDrawing(kind == DrawingKind::Plan ? "P-1" : "S-1", kind);
    addContext("1001", "cut");
    addContext("1002", "fill");
    addContext("1003", "layer");
    relate("1002", RelationKind::Fills, "1001");
    relate("1001", RelationKind::Cuts, "1003");
    addOutline("P-1", "1001", rectangle(102, 51.5, 104, 53));
    addOutline("P-1", "1002", rectangle(102, 51.5, 104, 53));
    addOutline("P-1", "1003", rectangle(101, 51, 106, 54));
    addOutline("S-1", "1001", rectangle(102, 51.5, 104, 52));
    Find find;
    find.number = "1";
    find.context = "1002";
    find.trench = "T1";
    find.material = "pottery";
    find.position = GroundM{103, 52};
    find.levelM = 51.8;
    records.finds = {find};
    Sample sample;
    sample.number = "1";
    sample.context = "1002";
    sample.trench = "T1";
    sample.kind = "bulk";
    sample.position = GroundM{103.2, 52};
    records.samples = {sample};
    Timber timber;
    timber.number = "1";
    timber.context = "1002";
    timber.trench = "T1";
    timber.kind = "post";
    timber.position = GroundM{103.4, 52};
    records.timbers = {timber};
    place();
    sign();
}

Drawing& SoundSite::addDrawing(const std::string& number, DrawingKind kind)
{
    Sheet sheet;
    sheet.id = static_cast<std::int64_t>(records.sheets.size() + 1);
    sheet.number = "F-" + number;
    sheet.scanFile = "film/" + number + ".tif";
    sheet.scanSha256 = "abc";
    sheet.frame = frame();
    records.sheets.push_back(sheet);
    records.scans[sheet.number] = {true, "abc"};
    Drawing drawing;
    drawing.id = static_cast<std::int64_t>(records.drawings.size() + 1);
    drawing.number = number;
    drawing.kind = kind;
    drawing.trench = "T1";
    drawing.sheet = sheet.number;
    drawing.drawnBy = "AB";
    drawing.drawnOn = "2026-05-31";
    drawing.stage = Stage::SignedOff;
    if (kind != DrawingKind::Plan) {
        drawing.facing = "S";
        drawing.datumM = 52.0;
    }
    records.drawings.push_back(drawing);
    const std::vector<GroundM> marks{{101, 51}, {107, 51}, {107, 54}, {101, 54}, {104, 52.5}};
    for (std::size_t i = 0; i < marks.size(); ++i)
        addPin(drawing, number + std::string(1, static_cast<char>('a' + i)), marks[i], marks[i]);
    return records.drawings.back();
}

void SoundSite::addPin(const Drawing& drawing, const std::string& name, GroundM at, GroundM drawnAt)
{
    Peg peg;
    peg.name = name;
    peg.position = at;
    records.pegs.push_back(peg);
    Pin pin;
    pin.drawing = drawing.id;
    pin.peg = name;
    pin.mark = onScan(drawnAt);
    records.pins.push_back(pin);
}

Context& SoundSite::addContext(const std::string& number, const std::string& kind)
{
    Context context;
    context.id = static_cast<std::int64_t>(records.contexts.size() + 1);
    context.number = number;
    context.kind = kind;
    context.trench = "T1";
    context.description = "brown sandy silt";
    context.recordedBy = "AB";
    context.recordedOn = "2026-05-30";
    context.topM = 52.0;
    context.bottomM = 51.5;
    context.stage = Stage::SignedOff;
    records.contexts.push_back(context);
    return records.contexts.back();
}

Outline& SoundSite::addOutline(const std::string& onDrawing, const std::string& context,
                               const std::vector<GroundM>& ring)
{
    Outline outline;
    outline.id = static_cast<std::int64_t>(records.outlines.size() + 1);
    outline.drawing = drawing(onDrawing).id;
    outline.context = context;
    outline.tracedBy = "AB";
    Part part;
    for (const GroundM vertex : ring)
        part.outer.vertices.push_back(onScan(vertex));
    part.outer.kinds.assign(ring.size(), EdgeKind::Certain);
    outline.parts.push_back(part);
    records.outlines.push_back(outline);
    return records.outlines.back();
}

void SoundSite::relate(const std::string& context, RelationKind kind, const std::string& other)
{
    records.relations.push_back({0, context, kind, other});
}

Drawing& SoundSite::drawing(const std::string& number)
{
    return *std::find_if(records.drawings.begin(), records.drawings.end(),
                         [&](const Drawing& one) { return one.number == number; });
}

Context& SoundSite::context(const std::string& number)
{
    return *std::find_if(records.contexts.begin(), records.contexts.end(),
                         [&](const Context& one) { return one.number == number; });
}

ScanPx SoundSite::onScan(GroundM place)
{
    return frame().toScan({filmMmFromGroundM(place.east - Corner.east, Denominator),
                           filmMmFromGroundM(place.north - Corner.north, Denominator)});
}

std::vector<GroundM> SoundSite::rectangle(double west, double south, double east, double north)
{
    return {{west, south}, {east, south}, {east, north}, {west, north}};
}

void SoundSite::place()
{
    records.places.clear();
    records.groundOutlines.clear();
    records.groundPoints.clear();
    for (const Drawing& one : records.drawings) {
        std::vector<ControlPoint> control;
        for (const Pin& pin : records.pins)
            if (pin.drawing == one.id)
                for (const Peg& peg : records.pegs)
                    if (peg.name == pin.peg)
                        control.push_back(
                            {peg.name, frame().toFilm(pin.mark), peg.position, 0.01, 0.01, pin.use});
        DrawingPlace& placed = records.places[one.id];
        FitSettings settings;
        settings.model = one.model;
        settings.scaleDenominator = one.scaleDenominator;
        settings.toleranceMm = records.facts.pinToleranceMm;
        const Result<ControlFit> fit = fitControl(control, settings);
        if (!fit) {
            placed.whyNot = fit.error().message;
            continue;
        }
        placed.fit = *fit;
        placed.footprint = ringOf(one, records, {{0, 0}, {6000, 0}, {6000, 4000}, {0, 4000}});
    }
    constexpr double Variance = 0.005 * 0.005;
    for (std::size_t i = 0; i < records.outlines.size(); ++i)
        for (const Drawing& one : records.drawings) {
            if (one.id != records.outlines[i].drawing || !records.places[one.id].fit)
                continue;
            OutlineOnGround ground{i, {}, {Variance, 0, Variance}};
            for (const Part& part : records.outlines[i].parts) {
                PartOnGround onGround{ringOf(one, records, part.outer.vertices), {}};
                for (const Ring& hole : part.holes)
                    onGround.holes.push_back(ringOf(one, records, hole.vertices));
                ground.parts.push_back(onGround);
            }
            records.groundOutlines.push_back(ground);
        }
    for (std::size_t i = 0; i < records.drawnPoints.size(); ++i)
        for (const Drawing& one : records.drawings)
            if (one.id == records.drawnPoints[i].drawing && records.places[one.id].fit)
                records.groundPoints.push_back(
                    {i, groundOf(one, records, records.drawnPoints[i].mark), {Variance, 0, Variance}});
}

void SoundSite::sign()
{
    records.signOffs.clear();
    const Seals seals(records);
    const auto signOne = [&](const std::string& kind, const std::string& number) {
        SignOff signOff;
        signOff.subjectKind = kind;
        signOff.subject = number;
        signOff.person = "CD";
        signOff.at = "2026-06-01T16:00:00Z";
        signOff.sealSha256 = seals.of(kind, number);
        records.signOffs.push_back(signOff);
    };
    for (const Drawing& one : records.drawings)
        signOne("drawing", one.number);
    for (const Context& one : records.contexts)
        signOne("context", one.number);
}

namespace {

struct Asked {
    int found = 0, nothing = 0;
};
std::map<std::string, Asked>& asked()
{
    static std::map<std::string, Asked> counts;
    return counts;
}

} // namespace

std::vector<Matter> SoundSite::found(const std::string& check)
{
    place();
    std::vector<Matter> matters = runChecks(records);
    std::erase_if(matters, [&](const Matter& matter) { return matter.check != check; });
    ++(matters.empty() ? asked()[check].nothing : asked()[check].found);
    return matters;
}

std::string SoundSite::notTestedBothWays(const std::vector<std::string>& checks)
{
    std::string names;
    for (const std::string& check : checks)
        if (const Asked counts = asked()[check]; counts.found == 0 || counts.nothing == 0)
            names += (names.empty() ? "" : ", ") + check;
    return names;
}

const std::vector<std::string>& SoundSite::checksOfPlace()
{
    static const std::vector<std::string> names = {"outside its trench",
                                                   "overlap without relation",
                                                   "fill outside its cut",
                                                   "outlines disagree",
                                                   "sheets do not meet",
                                                   "no context",
                                                   "no place",
                                                   "out of place",
                                                   "on the edge",
                                                   "context without outline",
                                                   "find outside the trench",
                                                   "level out of context",
                                                   "drawn elsewhere",
                                                   "drawn point without record"};
    return names;
}

const std::vector<std::string>& SoundSite::checksOfSections()
{
    static const std::vector<std::string> names = {"section reads the wrong way",
                                                   "plan and section disagree",
                                                   "edges without a level",
                                                   "level off the section",
                                                   "in another context by section",
                                                   "level book does not close",
                                                   "levels disagree",
                                                   "timber length against levels"};
    return names;
}

} // namespace inkpeg
