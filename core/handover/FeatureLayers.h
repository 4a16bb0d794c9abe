// SPDX-License-Identifier: GPL-3.0-or-later
// Gathers what a project hands over into layers: drawn work carried to the ground, and the registers.
//
//   const Result<HandOverContent> content = gatherLayers(project, {}, progress);
//   for (const FeatureLayer& layer : content->layers) ...
#pragma once

#include <string>
#include <vector>

#include "core/base/Progress.h"
#include "core/base/Result.h"
#include "core/handover/DrawnLayers.h"
#include "core/handover/FeatureLayer.h"
#include "core/handover/GroundOutlines.h"
#include "core/store/Project.h"

namespace inkpeg {

struct GatherSettings {
    /// Outlines of a lower stage stay behind (and are counted in the remarks).
    Stage leastStage = Stage::Listed;
    double chordToleranceMm = DefaultChordToleranceMm;
};

/// Everything drawn, on the ground, and what stayed behind of it.
struct GatheredWork {
    DrawnWork work;
    std::vector<std::string> remarks;
};

/// Drawing by drawing. A drawing that cannot be fitted keeps its record but none of its drawn work; the
/// remarks name it and give the reason. Errors: Cancelled; as ringsInSpace and
/// Project::takeReadingTrouble.
Result<GatheredWork> gatherDrawnWork(const Project& project, const GatherSettings& settings = {},
                                     const Progress& progress = {});

struct HandOverContent {
    std::vector<FeatureLayer> layers;
    std::vector<std::string> remarks; ///< what stayed behind, and why
};

/// Layers in a fixed order, features in order of their rows. Errors: as gatherDrawnWork.
Result<HandOverContent> gatherLayers(const Project& project, const GatherSettings& settings = {},
                                     const Progress& progress = {});

/// Every layer's schema, as gatherLayers fills it.
std::vector<LayerSchema> handOverSchema();

/// The schemas as a table (RFC 4180): layer, field, type, unit, meaning.
std::string dataDictionaryCsv(const std::vector<LayerSchema>& schemas);

} // namespace inkpeg
