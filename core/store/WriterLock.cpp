// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/WriterLock.h"

#include <array>
#include <cerrno>
#include <cstring>
#include <string>
#include <utility>

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include "core/base/Text.h"

namespace inkpeg {

namespace {

std::string holderOf(int descriptor)
{
    std::array<char, 32> text{};
    const ssize_t length = ::pread(descriptor, text.data(), text.size(), 0);
    return std::string(trimmed({text.data(), static_cast<std::size_t>(length > 0 ? length : 0)}));
}

/// True if `file` is still the file that `descriptor` opened: a writer that just ended may have removed it.
bool stillThere(int descriptor, const std::filesystem::path& file)
{
    struct stat opened {};
    struct stat named {};
    return ::fstat(descriptor, &opened) == 0 && ::stat(file.c_str(), &named) == 0 &&
           opened.st_ino == named.st_ino && opened.st_dev == named.st_dev;
}

} // namespace

Result<WriterLock> WriterLock::take(const std::filesystem::path& project)
{
    std::filesystem::path file = project;
    file += "-lock";
    for (;;) {
        const int descriptor = ::open(file.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0644);
        if (descriptor < 0)
            return Error{ErrorCode::ReadOnly,
                         project.string() + ": cannot be opened for writing, because " + file.string() +
                             " cannot be made (" + std::strerror(errno) + ")"};
        if (::flock(descriptor, LOCK_EX | LOCK_NB) != 0) {
            const int cause = errno;
            const std::string holder = holderOf(descriptor);
            ::close(descriptor);
            if (cause != EWOULDBLOCK)
                return Error{ErrorCode::ReadOnly, project.string() + ": cannot be locked for writing (" +
                                                      std::strerror(cause) + ")"};
            return Error{ErrorCode::ReadOnly,
                         project.string() + ": process " + holder +
                             " is writing it; close it there, or open the project for reading"};
        }
        if (!stillThere(descriptor, file)) {
            ::close(descriptor);
            continue;
        }
        const bool leftBehind = !holderOf(descriptor).empty();
        const std::string self = std::to_string(::getpid()) + "\n";
        if (::ftruncate(descriptor, 0) != 0 || ::pwrite(descriptor, self.data(), self.size(), 0) < 0) {
            const int cause = errno;
            ::close(descriptor);
            return Error{cause == ENOSPC ? ErrorCode::OutOfSpace : ErrorCode::ReadOnly,
                         file.string() + ": " + std::strerror(cause)};
        }
        return WriterLock(descriptor, std::move(file), leftBehind);
    }
}

WriterLock::WriterLock(int descriptor, std::filesystem::path file, bool leftBehind)
    : m_descriptor(descriptor), m_file(std::move(file)), m_leftBehind(leftBehind)
{
}

WriterLock::WriterLock(WriterLock&& other) noexcept
    : m_descriptor(std::exchange(other.m_descriptor, -1)), m_file(std::move(other.m_file)),
      m_leftBehind(other.m_leftBehind)
{
}

WriterLock& WriterLock::operator=(WriterLock&& other) noexcept
{
    if (this != &other) {
        letGo();
        m_descriptor = std::exchange(other.m_descriptor, -1);
        m_file = std::move(other.m_file);
        m_leftBehind = other.m_leftBehind;
    }
    return *this;
}

WriterLock::~WriterLock()
{
    letGo();
}

void WriterLock::letGo()
{
    if (m_descriptor < 0)
        return;
    ::unlink(m_file.c_str());
    ::close(m_descriptor);
    m_descriptor = -1;
}

} // namespace inkpeg
