// SPDX-License-Identifier: GPL-3.0-or-later
// Signing drawings and contexts off. What happens when something that was signed is changed stands in
// SealGuard.h.
//
//   Result<Change> signed_ = signOff(project, "drawing", "P-014", Stage::SignedOff, "compared with the
//   film");
#pragma once

#include <span>
#include <string>
#include <vector>

#include "core/base/Result.h"
#include "core/checks/Seal.h"
#include "core/store/Project.h"

namespace inkpeg {

/// A drawing or a context by its number.
struct Subject {
    std::string kind; ///< "drawing" or "context"
    std::string number;
    bool operator==(const Subject&) const = default;
};

/// Takes subjects to stage Checked or SignedOff in the name of the person at the keyboard, as one act: the
/// stages, and for each a sign-off with the seal over what was signed. `records` and `open` (its matters
/// less waivers) were read from the project as it is now. All are signed or none.
/// Errors: as SigningRules::may; NotFound (no subjects); ReadOnly.
Result<Change> signOff(Project& project, const ProjectRecords& records, std::span<const Matter> open,
                       std::span<const Subject> subjects, Stage stage, const std::string& reason);

/// The same for one subject, with everything read and checked here.
Result<Change> signOff(Project& project, const std::string& subjectKind, const std::string& subject,
                       Stage stage, const std::string& reason);

/// Takes a subject that is checked or signed off back to Traced, as one act. The sign-offs before stay in
/// the project; one of stage Traced comes after them, which seals nothing.
/// Errors: BadInput (no reason); NotFound; Conflict (it is neither checked nor signed off); ReadOnly.
Result<Change> takeSignOffBack(Project& project, const Subject& subject, const std::string& reason);

/// True if the drawing or context is signed off and its seal not broken: changing it needs a reason.
bool isSealed(const Project& project, const std::string& subjectKind, const std::string& subject);

/// What was signed of a subject, oldest first.
std::vector<SignOff> signOffsOf(const Project& project, const Subject& subject);

} // namespace inkpeg
