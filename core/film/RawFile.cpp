// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/RawFile.h"

#include <cerrno>
#include <cstdlib>
#include <cstring>

#include <fcntl.h>
#include <unistd.h>

namespace inkpeg {

RawFile::~RawFile()
{
    if (m_descriptor >= 0)
        ::close(m_descriptor);
}

Error RawFile::trouble(int number) const
{
    const ErrorCode code =
        number == ENOSPC || number == EFBIG || number == EDQUOT ? ErrorCode::OutOfSpace : ErrorCode::System;
    return {code,
            m_place.string() + ": no working file can be written there (" + std::strerror(number) + ")"};
}

Result<void> RawFile::createNameless(const std::filesystem::path& folder)
{
    m_place = folder;
    std::string name = (folder / ".inkpeg-scratch-XXXXXX").string();
    m_descriptor = ::mkostemp(name.data(), O_CLOEXEC);
    if (m_descriptor < 0)
        return trouble(errno);
    ::unlink(name.c_str());
    return {};
}

Result<void> RawFile::create(const std::filesystem::path& file)
{
    m_place = file;
    m_descriptor = ::open(file.c_str(), O_RDWR | O_CREAT | O_TRUNC | O_CLOEXEC, 0666);
    if (m_descriptor < 0)
        return trouble(errno);
    return {};
}

bool RawFile::openForReading(const std::filesystem::path& file)
{
    m_place = file;
    m_descriptor = ::open(file.c_str(), O_RDONLY | O_CLOEXEC);
    return m_descriptor >= 0;
}

Result<void> RawFile::write(std::uint64_t offset, const void* bytes, std::size_t count)
{
    const auto* from = static_cast<const std::uint8_t*>(bytes);
    while (count > 0) {
        const ssize_t done = ::pwrite(m_descriptor, from, count, static_cast<off_t>(offset));
        if (done < 0 && errno == EINTR)
            continue;
        if (done <= 0)
            return trouble(done < 0 ? errno : ENOSPC);
        from += done;
        offset += static_cast<std::uint64_t>(done);
        count -= static_cast<std::size_t>(done);
    }
    return {};
}

Result<void> RawFile::sync()
{
    if (::fsync(m_descriptor) != 0)
        return trouble(errno);
    return {};
}

bool RawFile::read(std::uint64_t offset, void* bytes, std::size_t count) const
{
    auto* to = static_cast<std::uint8_t*>(bytes);
    while (count > 0) {
        const ssize_t done = ::pread(m_descriptor, to, count, static_cast<off_t>(offset));
        if (done < 0 && errno == EINTR)
            continue;
        if (done <= 0)
            return false;
        to += done;
        offset += static_cast<std::uint64_t>(done);
        count -= static_cast<std::size_t>(done);
    }
    return true;
}

} // namespace inkpeg
