// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/RegisterLayers.h"

#include <algorithm>

#include "core/handover/GroundOutlines.h"
#include "core/handover/LayerTable.h"
#include "core/records/Names.h"
#include "core/store/DrawingFit.h"

namespace inkpeg {

namespace {

constexpr FieldType Text = FieldType::Text;
constexpr FieldType Real = FieldType::Real;

FeatureGeometry pointAt(const std::optional<GroundM>& at, const std::optional<double>& levelM)
{
    FeatureGeometry geometry;
    if (at)
        geometry.point = GroundPosition{*at, levelM};
    return geometry;
}

LayerTable<Trench> trenchTable()
{
    return {"trenches",
            GeometryKind::Polygons,
            LayerSpace::Ground,
            "Trenches, test pits and sondages within their limit of excavation.",
            {{{"name", Text, "", "Name of the trench."}, [](const Trench& row) { return known(row.name); }},
             {{"kind", Text, "", "Trench, test pit or sondage."},
              [](const Trench& row) { return known(row.kind); }}},
            [](const Trench& row) {
                FeatureGeometry geometry;
                if (row.limit.size() < 3)
                    return geometry;
                VertexRing ring;
                for (const GroundM at : row.limit)
                    ring.push_back({at, {}, EdgeKind::LimitOfExcavation});
                std::vector<GroundM> limit = row.limit;
                if (signedAreaM2(ring) < 0)
                    std::reverse(limit.begin(), limit.end());
                geometry.polygons = {{limit}};
                return geometry;
            }};
}

LayerTable<Peg> pegTable()
{
    return {
        "pegs",
        GeometryKind::Point,
        LayerSpace::Ground,
        "Surveyed control points, in the project's CRS.",
        {{{"name", Text, "", "Name of the peg."}, [](const Peg& row) { return known(row.name); }},
         {{"given_in", Text, "", "Frame the register gives it in: crs or site (the local site grid)."},
          [](const Peg& row) { return known(nameOf(row.frame)); }},
         {{"east_m", Real, "m", "East, in the frame it was given in."},
          [](const Peg& row) { return FieldValue(row.position.east); }},
         {{"north_m", Real, "m", "North, in the frame it was given in."},
          [](const Peg& row) { return FieldValue(row.position.north); }},
         {{"level_m", Real, "m", "Level above the project's datum."},
          [](const Peg& row) { return known(row.levelM); }},
         {{"se_east_m", Real, "m", "Standard error of east (one sigma)."},
          [](const Peg& row) { return FieldValue(row.standardErrorEastM); }},
         {{"se_north_m", Real, "m", "Standard error of north (one sigma)."},
          [](const Peg& row) { return FieldValue(row.standardErrorNorthM); }},
         {{"se_level_m", Real, "m", "Standard error of the level (one sigma)."},
          [](const Peg& row) { return known(row.standardErrorLevelM); }},
         {{"note", Text, "", "Remark of the register."}, [](const Peg& row) { return known(row.note); }}},
        [](const Peg& row) { return pointAt(row.position, row.levelM); }};
}

LayerTable<Context> contextTable()
{
    return {
        "contexts",
        GeometryKind::None,
        LayerSpace::Ground,
        "The context register; outlines join it by context number.",
        {{{"number", Text, "", "Context number."}, [](const Context& row) { return known(row.number); }},
         {{"kind", Text, "", "Cut, fill, layer, structure, timber and so on."},
          [](const Context& row) { return known(row.kind); }},
         {{"trench", Text, "", "Trench it was met in."},
          [](const Context& row) { return known(row.trench); }},
         {{"description", Text, "", "As recorded."},
          [](const Context& row) { return known(row.description); }},
         {{"period", Text, "", "Period or phase."}, [](const Context& row) { return known(row.period); }},
         {{"recorded_by", Text, "", "Initials."}, [](const Context& row) { return known(row.recordedBy); }},
         {{"recorded_on", Text, "", "Date (ISO 8601)."},
          [](const Context& row) { return known(row.recordedOn); }},
         {{"top_m", Real, "m", "Highest level."}, [](const Context& row) { return known(row.topM); }},
         {{"bottom_m", Real, "m", "Lowest level."}, [](const Context& row) { return known(row.bottomM); }},
         {{"stage", Text, "", "How far the record has come."},
          [](const Context& row) { return known(nameOf(row.stage)); }}},
        {}};
}

LayerTable<Relation> relationTable()
{
    return {"relations",
            GeometryKind::None,
            LayerSpace::Ground,
            "Stratigraphic relations as written on the context records.",
            {{{"context", Text, "", "The record it was written on."},
              [](const Relation& row) { return known(row.context); }},
             {{"relation", Text, "", "Above, below, cuts, cut by, fills, filled by, same as, abuts."},
              [](const Relation& row) { return known(nameOf(row.kind)); }},
             {{"other", Text, "", "The context it is related to."},
              [](const Relation& row) { return known(row.other); }}},
            {}};
}

LayerTable<Find> findTable()
{
    return {"finds",
            GeometryKind::Point,
            LayerSpace::Ground,
            "Small finds where they were surveyed.",
            {{{"number", Text, "", "Find number."}, [](const Find& row) { return known(row.number); }},
             {{"context", Text, "", "Context number of the register."},
              [](const Find& row) { return known(row.context); }},
             {{"trench", Text, "", "Trench."}, [](const Find& row) { return known(row.trench); }},
             {{"material", Text, "", "Material."}, [](const Find& row) { return known(row.material); }},
             {{"description", Text, "", "As recorded."},
              [](const Find& row) { return known(row.description); }},
             {{"level_m", Real, "m", "Level."}, [](const Find& row) { return known(row.levelM); }},
             {{"se_m", Real, "m", "Standard error of the surveyed position (one sigma, each axis)."},
              [](const Find& row) { return FieldValue(row.standardErrorM); }}},
            [](const Find& row) { return pointAt(row.position, row.levelM); }};
}

LayerTable<Sample> sampleTable()
{
    return {"samples",
            GeometryKind::Point,
            LayerSpace::Ground,
            "Samples where they were surveyed.",
            {{{"number", Text, "", "Sample number."}, [](const Sample& row) { return known(row.number); }},
             {{"context", Text, "", "Context number of the register."},
              [](const Sample& row) { return known(row.context); }},
             {{"trench", Text, "", "Trench."}, [](const Sample& row) { return known(row.trench); }},
             {{"kind", Text, "", "Bulk, column, dendro and so on."},
              [](const Sample& row) { return known(row.kind); }},
             {{"description", Text, "", "As recorded."},
              [](const Sample& row) { return known(row.description); }},
             {{"level_m", Real, "m", "Level."}, [](const Sample& row) { return known(row.levelM); }},
             {{"se_m", Real, "m", "Standard error of the surveyed position (one sigma, each axis)."},
              [](const Sample& row) { return FieldValue(row.standardErrorM); }}},
            [](const Sample& row) { return pointAt(row.position, row.levelM); }};
}

LayerTable<Timber> timberTable()
{
    return {
        "timbers",
        GeometryKind::Point,
        LayerSpace::Ground,
        "Timbers, posts and stakes where they were surveyed; the place is that of the top.",
        {{{"number", Text, "", "Timber number."}, [](const Timber& row) { return known(row.number); }},
         {{"context", Text, "", "Context number of the register."},
          [](const Timber& row) { return known(row.context); }},
         {{"trench", Text, "", "Trench."}, [](const Timber& row) { return known(row.trench); }},
         {{"kind", Text, "", "Post, stake, plank and so on."},
          [](const Timber& row) { return known(row.kind); }},
         {{"top_m", Real, "m", "Level of the top."}, [](const Timber& row) { return known(row.topM); }},
         {{"bottom_m", Real, "m", "Level of the bottom."},
          [](const Timber& row) { return known(row.bottomM); }},
         {{"length_m", Real, "m", "Length."}, [](const Timber& row) { return known(row.lengthM); }},
         {{"diameter_m", Real, "m", "Diameter."}, [](const Timber& row) { return known(row.diameterM); }},
         {{"lean_degrees", Real, "degrees", "Lean from the vertical."},
          [](const Timber& row) { return known(row.leanDegrees); }},
         {{"lean_bearing_degrees", Real, "degrees", "Which way it leans, clockwise from grid north."},
          [](const Timber& row) { return known(row.leanBearingDegrees); }},
         {{"se_m", Real, "m", "Standard error of the surveyed position (one sigma, each axis)."},
          [](const Timber& row) { return FieldValue(row.standardErrorM); }}},
        [](const Timber& row) { return pointAt(row.position, row.topM); }};
}

LayerTable<Photograph> photographTable()
{
    return {"photographs",
            GeometryKind::None,
            LayerSpace::Ground,
            "The photograph register.",
            {{{"number", Text, "", "Photograph number."},
              [](const Photograph& row) { return known(row.number); }},
             {{"subject", Text, "", "What it shows."},
              [](const Photograph& row) { return known(row.subject); }},
             {{"taken_on", Text, "", "Date (ISO 8601)."},
              [](const Photograph& row) { return known(row.takenOn); }}},
            {}};
}

LayerTable<Sheet> sheetTable()
{
    return {
        "sheets",
        GeometryKind::None,
        LayerSpace::Ground,
        "Sheets of drawing film and their scans.",
        {{{"number", Text, "", "Sheet number."}, [](const Sheet& row) { return known(row.number); }},
         {{"film_size", Text, "", "Size of the film, e.g. A3."},
          [](const Sheet& row) { return known(row.filmSize); }},
         {{"scan_file", Text, "", "The scan, relative to the project file."},
          [](const Sheet& row) { return known(row.scanFile); }},
         {{"scan_sha256", Text, "", "SHA-256 of the scan (FIPS 180-4)."},
          [](const Sheet& row) { return known(row.scanSha256); }},
         {{"width_px", Real, "px", "Columns of the scan."},
          [](const Sheet& row) { return FieldValue(row.frame.widthPx); }},
         {{"height_px", Real, "px", "Rows of the scan."},
          [](const Sheet& row) { return FieldValue(row.frame.heightPx); }},
         {{"dpi_x", Real, "px per inch", "Resolution along the rows."},
          [](const Sheet& row) { return FieldValue(row.frame.dpiX); }},
         {{"dpi_y", Real, "px per inch", "Resolution along the columns."},
          [](const Sheet& row) { return FieldValue(row.frame.dpiY); }},
         {{"face", Text, "", "Which side lay up in the scanner's view: face up or face down (mirrored)."},
          [](const Sheet& row) {
              return FieldValue(std::string(row.frame.faceDown ? "face down" : "face up"));
          }}},
        {}};
}

LayerTable<Person> personTable()
{
    return {"people",
            GeometryKind::None,
            LayerSpace::Ground,
            "Who the initials stand for.",
            {{{"initials", Text, "", "Initials."}, [](const Person& row) { return known(row.initials); }},
             {{"name", Text, "", "Name."}, [](const Person& row) { return known(row.name); }},
             {{"role", Text, "", "Role on site."}, [](const Person& row) { return known(row.role); }}},
            {}};
}

LayerTable<SignOff> signOffTable()
{
    return {
        "sign_offs",
        GeometryKind::None,
        LayerSpace::Ground,
        "Who declared which drawing or context done, and when.",
        {{{"subject_kind", Text, "", "Drawing or context."},
          [](const SignOff& row) { return known(row.subjectKind); }},
         {{"subject", Text, "", "Its number."}, [](const SignOff& row) { return known(row.subject); }},
         {{"stage", Text, "", "The stage it was declared to have reached."},
          [](const SignOff& row) { return known(nameOf(row.stage)); }},
         {{"person", Text, "", "Initials."}, [](const SignOff& row) { return known(row.person); }},
         {{"at", Text, "", "When (ISO 8601, UTC)."}, [](const SignOff& row) { return known(row.at); }},
         {{"reason", Text, "", "In their own words."},
          [](const SignOff& row) { return known(row.reason); }},
         {{"seal_sha256", Text, "", "SHA-256 of what was signed."},
          [](const SignOff& row) { return known(row.sealSha256); }},
         {{"state", Text, "", "Standing, or broken by a later change."},
          [](const SignOff& row) { return FieldValue(std::string(row.broken ? "broken" : "standing")); }}},
        {}};
}

template<typename Record>
std::vector<Record> rowsOf(const Project* project)
{
    return project ? project->all<Record>() : std::vector<Record>();
}

/// Pegs with their geometry in the CRS; the columns keep what the register says.
FeatureLayer pegLayer(const Project* project, std::vector<std::string>& remarks)
{
    const std::vector<Peg> pegs = rowsOf<Peg>(project);
    FeatureLayer layer = pegTable().fill(pegs);
    if (project == nullptr)
        return layer;
    const PegsInCrs placed(*project);
    for (std::size_t i = 0; i < pegs.size(); ++i) {
        const Result<Peg> inCrs = placed.at(pegs[i]);
        layer.features[i].geometry = inCrs ? pointAt(inCrs->position, pegs[i].levelM) : FeatureGeometry();
        if (!inCrs)
            remarks.push_back(inCrs.error().message);
    }
    return layer;
}

} // namespace

std::vector<FeatureLayer> registerLayers(const Project* project, std::vector<std::string>& remarks)
{
    return {
        trenchTable().fill(rowsOf<Trench>(project)),   pegLayer(project, remarks),
        contextTable().fill(rowsOf<Context>(project)), relationTable().fill(rowsOf<Relation>(project)),
        findTable().fill(rowsOf<Find>(project)),       sampleTable().fill(rowsOf<Sample>(project)),
        timberTable().fill(rowsOf<Timber>(project)),   photographTable().fill(rowsOf<Photograph>(project)),
        sheetTable().fill(rowsOf<Sheet>(project)),     personTable().fill(rowsOf<Person>(project)),
        signOffTable().fill(rowsOf<SignOff>(project))};
}

} // namespace inkpeg
