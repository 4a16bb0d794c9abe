// SPDX-License-Identifier: GPL-3.0-or-later
// The options of print-ready plans, which two verbs take.
#pragma once

#include <vector>

#include "app/cli/Verb.h"
#include "app/print/HandOver.h"

namespace inkpeg {

/// All but --drawing, whose words differ between the verbs.
const std::vector<OptionWords>& plansOptions();

/// Errors: BadInput naming the option.
Result<PlansOrder> plansOrderOf(const Call& call);

} // namespace inkpeg
