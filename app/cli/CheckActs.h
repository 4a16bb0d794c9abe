// SPDX-License-Identifier: GPL-3.0-or-later
// What the verb "check" does beside listing: checking, signing off, setting aside.
#pragma once

#include <vector>

#include "app/cli/Verb.h"

namespace inkpeg {

/// The options that act.
std::vector<OptionWords> checkActOptions();

/// Does what the options ask, each as an act of its own, in the order of checkActOptions. Nothing when none
/// of them is given.
/// Errors: BadInput (no person, no reason, a subject that cannot be read); as signOff, takeSignOffBack.
Result<void> doCheckActs(const Call& call);

} // namespace inkpeg
