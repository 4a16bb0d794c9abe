// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/checks/PlanAreas.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <unordered_map>

#include <geos_c.h>

#include "core/checks/BoxIndex.h"
#include "core/checks/Evidence.h"

namespace inkpeg {

namespace {

constexpr double SmallestToleranceM = 0.02;

/// GEOS reports trouble to a handler; what it cannot compute comes back as null, which here means "nothing
/// to show".
void ignoreMessage(const char*, void*) {}

struct GeosDeleter {
    GEOSContextHandle_t geos = nullptr;
    void operator()(GEOSGeometry* geometry) const { GEOSGeom_destroy_r(geos, geometry); }
    void operator()(const GEOSPreparedGeometry* prepared) const
    {
        GEOSPreparedGeom_destroy_r(geos, prepared);
    }
};
using Geometry = std::unique_ptr<GEOSGeometry, GeosDeleter>;
using Prepared = std::unique_ptr<const GEOSPreparedGeometry, GeosDeleter>;

class Geos {
public:
    Geos() : m_geos(GEOS_init_r())
    {
        GEOSContext_setErrorMessageHandler_r(m_geos, ignoreMessage, nullptr);
        GEOSContext_setNoticeMessageHandler_r(m_geos, ignoreMessage, nullptr);
    }
    ~Geos() { GEOS_finish_r(m_geos); }
    Geos(const Geos&) = delete;
    Geos& operator=(const Geos&) = delete;

    GEOSContextHandle_t handle() const { return m_geos; }
    Geometry own(GEOSGeometry* geometry) const { return {geometry, GeosDeleter{m_geos}}; }

    /// Null for fewer than three vertices.
    Geometry ring(std::span<const GroundM> vertices) const
    {
        if (vertices.size() < 3)
            return own(nullptr);
        const unsigned count = static_cast<unsigned>(vertices.size());
        GEOSCoordSequence* sequence = GEOSCoordSeq_create_r(m_geos, count + 1, 2);
        for (unsigned i = 0; i <= count; ++i)
            GEOSCoordSeq_setXY_r(m_geos, sequence, i, vertices[i % count].east, vertices[i % count].north);
        return own(GEOSGeom_createLinearRing_r(m_geos, sequence));
    }
    Geometry polygon(std::span<const GroundM> outer, std::span<const RingOnGround> holes) const
    {
        Geometry shell = ring(outer);
        if (!shell)
            return shell;
        std::vector<GEOSGeometry*> inner;
        for (const RingOnGround& hole : holes)
            if (Geometry one = ring(hole))
                inner.push_back(one.release());
        return valid(own(GEOSGeom_createPolygon_r(m_geos, shell.release(), inner.data(),
                                                  static_cast<unsigned>(inner.size()))));
    }
    Geometry valid(Geometry geometry) const
    {
        if (!geometry || GEOSisValid_r(m_geos, geometry.get()) == 1)
            return geometry;
        return own(GEOSMakeValid_r(m_geos, geometry.get()));
    }
    Geometry unionOf(std::vector<Geometry> parts) const
    {
        if (parts.size() == 1)
            return std::move(parts.front());
        std::vector<GEOSGeometry*> raw;
        for (Geometry& part : parts)
            raw.push_back(part.release());
        const Geometry all = own(GEOSGeom_createCollection_r(m_geos, GEOS_GEOMETRYCOLLECTION, raw.data(),
                                                             static_cast<unsigned>(raw.size())));
        return own(GEOSUnaryUnion_r(m_geos, all.get()));
    }
    Geometry copy(const GEOSGeometry* geometry) const { return own(GEOSGeom_clone_r(m_geos, geometry)); }

    double area(const GEOSGeometry* geometry) const
    {
        double areaM2 = 0;
        GEOSArea_r(m_geos, geometry, &areaM2);
        return areaM2;
    }

    /// The piece, if some of it is wider than `toleranceM`: if anything remains after taking half of that
    /// off all round.
    std::optional<Excess> excess(const Geometry& piece, double toleranceM) const
    {
        if (!piece)
            return std::nullopt;
        const double areaM2 = area(piece.get());
        // A piece with a core that wide holds at least a disc of that width.
        if (areaM2 < 0.78 * toleranceM * toleranceM)
            return std::nullopt;
        const Geometry core = own(GEOSBuffer_r(m_geos, piece.get(), -0.5 * toleranceM, 4));
        if (!core || GEOSisEmpty_r(m_geos, core.get()) != 0)
            return std::nullopt;
        const Geometry at = own(GEOSPointOnSurface_r(m_geos, core.get()));
        Excess excess{areaM2, {}};
        if (at) {
            GEOSGeomGetX_r(m_geos, at.get(), &excess.at.east);
            GEOSGeomGetY_r(m_geos, at.get(), &excess.at.north);
        }
        return excess;
    }

private:
    GEOSContextHandle_t m_geos;
};

} // namespace

struct PlanAreas::Inside {
    struct Area {
        Geometry geometry;
        Prepared prepared;
        GroundBox box;
        double standardErrorM = 0;
    };
    Geos geos;
    std::vector<Area> areas;                             ///< in the order of m_outlines
    std::unordered_map<std::size_t, std::size_t> areaOf; ///< by outline
    /// The limit asked for last, prepared: outlines come trench by trench.
    const GroundM* limitKey = nullptr;
    Geometry limit;
    Prepared preparedLimit;

