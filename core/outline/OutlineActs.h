// SPDX-License-Identifier: GPL-3.0-or-later
// What is done to the areas of outlines. Each act is refused as a whole or done as a whole, knits what
// adjoins and leaves valid outlines (editOutlines). Outlines are named by their index.
#pragma once

#include <cstddef>
#include <span>
#include <string>

#include "core/base/Result.h"
#include "core/outline/DrawnOutlines.h"

namespace inkpeg {

/// A newly traced area: joins the outline of its context where there is one on the drawing (as one area
/// where they touch along an edge or overlap, else as a further part), or becomes an outline of its own.
/// Errors: BadInput (not valid).
Result<void> addParts(DrawnOutlines& outlines, const std::string& context, std::span<const Part> parts);

/// Takes the area of `newer` out of `older`; both then share the edge between them, with the kinds it has
/// on the newer one. Errors: BadInput (they do not overlap; nothing of the older would be left).
Result<void> cutOut(DrawnOutlines& outlines, std::size_t newer, std::size_t older);

/// Divides an outline along a line that runs across it. The largest piece, with the parts that the line
/// does not cross, keeps the record number; the rest goes to `context`, joining its outline where there is
/// one on the drawing. Errors: BadInput (the line does not divide it; `context` is its own number).
Result<void> splitOutline(DrawnOutlines& outlines, std::size_t index, std::span<const ScanPx> line,
                          const std::string& context, EdgeKind cutKind = EdgeKind::Certain);

/// Makes one outline of two, under the number of `kept`. Where they share edges these are gone; where they
/// do not touch the outline has several parts. Errors: BadInput (an outline with itself).
Result<void> mergeOutlines(DrawnOutlines& outlines, std::size_t kept, std::size_t other);

/// Cuts a ring out of an outline as a hole. Errors: BadInput (not inside the outline; not valid).
Result<void> addHole(DrawnOutlines& outlines, std::size_t index, const Ring& ring);

/// Closes the hole about `at`. Errors: BadInput (no hole there).
Result<void> removeHole(DrawnOutlines& outlines, std::size_t index, ScanPx at);

/// Takes away the part about `at`; the last part takes the outline with it. Errors: BadInput (no part
/// there).
Result<void> removePart(DrawnOutlines& outlines, std::size_t index, ScanPx at);

} // namespace inkpeg
