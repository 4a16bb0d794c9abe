// SPDX-License-Identifier: GPL-3.0-or-later
// Upright timbers as they stand: their outline in plan, and their axis in space.
#pragma once

#include "core/handover/FeatureLayer.h"
#include "core/store/Project.h"

namespace inkpeg {

/// timber_outlines (multipolygon: seen from above) and space_timbers (line with levels: axis from bottom to
/// top). A timber without levels is in neither; one without a diameter has no outline. No project: the
/// schemas alone.
std::vector<FeatureLayer> timberLayers(const Project* project);

} // namespace inkpeg
