// SPDX-License-Identifier: GPL-3.0-or-later
// Sections on paper: their lines and which way they read, and plans held against them.
#pragma once

#include "app/print/TableReport.h"
#include "core/checks/PlanAgainstSection.h"
#include "core/store/SectionTurn.h"

namespace inkpeg {

/// An upright drawing of the project and how it reads; `reading` is an error where its line cannot be.
struct SectionFacts {
    Drawing drawing;
    Result<SectionReading> reading;
    bool isPinned = false; ///< has pins
};

/// Every upright drawing, or the one numbered. Errors: NotFound; BadInput (it is a plan).
Result<std::vector<SectionFacts>> sectionFacts(const Project& project, const std::string& number = {});

/// One table of sections, three of what was compared; of one section if it is named.
Result<TableReport> sectionReport(const Project& project, const ProjectRecords& records,
                                  const std::string& number = {});

} // namespace inkpeg
