// SPDX-License-Identifier: GPL-3.0-or-later
// One edge drawn twice: where a section line crosses the outlines of a plan, against where the same
// contexts end on the drawn face.
#pragma once

#include <vector>

#include "core/checks/PlanAgainstSection.h"
#include "core/checks/SectionFace.h"

namespace inkpeg {

/// Adds what one plan outline has to compare with a face that shows its context.
/// Only edges no further apart than `sameEdgeM` are the same edge.
void compareEdges(const ProjectRecords& records, const OutlineOnGround& ground, const Drawing& plan,
                  const SectionFace& face, double sameEdgeM, std::vector<EdgeMisfit>& found);

} // namespace inkpeg
