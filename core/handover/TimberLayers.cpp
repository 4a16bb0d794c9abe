// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/TimberLayers.h"

#include "core/checks/UprightTimbers.h"
#include "core/handover/LayerTable.h"

namespace inkpeg {

namespace {

constexpr FieldType Text = FieldType::Text;
constexpr FieldType Real = FieldType::Real;

struct StandingRow {
    Timber timber;
    UprightTimber stands;
};

template<typename Place>
LayerTable<StandingRow> standingTable(const char* name, GeometryKind geometry, const char* meaning,
                                      Place place)
{
    return {name,
            geometry,
            LayerSpace::Ground,
            meaning,
            {{{"number", Text, "", "Timber number."},
              [](const StandingRow& row) { return known(row.timber.number); }},
             {{"context", Text, "", "Context number of the register."},
              [](const StandingRow& row) { return known(row.timber.context); }},
             {{"kind", Text, "", "Post, stake, plank and so on."},
              [](const StandingRow& row) { return known(row.timber.kind); }},
             {{"top_m", Real, "m", "Level of the top."},
              [](const StandingRow& row) { return FieldValue(row.stands.top.levelM); }},
             {{"bottom_m", Real, "m", "Level of the bottom, from the register or from length and lean."},
              [](const StandingRow& row) { return FieldValue(row.stands.bottom.levelM); }},
             {{"axis_length_m", Real, "m", "Length of the axis, from levels and lean."},
              [](const StandingRow& row) { return FieldValue(row.stands.lengthM); }},
             {{"diameter_m", Real, "m", "Diameter."},
              [](const StandingRow& row) { return known(row.timber.diameterM); }},
             {{"se_m", Real, "m", "Standard error of the surveyed position (one sigma, each axis)."},
              [](const StandingRow& row) { return FieldValue(row.timber.standardErrorM); }}},
            place};
}

FeatureGeometry outlineOf(const StandingRow& row)
{
    FeatureGeometry geometry;
    if (std::vector<GroundM> outline = planOutline(row.stands); !outline.empty())
        geometry.polygons = {{std::move(outline)}};
    return geometry;
}

FeatureGeometry axisOf(const StandingRow& row)
{
    FeatureGeometry geometry;
    geometry.spaceLine = {row.stands.bottom, row.stands.top};
    return geometry;
}

} // namespace

std::vector<FeatureLayer> timberLayers(const Project* project)
{
    std::vector<StandingRow> all, withDiameter;
    for (const Timber& timber : project ? project->all<Timber>() : std::vector<Timber>())
        if (const Result<UprightTimber> stands = standing(timber)) {
            all.push_back({timber, *stands});
            if (stands->diameterM > 0)
                withDiameter.push_back(all.back());
        }
    return {
        standingTable("timber_outlines", GeometryKind::Polygons,
                      "Upright timbers as they show from above, leaning ones as the hull of their ends.",
                      &outlineOf)
            .fill(withDiameter),
        standingTable("space_timbers", GeometryKind::SpaceLine,
                      "Axes of upright timbers in space, from bottom to top.", &axisOf)
            .fill(all)};
}

} // namespace inkpeg
