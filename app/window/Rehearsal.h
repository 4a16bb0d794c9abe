// SPDX-License-Identifier: GPL-3.0-or-later
// A copy of the project to try things on. Registers lean on each other (a pin on its drawing, a drawing on
// its sheet), so what the last of several would do is only known once the ones before it have been taken:
// they are taken into the copy.
//
//   Result<Rehearsal> rehearsal = Rehearsal::of(project.file());
//   importRegister(rehearsal->project(), file, ...);
#pragma once

#include <filesystem>
#include <memory>

#include "core/base/Result.h"
#include "core/store/Project.h"

namespace inkpeg {

class Rehearsal {
public:
    /// Copies a project file beside itself, so that the paths of scans hold. Nobody may write to it
    /// meanwhile. The copy is removed with this object.
    /// Errors: as Project::open; System, OutOfSpace (the copy cannot be written).
    static Result<Rehearsal> of(const std::filesystem::path& from);

    Rehearsal(Rehearsal&&) noexcept = default;
    Rehearsal& operator=(Rehearsal&&) = delete;
    ~Rehearsal();

    Project& project() { return *m_project; }

private:
    Rehearsal(std::filesystem::path file, Project project);
    static void remove(const std::filesystem::path& file);

    std::filesystem::path m_file;
    std::unique_ptr<Project> m_project; ///< null when moved from
};

} // namespace inkpeg
