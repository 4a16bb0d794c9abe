// SPDX-License-Identifier: GPL-3.0-or-later
// Geometries as GeoPackage blobs (OGC 12-128r17, 2.1.3: header, then ISO WKB).
#pragma once

#include <string>

#include "core/base/Result.h"
#include "core/records/Row.h"

namespace inkpeg {

/// Little-endian; with an envelope in x and y for everything but points.
std::string geoPackageBlob(const Geometry& geometry, int srsId);

/// Reads either byte order, with any envelope; z and m are passed over. `space` is left as Ground.
/// Errors: BadInput (no such blob, cut short, or a geometry type that no record has).
Result<Geometry> geometryOfBlob(const std::string& blob);

} // namespace inkpeg
