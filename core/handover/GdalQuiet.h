// SPDX-License-Identifier: GPL-3.0-or-later
// Keeps GDAL's messages off the screen and in a list, for as long as the object lives.
#pragma once

#include <string>
#include <vector>

namespace inkpeg {

class GdalQuiet {
public:
    GdalQuiet();
    ~GdalQuiet();
    GdalQuiet(const GdalQuiet&) = delete;
    GdalQuiet& operator=(const GdalQuiet&) = delete;

    /// What GDAL complained of so far (warnings left out), with semicolons between; a stock phrase if it
    /// said nothing.
    std::string words() const;
    bool failed() const { return !m_failures.empty(); }

private:
    std::vector<std::string> m_failures;
};

} // namespace inkpeg
