// SPDX-License-Identifier: GPL-3.0-or-later
// Features as OGR knows them; shared by the file formats and the site database.
#pragma once

#include <memory>
#include <vector>

#include "core/handover/FeatureLayer.h"

class OGRFeature;
class OGRGeometry;

namespace inkpeg {

/// Nothing where a place is not known.
std::unique_ptr<OGRGeometry> ogrGeometry(const FeatureGeometry& geometry);

/// Values into the feature's fields from `firstField` on; those not known become NULL.
void setFields(const std::vector<FieldValue>& values, int firstField, OGRFeature& feature);

} // namespace inkpeg
