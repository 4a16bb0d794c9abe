// SPDX-License-Identifier: GPL-3.0-or-later
// A small project for the hand-over tests: Skelder Rigg, one plan with a known place on the ground, one
// section.
#pragma once

#include <cmath>
#include <filesystem>
#include <functional>
#include <stdexcept>
#include <string>

#include "core/store/Project.h"

namespace inkpeg::yard {

inline constexpr double TurnRad = 0.12; ///< the sheet lies turned on the ground
inline constexpr double Scale = 20;
inline constexpr FilmFrame Film{4000, 3000, 400, 400, false};

/// Where the plan's film truly lies: a similarity at 1:20, turned by TurnRad.
inline GroundM truth(ScanPx at)
{
    const FilmMm film = Film.toFilm(at);
    const double x = film.x * Scale / 1000, y = film.y * Scale / 1000;
    return {553'120.0 + x * std::cos(TurnRad) - y * std::sin(TurnRad),
            6'210'340.0 + x * std::sin(TurnRad) + y * std::cos(TurnRad)};
}

/// The section: along a line to the north-east from the first nail, 1:10, level 51 m at the lower edge of
/// the film.
inline constexpr GroundM FirstNail{553'121.0, 6'210'341.0};
inline GroundM sectionTruth(ScanPx at) // distance along, level
{
    const FilmMm film = Film.toFilm(at);
    return {film.x * 10 / 1000 - 0.5, 51.0 + film.y * 10 / 1000};
}
inline GroundM alongSection(double distanceM)
{
    return {FirstNail.east + distanceM * 0.8, FirstNail.north + distanceM * 0.6};
}

template<typename Record>
void put(Editor& edit, Record record)
{
    if (const Result<void> done = edit.put(record); !done)
        throw std::runtime_error(done.error().message);
}

inline Ring ring(std::vector<ScanPx> vertices, EdgeKind kind = EdgeKind::Certain)
{
    const std::size_t count = vertices.size();
    return {std::move(vertices), std::vector<EdgeKind>(count, kind)};
}

inline void addRegisters(Editor& edit)
{
    put(edit, Person{.id = 0, .initials = "MH", .name = "M. Harrow", .role = "illustrator"});
    put(edit, Trench{.id = 0,
                     .name = "1",
                     .kind = "trench",
                     .limit = {{553'118, 6'210'338},
                               {553'118, 6'210'348},
                               {553'128, 6'210'348},
                               {553'128, 6'210'338}}});
    put(edit, Sheet{.id = 0,
                    .number = "F1",
                    .filmSize = "A4",
                    .scanFile = "film/F1.tif",
                    .scanSha256 = "",
                    .frame = Film});
    put(edit, Sheet{.id = 0,
                    .number = "F2",
                    .filmSize = "A4",
                    .scanFile = "film/F2.tif",
                    .scanSha256 = "",
                    .frame = Film});
    Context kiln;
    kiln.number = "1032";
    kiln.kind = "cut";
    kiln.trench = "1";
    kiln.description = "Kiln pit, \"flue\" to the <north>, ash & clay";
    kiln.topM = 51.42;
    put(edit, kiln);
    Context fill;
    fill.number = "1033";
    fill.kind = "fill";
    fill.trench = "1";
    put(edit, fill);
    put(edit, Relation{.id = 0, .context = "1033", .kind = RelationKind::Fills, .other = "1032"});
    Find find;
    find.number = "SF7";
    find.context = "1033";
    find.position = truth({900, 900});
    find.levelM = 51.37;
    put(edit, find);
    Find unplaced;
    unplaced.number = "SF8";
    unplaced.context = "1033";
    put(edit, unplaced);
}

inline void addPlan(Editor& edit)
{
    Drawing plan;
    plan.number = "P-01";
    plan.title = "Kiln, pre-excavation";
    plan.trench = "1";
    plan.sheet = "F1";
    plan.stage = Stage::Traced;
    if (const Result<void> done = edit.put(plan); !done)
        throw std::runtime_error(done.error().message);
    const ScanPx marks[] = {{300, 300}, {3700, 320}, {3680, 2700}, {310, 2690}, {2000, 1500}, {2000, 290}};
    // The pegs lie some millimetres from where the film would have them, as surveyed pegs do.
    const GroundM offsets[] = {{0.003, -0.002},  {-0.004, 0.001}, {0.002, 0.003},
                               {-0.001, -0.003}, {0.001, 0.002},  {0.004, 0}};
    for (int i = 0; i < 6; ++i) {
        const GroundM at = truth(marks[i]);
        Peg peg;
        peg.name = "A" + std::to_string(i + 1);
        peg.position = {at.east + offsets[i].east, at.north + offsets[i].north};
        peg.levelM = 51.5;
        put(edit, peg);
        Pin pin;
        pin.drawing = plan.id;
        pin.peg = peg.name;
        pin.mark = marks[i];
        pin.use = i == 5 ? PinUse::Check : PinUse::Fit;
        pin.placedBy = "hand";
        put(edit, pin);
    }
    Outline kiln;
    kiln.drawing = plan.id;
    kiln.context = "1032";
    kiln.parts = {{ring({{500, 500}, {1500, 500}, {1500, 1400}, {500, 1400}}),
                   {ring({{800, 800}, {1000, 800}, {900, 1000}})}},
                  {ring({{1800, 500}, {2000, 500}, {1900, 700}}, EdgeKind::Uncertain), {}}};
    kiln.parts[0].outer.kinds[1] = EdgeKind::Truncated;
    kiln.parts[0].outer.kinds[2] = EdgeKind::Truncated;
    kiln.tracedBy = "MH";
    kiln.tracedAt = "2026-07-01T09:30:00Z";
    put(edit, kiln);
    put(edit, EdgeLine{.id = 0,
                       .drawing = plan.id,
                       .kind = LineKind::BreakTop,
                       .context = "1032",
                       .label = "",
                       .vertices = {{600, 600}, {1400, 600}, {1400, 1300}}});
    put(edit,
        SpotLevel{.id = 0, .drawing = plan.id, .context = "1032", .mark = {700, 700}, .levelM = 51.204});
    put(edit, DrawnPoint{.id = 0,
                         .drawing = plan.id,
                         .kind = PointKind::Find,
                         .number = "SF7",
                         .text = "",
                         .mark = {900, 900}});
}

inline void addSection(Editor& edit)
{
    Drawing section;
    section.number = "S-01";
    section.kind = DrawingKind::Section;
    section.trench = "1";
    section.sheet = "F2";
    section.scaleDenominator = 10;
    section.model = Model::Similarity;
    section.datumM = 51.5;
    if (const Result<void> done = edit.put(section); !done)
        throw std::runtime_error(done.error().message);
    const ScanPx marks[] = {{787.4, 1200}, {2362.2, 1190}, {3600, 1210}};
    for (int i = 0; i < 3; ++i) {
        const GroundM place = sectionTruth(marks[i]);
        Peg nail;
        nail.name = "N" + std::to_string(i + 1);
        nail.position = alongSection(place.east);
        nail.levelM = place.north;
        put(edit, nail);
        Pin pin;
        pin.drawing = section.id;
        pin.peg = nail.name;
        pin.mark = marks[i];
        put(edit, pin);
    }
    Outline cut;
    cut.drawing = section.id;
    cut.context = "1032";
    cut.parts = {{ring({{1000, 1400}, {2000, 1400}, {1900, 2200}, {1100, 2200}}), {}}};
    put(edit, cut);
}

/// A drawing that is registered but carries no pins.
inline void addUnpinned(Editor& edit)
{
    Drawing plan;
    plan.number = "P-02";
    plan.trench = "1";
    plan.sheet = "F1";
    put(edit, plan);
}

inline Project make(const std::filesystem::path& file)
{
    Result<Project> project =
        Project::create(file, {"SKR26", "Skelder Rigg: kiln & malting yard", "EPSG:25832", "DHHN2016", 0.25,
                               0.5, "CC BY 4.0", "MH"});
    if (!project)
        throw std::runtime_error(project.error().message);
    project->setPerson("MH");
    for (void (*add)(Editor&) : {addRegisters, addPlan, addSection, addUnpinned}) {
        const Result<Change> change = project->act("set up the yard", [&](Editor& edit) {
            add(edit);
            return Result<void>();
        });
        if (!change)
            throw std::runtime_error(change.error().message);
    }
    return std::move(project).value();
}

} // namespace inkpeg::yard
