// SPDX-License-Identifier: GPL-3.0-or-later
// Bytes at places in a file, for any number of threads at once.
#pragma once

#include <cstdint>
#include <filesystem>

#include "core/base/Result.h"

namespace inkpeg {

class RawFile {
public:
    RawFile() = default;
    ~RawFile();
    RawFile(const RawFile&) = delete;
    RawFile& operator=(const RawFile&) = delete;

    /// A file in `folder` without a name, gone when closed. Errors: OutOfSpace; System.
    Result<void> createNameless(const std::filesystem::path& folder);
    /// A new file, or an emptied one. Errors: OutOfSpace; System.
    Result<void> create(const std::filesystem::path& file);
    bool openForReading(const std::filesystem::path& file);

    Result<void> write(std::uint64_t offset, const void* bytes, std::size_t count);
    Result<void> sync();
    /// False when the file ends before, or cannot be read.
    bool read(std::uint64_t offset, void* bytes, std::size_t count) const;
    bool isOpen() const { return m_descriptor >= 0; }

private:
    Error trouble(int number) const;

    std::filesystem::path m_place; ///< file or folder, for messages
    int m_descriptor = -1;
};

} // namespace inkpeg
