// SPDX-License-Identifier: GPL-3.0-or-later
// Outlines as GEOS geometries and back. For the sources of this folder alone: what others see of GEOS are
// values and messages.
#pragma once

#include <memory>
#include <span>
#include <string>
#include <vector>

#include <geos_c.h>

#include "core/base/Result.h"
#include "core/outline/Outline.h"

namespace inkpeg {

/// A GEOS context of one call alone; keeps what GEOS last complained of instead of printing it.
class GeosSession {
public:
    GeosSession();
    ~GeosSession() { GEOS_finish_r(m_handle); }
    GeosSession(const GeosSession&) = delete;
    GeosSession& operator=(const GeosSession&) = delete;

    GEOSContextHandle_t handle() const { return m_handle; }
    const std::string& complaint() const { return m_complaint; }

private:
    GEOSContextHandle_t m_handle;
    std::string m_complaint;
};

struct GeosDelete {
    GEOSContextHandle_t handle;
    void operator()(GEOSGeometry* geometry) const { GEOSGeom_destroy_r(handle, geometry); }
};
using GeosGeometry = std::unique_ptr<GEOSGeometry, GeosDelete>;

GeosGeometry held(const GeosSession& geos, GEOSGeometry* geometry);

/// Column as x, row as y. Null when GEOS refuses a ring (too few different vertices, not a number).
GeosGeometry geosOf(const GeosSession& geos, std::span<const Part> parts);

/// An open line of two vertices or more.
GeosGeometry geosLineOf(const GeosSession& geos, std::span<const ScanPx> vertices);

/// The polygons of a geometry as parts whose edges are all certain; points and lines in it are passed over.
std::vector<Part> partsOf(const GeosSession& geos, const GEOSGeometry* geometry);

} // namespace inkpeg
