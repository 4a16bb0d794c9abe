// SPDX-License-Identifier: GPL-3.0-or-later
// A project with plans over one peg grid, for the tests of what is said about their pins.
#pragma once

#include <cmath>
#include <functional>
#include <string>
#include <vector>

#include "core/store/Project.h"

namespace inkpeg::pinned {

inline constexpr int Columns = 4, Rows = 3;
inline constexpr double StepM = 2, SheetDpi = 400;

/// The site grid lies 14 degrees clockwise of grid north.
inline GroundM inCrs(GroundM site)
{
    constexpr double Turn = 14 * 3.14159265358979323846 / 180;
    const double east = site.east - 100, north = site.north - 200;
    return {562000.0 + std::cos(Turn) * east + std::sin(Turn) * north,
            5800000.0 - std::sin(Turn) * east + std::cos(Turn) * north};
}

/// Pegs are driven by hand: up to 2 cm off the grid, the same each time.
inline GroundM sitePeg(int column, int row)
{
    return {100 + StepM * column + 0.020 * std::sin(7.0 * column + 3.0 * row),
            200 + StepM * row + 0.020 * std::cos(5.0 * column + 11.0 * row)};
}

inline std::string pegName(int column, int row)
{
    return std::to_string(static_cast<int>(100 + StepM * column)) + "/" +
           std::to_string(static_cast<int>(200 + StepM * row));
}

inline GroundM toMillimetre(GroundM at)
{
    return {std::round(at.east * 1000) / 1000, std::round(at.north * 1000) / 1000};
}

/// Turns a plan on its film, anticlockwise in quarters.
struct Plan {
    std::string number = "P-01";
    int quarters = 0;
    double scaleDenominator = 20; ///< as drawn; the register may state another
    double statedDenominator = 20;
    bool tiedAsIfUpright = false; ///< pegs are tied as if the film had not been turned
};

inline Sheet sheetOf(const Plan& plan)
{
    Sheet sheet;
    sheet.number = "F" + plan.number;
    sheet.scanFile = "film/" + sheet.number + ".tif";
    sheet.frame = {7600, 6200, SheetDpi, SheetDpi, false};
    return sheet;
}

/// Where the peg at (column, row) is drawn.
inline ScanPx markOf(const Plan& plan, int column, int row)
{
    const FilmFrame film = sheetOf(plan).frame;
    const GroundM site = sitePeg(column, row);
    const double x = filmMmFromGroundM(site.east - 103, plan.scaleDenominator),
                 y = filmMmFromGroundM(site.north - 202, plan.scaleDenominator);
    const double turn = plan.quarters * 3.14159265358979323846 / 2;
    return film.toScan(
        {241 + std::cos(turn) * x - std::sin(turn) * y, 197 + std::sin(turn) * x + std::cos(turn) * y});
}

/// Within an act: the register. `frame` Site gives all pegs in the site grid but four corners far out, which
/// are given in both.
inline Result<void> putPegs(Editor& edit, PegFrame frame)
{
    const auto put = [&](const std::string& name, PegFrame in, GroundM site) {
        Peg peg;
        peg.name = name;
        peg.frame = in;
        peg.position = toMillimetre(in == PegFrame::Site ? site : inCrs(site));
        peg.standardErrorEastM = peg.standardErrorNorthM = 0.003;
        return edit.put(peg);
    };
    for (int column = -1; column <= Columns; ++column)
        for (int row = -1; row <= Rows; ++row)
            if (const Result<void> done = put(pegName(column, row), frame, sitePeg(column, row)); !done)
                return done;
    if (frame == PegFrame::Site)
        for (const GroundM corner : {GroundM{80, 180}, {140, 180}, {80, 240}, {140, 240}})
            for (const PegFrame in : {PegFrame::Site, PegFrame::Crs})
                if (const Result<void> done = put("C" + std::to_string(int(corner.east)) + "-" +
                                                      std::to_string(int(corner.north)),
                                                  in, corner);
                    !done)
                    return done;
    return {};
}

/// Within an act: sheet, drawing and all its pins. Returns the drawing.
inline Result<Drawing> putPlan(Editor& edit, const Plan& plan)
{
    Sheet sheet = sheetOf(plan);
    Drawing drawing;
    drawing.number = plan.number;
    drawing.sheet = sheet.number;
    drawing.trench = "1";
    drawing.scaleDenominator = plan.statedDenominator;
    drawing.stage = Stage::Pinned;
    for (const Result<void>& done : {edit.put(sheet), edit.put(drawing)})
        if (!done)
            return done.error();
    for (int row = 0; row < Rows; ++row)
        for (int column = 0; column < Columns; ++column) {
            Pin pin;
            pin.drawing = drawing.id;
            pin.peg = pegName(column, row);
            pin.mark = markOf(plan, column, row);
            if (const Result<void> done = edit.put(pin); !done)
                return done.error();
        }
    return drawing;
}

/// A new project with pegs and plans.
inline Result<Project> make(const std::string& file, PegFrame frame, std::vector<Plan> plans)
{
    ProjectFacts facts;
    facts.siteCode = "SKR26";
    facts.title = "Skelder Rigg";
    Result<Project> project = Project::create(file, facts);
    if (!project)
        return project;
    const Result<Change> done = project->act("made", [&](Editor& edit) -> Result<void> {
        if (const Result<void> pegs = putPegs(edit, frame); !pegs)
            return pegs;
        for (const Plan& plan : plans)
            if (const Result<Drawing> drawing = putPlan(edit, plan); !drawing)
                return drawing.error();
        return {};
    });
    if (!done)
        return done.error();
    return project;
}

} // namespace inkpeg::pinned
