// SPDX-License-Identifier: GPL-3.0-or-later
// Asks of a drawing in the project which pins are wrong and which model suits it.
//
//   const Result<Diagnosis> diagnosis = diagnoseDrawing(project, drawing);
//   if (diagnosis && diagnosis->alarm) show(diagnosis->summary);
#pragma once

#include "core/base/Result.h"
#include "core/fit/Blunders.h"
#include "core/fit/ModelChoice.h"
#include "core/store/DrawingFit.h"

namespace inkpeg {

/// Wrong pins of a drawing and their likely causes, held against every peg of the register that has a place
/// in the drawing's plane. Remedies are in the order of the drawing's pins. Errors: as controlPoints.
Result<Diagnosis> diagnoseDrawing(const Project& project, const Drawing& drawing);

/// Every model for the drawing's pins, over its part of the sheet.
/// Errors: as controlPoints.
Result<ModelComparison> compareModelsFor(const Project& project, const Drawing& drawing);

} // namespace inkpeg
