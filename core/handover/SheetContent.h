// SPDX-License-Identifier: GPL-3.0-or-later
// What a print-ready plan or section shows: drawn work chosen by drawing, context, trench or period.
//
//   const Result<SheetContent> plan = planContent(project, work, {.trench = "1", .period = "medieval"});
//   const Result<SheetContent> section = sectionContent(project, work, "S-01");
#pragma once

#include <string>
#include <vector>

#include "core/base/Result.h"
#include "core/handover/DrawnLayers.h"
#include "core/handover/PostOutlines.h"
#include "core/store/Project.h"

namespace inkpeg {

/// Empty lists and names do not narrow the choice; all that are given must hold.
struct PlanChoice {
    std::vector<std::string> drawings = {};
    std::vector<std::string> contexts = {};
    std::string trench = {};
    std::string period = {};
    bool surveyedFinds = false; ///< finds, samples and timbers of the register, where they were surveyed
};

/// Coordinates are ground metres; of a section, distance along its line and level.
struct SheetContent {
    std::string title;                 ///< "Trench 1, medieval", "Context 1032", "Section S-01"
    std::vector<std::string> drawings; ///< numbers of those that something shown was drawn on
    std::vector<OutlineRow> outlines;
    std::vector<EdgeLineRow> lines;
    std::vector<SpotLevelRow> levels;
    std::vector<DrawnPointRow> points;
    std::vector<PostOutline> posts; ///< upright timbers of the contexts shown; on a section those beside it
    std::vector<Trench> limits;
    std::vector<SectionLineRow> section; ///< one for a section, none for a plan
    double largestErrorM = 0;            ///< standard error of the weakest place shown
    int signedOff = 0;                   ///< outlines of that stage
    double drawnScale = 0;               ///< the coarsest stated scale among the drawings, its denominator
};

/// Errors: NotFound: a drawing, context, trench or period that the project does not have, or a choice that
/// shows nothing (says which part of it is to blame).
Result<SheetContent> planContent(const Project& project, const DrawnWork& work, const PlanChoice& choice);

/// Errors: NotFound (no such drawing); BadInput (a plan); Unsolvable (not pinned, says why).
Result<SheetContent> sectionContent(const Project& project, const DrawnWork& work,
                                    const std::string& drawing);

/// Contexts that have an outline on a plan, in the order of their numbers.
std::vector<std::string> contextsOnPlans(const DrawnWork& work);

/// Upright drawings that are tied to the ground and carry an outline or a line.
std::vector<std::string> drawnSections(const DrawnWork& work);

} // namespace inkpeg
