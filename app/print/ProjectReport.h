// SPDX-License-Identifier: GPL-3.0-or-later
// The reports of a project as one document: summary, residuals, finds, checks, sign-offs, deposit statement,
// data dictionary.
#pragma once

#include <set>
#include <string>
#include <vector>

#include "app/print/Document.h"
#include "core/base/Progress.h"
#include "core/base/Result.h"
#include "core/store/Project.h"

namespace inkpeg {

enum class ReportPart { Summary, Residuals, Finds, Checks, SignOffs, Deposit, Dictionary };

/// "summary", "residuals", "finds", "checks", "sign-offs", "deposit", "dictionary".
std::string reportPartName(ReportPart part);
/// Errors: BadInput (says which there are).
Result<ReportPart> reportPartNamed(const std::string& name);
const std::set<ReportPart>& allReportParts();

/// The parts asked for, in their order. Errors: Cancelled.
Result<Document> projectReport(const Project& project, const std::set<ReportPart>& parts = allReportParts(),
                               const Progress& progress = {});

} // namespace inkpeg
