// SPDX-License-Identifier: GPL-3.0-or-later
// Whether an outline is a polygon that every reader will understand.
//
//   if (const Result<void> sound = checkParts(outline.parts); !sound)
//       say(sound.error().message);   // "the outline crosses itself at column 812.5, row 340.0; ..."
#pragma once

#include <optional>
#include <span>
#include <string>

#include "core/base/Result.h"
#include "core/outline/Outline.h"

namespace inkpeg {

/// What keeps parts from being polygons: in words without a remedy, and the place if it has one.
struct Fault {
    std::string words;
    std::optional<ScanPx> at;
};

/// The first fault, or nothing; judged as checkParts does.
std::optional<Fault> faultOf(std::span<const Part> parts);

/// Valid by the rules of simple features: rings that do not cross themselves, holes inside, parts apart.
/// Errors: BadInput with the place in the scan, what is wrong there and what would be right.
/// Source: OGC 06-103r4 (Simple feature access 1.2.1), 6.1.11; judged by GEOS.
Result<void> checkParts(std::span<const Part> parts);

} // namespace inkpeg
