// SPDX-License-Identifier: GPL-3.0-or-later
// What the verb pin prints of a drawing: residuals, models, causes, crosses.
#pragma once

#include <iosfwd>
#include <string>

#include "core/handover/ResidualFigures.h"
#include "core/store/GridCrosses.h"

namespace inkpeg {

/// `text` in so many columns on the screen; UTF-8 letters count once.
std::string padded(const std::string& text, std::size_t width);

void printResiduals(const DrawingFigures& figures, std::ostream& out);
void printModels(const DrawingFigures& figures, std::ostream& out);
/// Causes with their numbers, as --remedy takes them.
void printDiagnosis(const DrawingFigures& figures, std::ostream& out);
void printSiteGrid(const SiteGridFigures& figures, std::ostream& out);
void printCrosses(const GridProposal& grid, std::ostream& out);
std::string crossesJson(const GridProposal& grid, const std::string& drawing);

} // namespace inkpeg
