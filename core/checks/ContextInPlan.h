// SPDX-License-Identifier: GPL-3.0-or-later
// Which context a place on a plan lies in, as drawn.
#pragma once

#include <cstdint>
#include <string>

#include "core/checks/ProjectRecords.h"

namespace inkpeg {

/// The smallest outline of the plan that holds the place: what a level without a number belongs to. Empty
/// if none does.
std::string contextInPlan(const ProjectRecords& records, std::int64_t drawing, GroundM place);

} // namespace inkpeg
