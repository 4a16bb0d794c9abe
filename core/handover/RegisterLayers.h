// SPDX-License-Identifier: GPL-3.0-or-later
// The layers that hold the registers as they were written, without anything drawn.
#pragma once

#include <vector>

#include "core/handover/FeatureLayer.h"
#include "core/store/Project.h"

namespace inkpeg {

/// trenches, pegs, contexts, relations, finds, samples, timbers, photographs, sheets, people, sign_offs.
/// Without a project: the same layers, empty. `remarks` receives what could not be placed.
std::vector<FeatureLayer> registerLayers(const Project* project, std::vector<std::string>& remarks);

} // namespace inkpeg
