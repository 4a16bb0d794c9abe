// SPDX-License-Identifier: GPL-3.0-or-later
// Taking proposals: the context on the record of a find, sample or timber put right.
#pragma once

#include <span>
#include <string>

#include "core/checks/Proposals.h"
#include "core/store/Project.h"

namespace inkpeg {

/// Puts every proposal's context on its record, as one act that one undo takes back.
/// Errors: NotFound (no proposals; no such record); Conflict (a record names another context than the
/// proposal was made for); BadInput (no reason); ReadOnly.
Result<Change> takeProposals(Project& project, std::span<const Proposal> proposals, const std::string& why);

} // namespace inkpeg
