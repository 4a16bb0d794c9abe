// SPDX-License-Identifier: GPL-3.0-or-later
// Timbers of the register that stand: with a place, levels and a lean.
#pragma once

#include "core/checks/ProjectRecords.h"
#include "core/section/UprightTimber.h"

namespace inkpeg {

/// How far a length may be from that of the levels and the lean before it is told (common practice, no
/// source).
inline constexpr double TimberLengthToleranceM = 0.05;

/// Errors: BadInput naming the timber: no place; as uprightTimber.
Result<UprightTimber> standing(const Timber& timber);

} // namespace inkpeg
