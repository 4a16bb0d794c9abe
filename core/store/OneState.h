// SPDX-License-Identifier: GPL-3.0-or-later
// Lets a long job read one state of a project, whatever others do to it meanwhile.
//
//   const Result<OneState> state = OneState::hold(*project);
//   if (!state)
//       return state.error();
//   handOver(*project, order);      // every record of it as of now
#pragma once

#include "core/base/Result.h"
#include "core/store/Project.h"

namespace inkpeg {

/// Move-only. While it lives, all that is read of the project is as it was when this was made. What others
/// do to the file goes on, and is seen afterwards; only a file that nobody had open for writing cannot be
/// opened for writing meanwhile (it opens for reading). On a project that acts, within one of its acts, it
/// changes nothing; otherwise the project cannot act while it lives.
/// Owns: nothing of the project, which has to outlive it; the project may be moved.
class OneState {
public:
    /// Errors: as SQLite has them (damaged, held by somebody), with the file named.
    static Result<OneState> hold(const Project& project);

    OneState(OneState&& other) noexcept;
    OneState& operator=(OneState&&) = delete;
    ~OneState();

private:
    explicit OneState(const ProjectFile* file) : m_file(file) {}
    const ProjectFile* m_file; ///< null: nothing to let go of
};

} // namespace inkpeg
