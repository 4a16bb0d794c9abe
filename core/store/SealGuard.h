// SPDX-License-Identifier: GPL-3.0-or-later
// What every act comes by before it is committed: whether it changed what is signed off. It may, with a
// reason; the seal is then broken and its drawing or context goes back to `traced`, in the same act, so that
// one undo takes all of it back.
#pragma once

#include <string>

#include "core/base/Result.h"
#include "core/store/Project.h"

namespace inkpeg {

class ProjectFile;

/// Looks at the drawings and contexts that `changeset` can have changed; marks the sign-offs whose seal no
/// longer holds as broken and puts their subjects back. Gives the reason to write into the journal: `why`,
/// or what the person answered.
/// Cost: nothing while no seal is in force; else in proportion to what the act touched.
/// Errors: Conflict (no reason: names what is signed off, and by whom).
Result<std::string> settleSeals(const Project& project, const ProjectFile& file, Editor& edit,
                                const std::string& changeset, const std::string& why);

} // namespace inkpeg
