// SPDX-License-Identifier: GPL-3.0-or-later
// The residual report on paper and on screen: what was fitted, to what, by whom, when, and how well.
//
// Works without a display: a QGuiApplication is made on the offscreen platform if there is none yet.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "core/base/Progress.h"
#include "core/base/Result.h"
#include "core/handover/ResidualFigures.h"

namespace inkpeg {

/// A4 pages, vector: a summary when there is more than one drawing, then a page or more for each drawing.
/// The same figures give the same bytes; the date in the file is the state of the project.
std::string residualPdf(const ProjectFigures& figures, const Progress& progress = {});

/// One page that stands alone: no scripts, nothing fetched, every text escaped, readable on a phone.
std::string residualHtml(const ProjectFigures& figures);

/// residuals.pdf, residuals.html, residuals.csv, residuals.json in `folder`, each written whole or not at
/// all; former ones are replaced. Errors: OutOfSpace; System; Cancelled.
Result<std::vector<std::filesystem::path>> writeResidualReport(const ProjectFigures& figures,
                                                               const std::filesystem::path& folder,
                                                               const Progress& progress = {});

/// The same for each drawing by itself, in a folder of its own named after its number (signs that a file name
/// should not have become hyphens). Errors: as writeResidualReport.
Result<std::vector<std::filesystem::path>> writeEachResidualReport(const ProjectFigures& figures,
                                                                   const std::filesystem::path& folder,
                                                                   const Progress& progress = {});

/// "similarity at 1:20; 6 pins, 1 check point" and the like: label and value, in the order of the report.
std::vector<std::pair<std::string, std::string>> fitFacts(const ProjectFigures& project,
                                                          const DrawingFigures& drawing);

/// w of a residual: the larger of the two coordinates, with as many decimals as can be of use.
std::string testText(const PinResidual& residual);

/// The comparison of models as a table: of each model its cells, or why it cannot be fitted.
struct ModelRow {
    bool chosen = false, recommended = false;
    std::vector<std::string> cells; ///< under modelColumns(); only the name when not fitted
    std::string whyNot;
};
std::vector<std::string> modelColumns();
std::vector<ModelRow> modelRows(const DrawingFigures& drawing);

} // namespace inkpeg
