// SPDX-License-Identifier: GPL-3.0-or-later
// How this folder calls GDAL: messages are collected instead of printed, and no file beside the one named
// is read or written, on the calling thread and for as long as the object lives.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include <cpl_error.h>

namespace inkpeg {

class GdalSession {
public:
    GdalSession();
    ~GdalSession();
    GdalSession(const GdalSession&) = delete;
    GdalSession& operator=(const GdalSession&) = delete;

    /// True once GDAL has reported a failure (warnings do not count) since the last forget().
    bool failed() const { return !m_failures.empty(); }
    /// The first failure in GDAL's words, or "no reason given".
    std::string firstFailure() const;
    void forget() { m_failures.clear(); }

private:
    static void CPL_STDCALL collect(CPLErr kind, CPLErrorNum number, const char* message);

    std::vector<std::string> m_failures;
    std::vector<std::pair<std::string, std::string>> m_before; // thread-local options and what they held
    std::vector<std::string> m_unset;
};

/// Registers GDAL's formats and bounds its block cache to 64 MiB, once in the process; thread-safe.
void prepareGdal();

} // namespace inkpeg
