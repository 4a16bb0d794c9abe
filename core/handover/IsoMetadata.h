// SPDX-License-Identifier: GPL-3.0-or-later
// The metadata record of a bag: what the data are, where they come from and how good their positions are.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/handover/LongitudeLatitude.h"
#include "core/handover/ResidualFigures.h"

namespace inkpeg {

struct IsoRecord {
    const ProjectFigures* figures = nullptr; ///< facts, state, and how each drawing lies on its pegs
    std::vector<LonLat> corners;             ///< south-west and north-east; empty when nothing has a place
    std::vector<std::string> formats;        ///< "GeoPackage", ...
};

/// NSSDA over the check points of all drawings together; nothing when there are none.
std::optional<CheckPointAccuracy> projectAccuracy(const ProjectFigures& figures);

/// ISO 19115:2003 metadata in the encoding of ISO/TS 19139:2007, elements in the order of its schema:
/// identification, extent, constraints, reference system, positional accuracy (FGDC-STD-007.3-1998, NSSDA),
/// lineage with a source for each drawing.
std::string isoMetadataXml(const IsoRecord& record);

} // namespace inkpeg