    const Area& of(std::size_t outline) const { return areas[areaOf.at(outline)]; }

    Prepared prepare(const Geometry& geometry) const
    {
        return {GEOSPrepare_r(geos.handle(), geometry.get()), GeosDeleter{geos.handle()}};
    }
    void add(const OutlineOnGround& ground)
    {
        std::vector<Geometry> parts;
        Area area;
        for (const PartOnGround& part : ground.parts) {
            if (Geometry polygon = geos.polygon(part.outer, part.holes))
                parts.push_back(std::move(polygon));
            for (const GroundM vertex : part.outer)
                area.box.take(vertex);
        }
        if (parts.empty())
            return;
        area.geometry = geos.unionOf(std::move(parts));
        if (!area.geometry)
            return;
        area.prepared = prepare(area.geometry);
        area.standardErrorM = std::sqrt(0.5 * (ground.covariance.eastEast + ground.covariance.northNorth));
        areaOf.emplace(ground.outline, areas.size());
        areas.push_back(std::move(area));
    }
    bool takeLimit(std::span<const GroundM> ring)
    {
        if (limitKey != ring.data()) {
            preparedLimit.reset();
            limit = geos.polygon(ring, {});
            if (limit)
                preparedLimit = prepare(limit);
            limitKey = ring.data();
        }
        return preparedLimit != nullptr;
    }
};

PlanAreas::PlanAreas(const Evidence& evidence) : m_inside(std::make_unique<Inside>())
{
    const ProjectRecords& records = evidence.records;
    for (std::size_t i = 0; i < records.outlines.size(); ++i) {
        const OutlineOnGround* ground = evidence.onGround(i);
        const Drawing* drawing = evidence.drawing(records.outlines[i].drawing);
        if (!ground || !drawing || showsLevels(drawing->kind))
            continue;
        m_inside->add(*ground);
        if (m_inside->areaOf.contains(i))
            m_outlines.push_back(i);
    }
}

PlanAreas::~PlanAreas() = default;

double PlanAreas::standardErrorM(std::size_t outline) const
{
    return m_inside->of(outline).standardErrorM;
}

double PlanAreas::toleranceM(std::size_t a, std::size_t b) const
{
    return std::max(SmallestToleranceM, 3 * std::hypot(standardErrorM(a), standardErrorM(b)));
}

std::vector<Overlap>
PlanAreas::overlaps(const std::function<bool(std::size_t, std::size_t)>& explained) const
{
    const Geos& geos = m_inside->geos;
    std::vector<GroundBox> boxes;
    for (const Inside::Area& area : m_inside->areas)
        boxes.push_back(area.box);
    const BoxIndex index(boxes);
    std::vector<Overlap> found;
    std::vector<std::size_t> near;
    for (std::size_t i = 0; i < boxes.size(); ++i) {
        near.clear();
        index.eachMeeting(boxes[i], [&](std::size_t j) {
            if (j > i && !explained(m_outlines[i], m_outlines[j]))
                near.push_back(j);
        });
        std::sort(near.begin(), near.end());
        const Inside::Area& area = m_inside->areas[i];
        for (const std::size_t j : near) {
            const GEOSGeometry* other = m_inside->areas[j].geometry.get();
            if (GEOSPreparedIntersects_r(geos.handle(), area.prepared.get(), other) != 1)
                continue;
            const Geometry shared = geos.own(GEOSIntersection_r(geos.handle(), area.geometry.get(), other));
            if (const auto excess = geos.excess(shared, toleranceM(m_outlines[i], m_outlines[j])))
                found.push_back({m_outlines[i], m_outlines[j], *excess});
        }
    }
    return found;
}

std::optional<Excess> PlanAreas::outside(std::size_t outline, std::span<const GroundM> limit,
                                         double toleranceM) const
{
    const Geos& geos = m_inside->geos;
    const Inside::Area& area = m_inside->of(outline);
    if (!m_inside->takeLimit(limit) ||
        GEOSPreparedCovers_r(geos.handle(), m_inside->preparedLimit.get(), area.geometry.get()) == 1)
        return std::nullopt;
    return geos.excess(
        geos.own(GEOSDifference_r(geos.handle(), area.geometry.get(), m_inside->limit.get())), toleranceM);
}

std::optional<Excess> PlanAreas::outside(std::size_t outline, std::span<const std::size_t> others,
                                         double toleranceM) const
{
    const Geos& geos = m_inside->geos;
    std::vector<Geometry> parts;
    for (const std::size_t other : others)
        parts.push_back(geos.copy(m_inside->of(other).geometry.get()));
    if (parts.empty())
        return std::nullopt;
    const Geometry together = geos.unionOf(std::move(parts));
    if (!together)
        return std::nullopt;
    return geos.excess(
        geos.own(GEOSDifference_r(geos.handle(), m_inside->of(outline).geometry.get(), together.get())),
        toleranceM);
}

} // namespace inkpeg
