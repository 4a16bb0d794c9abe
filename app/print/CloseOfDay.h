// SPDX-License-Identifier: GPL-3.0-or-later
// The close-of-day sheet: what must be done before a trench is backfilled, to be ticked off with a pencil.
#pragma once

#include <string>

#include "core/checks/Tally.h"

namespace inkpeg {

struct CloseOfDaySettings {
    std::string trench = {}; ///< only this one; empty = all
    GroupBy by = GroupBy::Trench;
    Severity least = Severity::Should; ///< what weighs less is counted, not listed
};

/// What the sheet is about, beside the matters.
struct CloseOfDayHead {
    std::string site, title; ///< "SKR26", "Skelder Rigg"
    std::string person;      ///< initials of who printed it
    std::string at;          ///< state of the project, ISO 8601, UTC
};

/// The open and waived matters that the sheet lists.
Tally listedOnSheet(const Tally& tally, const CloseOfDaySettings& settings);

/// A4 pages: what must be done first, by group; then what should be; what was set aside, by whom and why;
/// the usual cautions; room for a name. The same tally gives the same bytes.
std::string closeOfDayPdf(const Tally& tally, const CloseOfDayHead& head,
                          const CloseOfDaySettings& settings = {});

} // namespace inkpeg
