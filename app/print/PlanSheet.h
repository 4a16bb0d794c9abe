// SPDX-License-Identifier: GPL-3.0-or-later
// A print-ready plan or section: drawn work at an exact scale on a sheet of paper, with what a reader needs
// to use it.
//
//   const Result<PlanSheet> sheet = planSheet(*content, words, {.scaleDenominator = 20});
//   const std::string pdf = artPdf({sheet->art}, "Plans", at);
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "app/print/LabelPlacing.h"
#include "app/print/PageArt.h"
#include "core/base/Result.h"
#include "core/handover/SheetContent.h"

namespace inkpeg {

/// ISO 216, A series.
enum class PaperSize { A4, A3, A2, A1, A0 };

/// "A4" ... "A0".
std::string paperName(PaperSize paper);
/// Errors: BadInput (says which there are).
Result<PaperSize> paperNamed(const std::string& name);

struct SheetSettings {
    PaperSize paper = PaperSize::A3;
    bool standing = false;                               ///< upright instead of lying
    std::optional<double> scaleDenominator = {};         ///< nothing: the largest customary scale that fits
    std::optional<double> verticalScaleDenominator = {}; ///< of sections; nothing: as the horizontal one
    bool levels = true;                                  ///< spot levels
};

/// What the title block says beside the content's own title.
struct SheetWords {
    std::string siteCode, project;
    std::string crs, datum;
    std::string at; ///< state of the project, ISO 8601, UTC
};

struct PlanSheet {
    PageArt art;
    double scaleDenominator = 20;
    double verticalScaleDenominator = 20;
    PageBox field;                   ///< where the ground is drawn
    PageBox scaleBar;                ///< exactly as long as its label says
    double scaleBarM = 0;            ///< the label
    std::vector<PageBox> labels;     ///< of every number on the field
    std::vector<std::string> noRoom; ///< numbers that found no place (said on the sheet too)
    std::vector<std::string> key;    ///< what the key explains, in its order
};

/// Scales that a plan is customarily printed at, largest first (common practice, no source).
const std::vector<double>& customaryScales();

/// Errors: BadInput (a scale that is not positive; vertical scale for a plan); Unsolvable: does not fit on
/// the paper at the scale asked for (says which scale or paper would do).
Result<PlanSheet> planSheet(const SheetContent& content, const SheetWords& words,
                            const SheetSettings& settings);

} // namespace inkpeg
