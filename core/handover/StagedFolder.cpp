// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/StagedFolder.h"

#include <cerrno>
#include <cstring>
#include <fstream>
#include <sstream>

#include <fcntl.h>
#include <unistd.h>

namespace inkpeg {

namespace fs = std::filesystem;

namespace {

Error refused(const fs::path& path, const std::string& what, const std::error_code& reason)
{
    const bool full = reason == std::errc::no_space_on_device;
    return {full ? ErrorCode::OutOfSpace : ErrorCode::System,
            path.string() + ": " + what + ": " + reason.message()};
}

/// Rename alone may put a name on blocks that are not yet on the disk.
Result<void> syncFile(const fs::path& path)
{
    const int handle = ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
    const bool synced = handle >= 0 && ::fsync(handle) == 0;
    const std::error_code reason(errno, std::generic_category());
    if (handle >= 0)
        ::close(handle);
    return synced ? Result<void>() : Result<void>(refused(path, "cannot be flushed to the disk", reason));
}

Result<void> syncAllIn(const fs::path& folder)
{
    for (const fs::directory_entry& entry : fs::recursive_directory_iterator(folder)) {
        const Result<void> synced = syncFile(entry.path());
        if (!synced)
            return synced;
    }
    return syncFile(folder);
}

} // namespace

Result<StagedFolder> StagedFolder::beside(const fs::path& place, bool replace, const std::string& markFile)
{
    std::error_code failed;
    const fs::path target = fs::absolute(place).lexically_normal();
    const fs::path named = target.has_filename() ? target : target.parent_path();
    const bool taken =
        fs::exists(named, failed) && !(fs::is_directory(named, failed) && fs::is_empty(named, failed));
    if (taken && !replace)
        return Error{ErrorCode::Conflict,
                     named.string() + ": already exists; name a new folder, or ask to replace it"};
    if (taken && !fs::exists(named / markFile, failed))
        return Error{ErrorCode::Conflict,
                     named.string() + ": holds no " + markFile +
                         ", so it was not written by this program and is not replaced; name a "
                         "new folder"};
    fs::create_directories(named.parent_path(), failed);
    if (failed)
        return refused(named.parent_path(), "cannot be made", failed);
    const fs::path staging = named.string() + ".part-" + std::to_string(::getpid());
    fs::remove_all(staging, failed);
    if (!fs::create_directory(staging, failed))
        return refused(staging, "cannot be made", failed);
    return StagedFolder(named, staging);
}

StagedFolder::StagedFolder(StagedFolder&& other) noexcept
    : m_place(std::move(other.m_place)), m_staging(std::move(other.m_staging))
{
    other.m_staging.clear();
}

StagedFolder::~StagedFolder()
{
    std::error_code ignored;
    if (!m_staging.empty())
        fs::remove_all(m_staging, ignored);
}

Result<void> StagedFolder::keep()
{
    const Result<void> synced = syncAllIn(m_staging);
    if (!synced)
        return synced;
    std::error_code failed;
    // The former folder is only set aside until the new one stands.
    const fs::path former = m_place.string() + ".former-" + std::to_string(::getpid());
    const bool hadFormer = fs::exists(m_place, failed);
    if (hadFormer) {
        fs::rename(m_place, former, failed);
        if (failed)
            return refused(m_place, "cannot be replaced", failed);
    }
    fs::rename(m_staging, m_place, failed);
    if (failed) {
        std::error_code ignored;
        if (hadFormer)
            fs::rename(former, m_place, ignored);
        return refused(m_place, "cannot be put in place", failed);
    }
    m_staging.clear();
    if (hadFormer)
        fs::remove_all(former, failed);
    return syncFile(m_place.parent_path());
}

Result<void> writeFile(const fs::path& file, const std::string& bytes)
{
    std::error_code failed;
    fs::create_directories(file.parent_path(), failed);
    errno = 0;
    std::ofstream out(file, std::ios::binary | std::ios::trunc);
    out.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
    out.close();
    if (!out)
        return refused(file, "cannot be written", std::error_code(errno, std::generic_category()));
    return {};
}

Result<std::string> readFile(const fs::path& file)
{
    std::ifstream in(file, std::ios::binary);
    std::ostringstream bytes;
    if (!in || !(bytes << in.rdbuf()))
        if (std::error_code ignored;
            !fs::is_regular_file(file, ignored) || fs::file_size(file, ignored) > 0)
            return Error{ErrorCode::NotFound, file.string() + ": cannot be read"};
    return bytes.str();
}

} // namespace inkpeg
