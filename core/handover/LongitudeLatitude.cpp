// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/LongitudeLatitude.h"

#include <algorithm>
#include <cmath>

#include <proj.h>

#include "core/base/Text.h"

namespace inkpeg {

namespace {

struct DestroyContext {
    void operator()(PJ_CONTEXT* context) const { proj_context_destroy(context); }
};
struct DestroyPj {
    void operator()(PJ* pj) const { proj_destroy(pj); }
};
struct DestroyList {
    void operator()(PJ_OBJ_LIST* list) const { proj_list_destroy(list); }
};
struct DestroyFactory {
    void operator()(PJ_OPERATION_FACTORY_CONTEXT* factory) const
    {
        proj_operation_factory_context_destroy(factory);
    }
};
using Context = std::unique_ptr<PJ_CONTEXT, DestroyContext>;
using Pj = std::unique_ptr<PJ, DestroyPj>;
using List = std::unique_ptr<PJ_OBJ_LIST, DestroyList>;
using Factory = std::unique_ptr<PJ_OPERATION_FACTORY_CONTEXT, DestroyFactory>;

/// PROJ wants to know where one is in degrees before it can choose how to convert there; any operation that
/// leads within a few hundred metres will do to find that out.
struct Area {
    double west = 0, south = 0, east = 0, north = 0;
};

std::optional<Area> roughArea(PJ_CONTEXT* context, const PJ* crs, const std::vector<GroundM>& around)
{
    if (around.empty())
        return std::nullopt;
    const Pj target(proj_create(context, "OGC:CRS84"));
    const Pj rough(proj_create_crs_to_crs_from_pj(context, crs, target.get(), nullptr, nullptr));
    const Pj visual(rough ? proj_normalize_for_visualization(context, rough.get()) : nullptr);
    if (!visual)
        return std::nullopt;
    Area area{180, 90, -180, -90};
    for (const GroundM place : around) {
        const PJ_COORD at = proj_trans(visual.get(), PJ_FWD, proj_coord(place.east, place.north, 0, 0));
        if (!std::isfinite(at.xy.x) || !std::isfinite(at.xy.y))
            return std::nullopt;
        area = {std::min(area.west, at.xy.x), std::min(area.south, at.xy.y), std::max(area.east, at.xy.x),
                std::max(area.north, at.xy.y)};
    }
    return area;
}

/// All operations between the two, best first, whether or not their grid files are here.
List operationsBetween(PJ_CONTEXT* context, const PJ* from, const PJ* to, const std::optional<Area>& area)
{
    const Factory factory(proj_create_operation_factory_context(context, nullptr));
    if (area)
        proj_operation_factory_context_set_area_of_interest(context, factory.get(), area->west, area->south,
                                                            area->east, area->north);
    proj_operation_factory_context_set_spatial_criterion(context, factory.get(),
                                                         PROJ_SPATIAL_CRITERION_PARTIAL_INTERSECTION);
    proj_operation_factory_context_set_grid_availability_use(context, factory.get(),
                                                             PROJ_GRID_AVAILABILITY_IGNORED);
    return List(proj_create_operations(context, from, to, factory.get()));
}

void addMissingGrids(PJ_CONTEXT* context, const PJ* operation, std::vector<std::string>& missing)
{
    const int count = proj_coordoperation_get_grid_used_count(context, operation);
    for (int i = 0; i < count; ++i) {
        const char* name = nullptr;
        int available = 0;
        if (proj_coordoperation_get_grid_used(context, operation, i, &name, nullptr, nullptr, nullptr,
                                              nullptr, nullptr, &available) &&
            available == 0 && name != nullptr &&
            std::find(missing.begin(), missing.end(), name) == missing.end())
            missing.emplace_back(name);
    }
}

} // namespace

struct LongitudeLatitude::Held {
    Context context;
    Pj operation;
    ConversionFacts facts;
};

LongitudeLatitude::LongitudeLatitude(std::unique_ptr<Held> held) : m_held(std::move(held)) {}
LongitudeLatitude::LongitudeLatitude(LongitudeLatitude&&) noexcept = default;
LongitudeLatitude& LongitudeLatitude::operator=(LongitudeLatitude&&) noexcept = default;
LongitudeLatitude::~LongitudeLatitude() = default;

Result<LongitudeLatitude> LongitudeLatitude::from(const std::string& crs,
                                                  const std::vector<GroundM>& around)
{
    auto held = std::make_unique<Held>();
    held->context.reset(proj_context_create());
    PJ_CONTEXT* context = held->context.get();
    proj_log_level(context, PJ_LOG_NONE);
    proj_context_set_enable_network(context, 0); // what is converted how must not depend on a server
    const Pj source(proj_create(context, crs.c_str()));
    const Pj target(proj_create(context, "OGC:CRS84"));
    if (!source || !proj_is_crs(source.get()))
        return Error{ErrorCode::BadInput,
                     "CRS \"" + crs + "\": unknown; give an authority code, e.g. EPSG:25832"};
    const List operations =
        operationsBetween(context, source.get(), target.get(), roughArea(context, source.get(), around));
    const int count = operations ? proj_list_get_count(operations.get()) : 0;
    for (int i = 0; i < count; ++i) {
        const Pj operation(proj_list_get(context, operations.get(), i));
        if (!proj_coordoperation_is_instantiable(context, operation.get())) {
            addMissingGrids(context, operation.get(), held->facts.missingGrids);
            continue;
        }
        held->operation.reset(proj_normalize_for_visualization(context, operation.get()));
        if (!held->operation)
            continue;
        const char* name = proj_get_name(operation.get());
        held->facts.operation = name ? name : "unnamed operation";
        const double accuracyM = proj_coordoperation_get_accuracy(context, operation.get());
        if (accuracyM >= 0)
            held->facts.accuracyM = accuracyM;
        held->facts.ballpark =
            proj_coordoperation_has_ballpark_transformation(context, operation.get()) != 0;
        held->facts.projVersion = proj_info().version;
        return LongitudeLatitude(std::move(held));
    }
    return Error{ErrorCode::Unsolvable,
                 "CRS \"" + crs + "\": no conversion to longitude and latitude is known"};
}

Result<LonLat> LongitudeLatitude::at(GroundM place) const
{
    const PJ_COORD at =
        proj_trans(m_held->operation.get(), PJ_FWD, proj_coord(place.east, place.north, 0, 0));
    if (!std::isfinite(at.xy.x) || !std::isfinite(at.xy.y))
        return Error{ErrorCode::Unsolvable,
                     "E " + fixed(place.east, 3) + " N " + fixed(place.north, 3) +
                         ": outside what can be converted to longitude and latitude"};
    return LonLat{at.xy.x, at.xy.y};
}

const ConversionFacts& LongitudeLatitude::facts() const
{
    return m_held->facts;
}

std::string ConversionFacts::inWords() const
{
    std::string words =
        "Longitude and latitude by PROJ " + projVersion + ": " + operation + "; stated accuracy ";
    words += accuracyM ? exact(*accuracyM) + " m." : "unknown.";
    if (ballpark)
        words += " CAUTION: a ballpark conversion that leaves out the change of datum; it may be off by "
                 "100 m or more.";
    if (!missingGrids.empty()) {
        words += " CAUTION: a better conversion needs files that are not on this machine:";
        for (const std::string& grid : missingGrids)
            words += " " + grid;
        words += ".";
    }
    return words;
}

} // namespace inkpeg
