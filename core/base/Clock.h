// SPDX-License-Identifier: GPL-3.0-or-later
// The time that goes into files and records.
#pragma once

#include <string>

namespace inkpeg {

/// Now, in UTC, as ISO 8601 with milliseconds: "2026-05-04T16:20:05.123Z".
/// Where the environment sets SOURCE_DATE_EPOCH (whole seconds since 1970) that moment is told instead, so
/// that the same work makes the same bytes (reproducible-builds.org, SOURCE_DATE_EPOCH specification 1.1).
std::string utcNow();

} // namespace inkpeg
