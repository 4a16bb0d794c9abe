// SPDX-License-Identifier: GPL-3.0-or-later
// What helps to pin a drawing from the command line: marks centred on their crosses, pins shared with the
// sheet's other drawings, the grid found from two pins, a remedy taken.
#pragma once

#include <optional>
#include <vector>

#include "app/cli/Verb.h"
#include "core/store/GridCrosses.h"
#include "core/store/Project.h"

namespace inkpeg {

/// The options of these aids, for the verb's table.
std::vector<OptionWords> pinAidOptions();

/// Checks the values of the aids. Errors: BadInput naming the option (an unknown word, no whole number, no
/// single drawing to work on).
Result<void> checkPinAids(const Call& call);

/// True if the aids asked for change pins, so that they have to be stored.
bool aidsChangePins(const Call& call);

/// Centres, shares and finds as asked; new pins stand behind the others. `shown` is filled when the crosses
/// are only to be shown. Errors: as proposeGrid and Scan::open.
Result<void> aidPins(const Call& call, const Project& project, const Drawing& drawing,
                     std::vector<Pin>& pins, std::optional<GridProposal>& shown);

/// Takes the remedy asked for, as one act. Errors: as takeRemedy.
Result<void> takeRemedyAsked(const Call& call, Project& project, const Drawing& drawing);

} // namespace inkpeg
