// SPDX-License-Identifier: GPL-3.0-or-later
// A folder that appears complete or not at all: written under a temporary name beside its place, then
// renamed.
#pragma once

#include <filesystem>
#include <string>

#include "core/base/Result.h"

namespace inkpeg {

/// Move-only. Unless kept, everything written is removed when the object goes.
class StagedFolder {
public:
    /// `markFile` is a file that every folder of this kind holds, e.g. "hand-over.json": with `replace`, a
    /// folder that is already there is replaced if it holds it, and refused otherwise. Errors: Conflict
    /// (the place is taken); System; OutOfSpace.
    static Result<StagedFolder> beside(const std::filesystem::path& place, bool replace,
                                       const std::string& markFile);

    StagedFolder(StagedFolder&& other) noexcept;
    StagedFolder& operator=(StagedFolder&&) = delete;
    ~StagedFolder();

    /// Where to write.
    const std::filesystem::path& path() const { return m_staging; }

    /// Flushes every file to the disk, then puts the folder in its place.
    /// Errors: System.
    Result<void> keep();

private:
    StagedFolder(std::filesystem::path place, std::filesystem::path staging)
        : m_place(std::move(place)), m_staging(std::move(staging))
    {
    }
    std::filesystem::path m_place;
    std::filesystem::path m_staging;
};

/// Writes a whole file. Errors: OutOfSpace; System.
Result<void> writeFile(const std::filesystem::path& file, const std::string& bytes);

/// Reads a whole file. Errors: NotFound.
Result<std::string> readFile(const std::filesystem::path& file);

} // namespace inkpeg
