// SPDX-License-Identifier: GPL-3.0-or-later
// One writer at a time: a lock on a file beside the project, gone with the process that holds it.
#pragma once

#include <filesystem>

#include "core/base/Result.h"

namespace inkpeg {

/// Holds `<project>-lock` with flock(2) until destroyed, then removes it. A process that is killed leaves
/// the file, unlocked: that is how the next one knows.
class WriterLock {
public:
    /// Errors: ReadOnly naming the process that writes, or saying that the folder cannot be written.
    static Result<WriterLock> take(const std::filesystem::path& project);

    WriterLock(WriterLock&& other) noexcept;
    WriterLock& operator=(WriterLock&& other) noexcept;
    ~WriterLock();

    /// True if a writer before this one ended without letting go.
    bool leftBehind() const { return m_leftBehind; }

private:
    WriterLock(int descriptor, std::filesystem::path file, bool leftBehind);
    void letGo();

    int m_descriptor = -1;
    std::filesystem::path m_file;
    bool m_leftBehind = false;
};

} // namespace inkpeg
