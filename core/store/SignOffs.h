// SPDX-License-Identifier: GPL-3.0-or-later
// Signing drawings and contexts off, and what happens when something that was signed is changed.
//
//   Result<Change> signed_ = signOff(project, "drawing", "P-014", Stage::SignedOff, "compared with the
//   film");
//   ...                                            // somebody moves a vertex on P-014, giving a reason
//   breakSeals(project, "vertex moved: the film was misread");
#pragma once

#include <optional>
#include <string>

#include "core/base/Result.h"
#include "core/store/Project.h"

namespace inkpeg {

/// Takes a subject ("drawing" or "context") to stage Checked or SignedOff in the name of the person at the
/// keyboard, as one act: the stage, and a sign-off with the seal over what was signed. Errors: as maySign
/// (core/checks/Seal.h), with all open matters looked at; ReadOnly.
Result<Change> signOff(Project& project, const std::string& subjectKind, const std::string& subject,
                       Stage stage, const std::string& reason);

/// Marks each seal whose subject is no longer what was signed as broken and takes the subject back to
/// Traced, as one act; nothing when every seal holds. Called after an act on something that is signed off.
/// Errors: BadInput (no reason given); ReadOnly.
Result<std::optional<Change>> breakSeals(Project& project, const std::string& reason);

/// True if the drawing or context is signed off and its seal not broken: changing it needs a reason.
bool isSealed(const Project& project, const std::string& subjectKind, const std::string& subject);

} // namespace inkpeg
