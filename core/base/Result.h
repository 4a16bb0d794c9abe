// SPDX-License-Identifier: GPL-3.0-or-later
// A value or an error with a message for people; what every fallible call of the core returns.
//
//   const Result<Scan> scan = openScan(path);
//   if (!scan)
//       return scan.error();          // an Error converts to any Result
//   use(scan.value());
#pragma once

#include <cassert>
#include <string>
#include <utility>
#include <variant>

namespace inkpeg {

/// What kind of trouble, for programs. The command line turns every one but `Cancelled` into exit code 2.
enum class ErrorCode {
    BadInput,   ///< a file, line or field cannot be read as what it claims to be
    NotFound,   ///< a file, record or peg that was named does not exist
    Conflict,   ///< the act contradicts what the project already holds
    ReadOnly,   ///< another process holds the project, or it is newer than this program
    Unsolvable, ///< the numbers do not determine an answer (too few pins, all on a line, ...)
    OutOfSpace, ///< the disk is full
    System,     ///< the operating system or a library refused
    Cancelled,  ///< the person stopped it
};

/// `message` names the file, line or field, says what is wrong and what would be right.
struct Error {
    ErrorCode code = ErrorCode::BadInput;
    std::string message;

    bool operator==(const Error&) const = default;
};

/// Short word for an error code, e.g. "bad input"; used in JSON output and in the journal.
std::string errorCodeName(ErrorCode code);

template<typename T>
class [[nodiscard]] Result {
public:
    Result(T value) : m_held(std::in_place_index<0>, std::move(value)) {}
    Result(Error error) : m_held(std::in_place_index<1>, std::move(error)) {}

    explicit operator bool() const { return m_held.index() == 0; }

    const T& value() const&
    {
        assert(*this);
        return *std::get_if<0>(&m_held);
    }
    T& value() &
    {
        assert(*this);
        return *std::get_if<0>(&m_held);
    }
    T&& value() &&
    {
        assert(*this);
        return std::move(*std::get_if<0>(&m_held));
    }
    const Error& error() const
    {
        assert(!*this);
        return *std::get_if<1>(&m_held);
    }

    const T& operator*() const { return value(); }
    T& operator*() { return value(); }
    const T* operator->() const { return &value(); }
    T* operator->() { return &value(); }

private:
    std::variant<T, Error> m_held;
};

/// Done, or an error.
template<>
class [[nodiscard]] Result<void> {
public:
    Result() = default;
    Result(Error error) : m_error(std::move(error)), m_failed(true) {}

    explicit operator bool() const { return !m_failed; }
    const Error& error() const
    {
        assert(m_failed);
        return m_error;
    }

private:
    Error m_error;
    bool m_failed = false;
};

} // namespace inkpeg
