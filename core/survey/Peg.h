// SPDX-License-Identifier: GPL-3.0-or-later
// A surveyed control point.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "core/base/Units.h"

namespace inkpeg {

/// Which frame a peg's coordinates are given in.
enum class PegFrame {
    Crs,  ///< the project's CRS
    Site, ///< the local site grid, related to the CRS by a fitted plane similarity
};

/// One surveyed control point, as the register gives it.
/// Units: metres; standard errors are one sigma.
struct Peg {
    std::int64_t id = 0; ///< row in the project file; 0 = not stored yet
    std::string name;
    PegFrame frame = PegFrame::Crs;
    GroundM position;
    std::optional<double> levelM{};
    double standardErrorEastM = 0.010;
    double standardErrorNorthM = 0.010;
    std::optional<double> standardErrorLevelM{};
    std::string note{};

    bool operator==(const Peg&) const = default;
};

} // namespace inkpeg
