// SPDX-License-Identifier: GPL-3.0-or-later
// Sections of the yard whose line is not straight: over a bend, or stepping aside.
#pragma once

#include "tests/core/handover/YardProject.h"

namespace inkpeg::yard {

/// A mark of a section drawn 1:20 with its nail A and its datum 51.5 at 30 and 150 mm on the film.
inline ScanPx markAt(double alongM, double levelM)
{
    return Film.toScan({30 + alongM * 50, 150 + (levelM - 51.5) * 50});
}

struct NailOnFilm {
    const char* name;
    GroundM position;
    double alongM;
};

/// A section through nails at its datum. `line` as Drawing::sectionLine.
inline Drawing addSectionAlong(Editor& edit, const char* number, const char* line,
                               const std::vector<NailOnFilm>& nails)
{
    Drawing section;
    section.number = number;
    section.kind = DrawingKind::Section;
    section.trench = "1";
    section.sheet = "F2";
    section.scaleDenominator = 20;
    section.model = Model::Similarity;
    section.datumM = 51.5;
    section.sectionLine = line;
    if (const Result<void> done = edit.put(section); !done)
        throw std::runtime_error(done.error().message);
    for (const NailOnFilm& each : nails) {
        Peg nail;
        nail.name = each.name;
        nail.position = each.position;
        nail.levelM = 51.5;
        put(edit, nail);
        Pin pin;
        pin.drawing = section.id;
        pin.peg = nail.name;
        pin.mark = markAt(each.alongM, 51.5);
        put(edit, pin);
    }
    return section;
}

/// In two legs with a right angle between them, drawn along 4 m; its middle nail is the bend.
inline Drawing addCrankedLine(Editor& edit)
{
    return addSectionAlong(edit, "S-02", "C1; C2; C3",
                           {{"C1", {553'122, 6'210'342}, 0},
                            {"C2", {553'124, 6'210'342}, 2},
                            {"C3", {553'124, 6'210'344}, 4}});
}

/// Steps 0.6 m aside after 2 m, and goes on for 2 m.
inline Drawing addSteppedLine(Editor& edit)
{
    return addSectionAlong(edit, "S-03", "D1; D2 | D3; D4",
                           {{"D1", {553'122, 6'210'342}, 0},
                            {"D2", {553'124, 6'210'342}, 2},
                            {"D3", {553'124, 6'210'342.6}, 2},
                            {"D4", {553'126, 6'210'342.6}, 4}});
}

/// Steps aside after 1 m, and back after 2 m.
inline Drawing addTwiceSteppedLine(Editor& edit)
{
    return addSectionAlong(edit, "S-04", "E1; E2 | E3; E4 | E5; E6",
                           {{"E1", {553'122, 6'210'344}, 0},
                            {"E2", {553'123, 6'210'344}, 1},
                            {"E3", {553'123, 6'210'344.5}, 1},
                            {"E4", {553'124, 6'210'344.5}, 2},
                            {"E5", {553'124, 6'210'344}, 2},
                            {"E6", {553'126, 6'210'344}, 4}});
}

} // namespace inkpeg::yard
