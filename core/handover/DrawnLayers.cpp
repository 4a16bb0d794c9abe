// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/DrawnLayers.h"

#include <algorithm>

#include "core/handover/LayerTable.h"
#include "core/records/Names.h"

namespace inkpeg {

namespace {

constexpr FieldType Text = FieldType::Text;
constexpr FieldType Whole = FieldType::Whole;
constexpr FieldType Real = FieldType::Real;

std::vector<GroundM> places(const std::vector<GroundVertex>& vertices)
{
    std::vector<GroundM> at;
    at.reserve(vertices.size());
    for (const GroundVertex& vertex : vertices)
        at.push_back(vertex.at);
    return at;
}

FeatureGeometry polygonsOf(const std::vector<VertexPart>& parts)
{
    FeatureGeometry geometry;
    for (const VertexPart& part : parts) {
        PolygonRings rings{places(part.outer)};
        for (const VertexRing& hole : part.holes)
            rings.push_back(places(hole));
        geometry.polygons.push_back(std::move(rings));
    }
    return geometry;
}

FeatureGeometry lineOf(std::vector<GroundM> vertices)
{
    FeatureGeometry geometry;
    geometry.line = std::move(vertices);
    return geometry;
}

/// Appends the five columns of the accuracy model, read from a row by `errorOf`.
template<typename Row>
void addErrorColumns(std::vector<Column<Row>>& columns, PositionError (*errorOf)(const Row&))
{
    const auto add = [&](const char* name, const char* meaning, double (*term)(const PositionError&)) {
        columns.push_back({{name, Real, "m", meaning},
                           [errorOf, term](const Row& row) { return FieldValue(term(errorOf(row))); }});
    };
    add("se_m",
        "Standard error of position (one sigma, each axis): root of the sum of squares of the four terms.",
        [](const PositionError& error) { return error.totalM(); });
    add("se_control_m", "Term from the fit: its covariance propagated to the place.",
        [](const PositionError& error) { return error.controlM; });
    add("se_peg_m", "Term from the pegs: root mean square of their standard errors.",
        [](const PositionError& error) { return error.pegM; });
    add("se_tracing_m", "Term from pointing and tracing on the film.",
        [](const PositionError& error) { return error.tracingM; });
    add("se_pixel_m", "Term from the resolution of the scan: pixel / sqrt(12).",
        [](const PositionError& error) { return error.pixelM; });
}

/// The kinds of edge that occur, in the order of EdgeKind, with commas between.
std::string edgeKindsOf(const std::vector<VertexPart>& parts)
{
    std::vector<bool> met(NamesOf<EdgeKind>::Names.size());
    const auto meet = [&](const VertexRing& ring) {
        for (const GroundVertex& vertex : ring)
            met[static_cast<std::size_t>(vertex.kind)] = true;
    };
    for (const VertexPart& part : parts) {
        meet(part.outer);
        std::for_each(part.holes.begin(), part.holes.end(), meet);
    }
    std::string text;
    for (std::size_t i = 0; i < met.size(); ++i)
        if (met[i])
            text.append(text.empty() ? "" : ", ").append(NamesOf<EdgeKind>::Names[i]);
    return text;
}

LayerTable<OutlineRow> outlineTable()
{
    LayerTable<OutlineRow> table{
        "outlines",
        GeometryKind::Polygons,
        LayerSpace::Ground,
        "The outline of a context on one drawing.",
        {{{"outline", Whole, "", "Number of the outline in the project file."},
          [](const OutlineRow& row) { return FieldValue(row.outline.id); }},
         {{"context", Text, "", "Context number."},
          [](const OutlineRow& row) { return known(row.outline.context); }},
         {{"drawing", Text, "", "Drawing number."},
          [](const OutlineRow& row) { return known(row.drawing); }},
         {{"kind", Text, "", "Kind of the context, from its register; empty if the register lacks it."},
          [](const OutlineRow& row) { return known(row.contextKind); }},
         {{"edge_kinds", Text, "", "Kinds of edge that occur; the layer outline_edges says where."},
          [](const OutlineRow& row) { return known(edgeKindsOf(row.parts)); }},
         {{"top_m", Real, "m", "Highest level of the context, from its register."},
          [](const OutlineRow& row) { return known(row.topM); }},
         {{"bottom_m", Real, "m", "Lowest level of the context, from its register."},
          [](const OutlineRow& row) { return known(row.bottomM); }},
         {{"area_m2", Real, "m2", "Area inside the outline, holes left out."},
          [](const OutlineRow& row) { return FieldValue(areaM2(row.parts)); }},
         {{"perimeter_m", Real, "m", "Length of all its rings."},
          [](const OutlineRow& row) { return FieldValue(perimeterM(row.parts)); }},
         {{"stage", Text, "", "How far the work has come: traced, checked, signed off."},
          [](const OutlineRow& row) { return known(nameOf(row.outline.stage)); }},
         {{"traced_by", Text, "", "Initials."},
          [](const OutlineRow& row) { return known(row.outline.tracedBy); }},
         {{"traced_at", Text, "", "When (ISO 8601, UTC)."},
          [](const OutlineRow& row) { return known(row.outline.tracedAt); }}},
        [](const OutlineRow& row) { return polygonsOf(row.parts); }};
    // Of the vertex where the total is largest, so that an outline never claims more than its weakest
    // vertex.
    addErrorColumns<OutlineRow>(table.columns, [](const OutlineRow& row) { return worstError(row.parts); });
    return table;
}

LayerTable<EdgeStretchRow> edgeStretchTable()
{
    return {"outline_edges",
            GeometryKind::Line,
            LayerSpace::Ground,
            "Outlines cut into stretches of one kind of edge.",
            {{{"outline", Whole, "", "Number of the outline."},
              [](const EdgeStretchRow& row) { return FieldValue(row.outline); }},
             {{"context", Text, "", "Context number."},
              [](const EdgeStretchRow& row) { return known(row.context); }},
             {{"drawing", Text, "", "Drawing number."},
              [](const EdgeStretchRow& row) { return known(row.drawing); }},
             {{"kind", Text, "", "Certain, uncertain, truncated, limit of excavation, beyond the sheet."},
              [](const EdgeStretchRow& row) { return known(nameOf(row.stretch.kind)); }}},
            [](const EdgeStretchRow& row) { return lineOf(row.stretch.vertices); }};
}

LayerTable<VertexRow> vertexTable()
{
    LayerTable<VertexRow> table{
        "outline_vertices",
        GeometryKind::Point,
        LayerSpace::Ground,
        "Every vertex of every outline with its own standard error.",
        {{{"outline", Whole, "", "Number of the outline."},
          [](const VertexRow& row) { return FieldValue(row.outline); }},
         {{"context", Text, "", "Context number."},
          [](const VertexRow& row) { return known(row.context); }},
         {{"drawing", Text, "", "Drawing number."},
          [](const VertexRow& row) { return known(row.drawing); }},
         {{"part", Whole, "", "Part of the outline, from 1."},
          [](const VertexRow& row) { return FieldValue(std::int64_t{row.part}); }},
         {{"ring", Whole, "", "Ring of the part: 1 is the outer one, holes follow."},
          [](const VertexRow& row) { return FieldValue(std::int64_t{row.ring}); }},
         {{"vertex", Whole, "", "Place in the ring, from 1."},
          [](const VertexRow& row) { return FieldValue(std::int64_t{row.index}); }},
         {{"edge_kind", Text, "", "Kind of the edge that leaves this vertex."},
          [](const VertexRow& row) { return known(nameOf(row.vertex.kind)); }}},
        [](const VertexRow& row) {
            FeatureGeometry geometry;
            geometry.point = GroundPosition{row.vertex.at, {}};
            return geometry;
        }};
    addErrorColumns<VertexRow>(table.columns, [](const VertexRow& row) { return row.vertex.error; });
    return table;
}

LayerTable<EdgeLineRow> edgeLineTable()
{
    return {"edges",
            GeometryKind::Line,
            LayerSpace::Ground,
            "Drawn lines that bound no context by themselves: breaks of slope, limits, section lines.",
            {{{"kind", Text, "", "Break top, break bottom, section line, limit of excavation, other."},
              [](const EdgeLineRow& row) { return known(nameOf(row.line.kind)); }},
             {{"context", Text, "", "Context number."},
              [](const EdgeLineRow& row) { return known(row.line.context); }},
             {{"drawing", Text, "", "Drawing number."},
              [](const EdgeLineRow& row) { return known(row.drawing); }},
             {{"label", Text, "", "Section lines: their letters, e.g. A-B."},
              [](const EdgeLineRow& row) { return known(row.line.label); }},
             {{"se_m", Real, "m", "Standard error of its weakest vertex (one sigma, each axis)."},
              [](const EdgeLineRow& row) {
                  double worstM = 0;
                  for (const GroundVertex& vertex : row.vertices)
                      worstM = std::max(worstM, vertex.error.totalM());
                  return FieldValue(worstM);
              }}},
            [](const EdgeLineRow& row) { return lineOf(places(row.vertices)); }};
}

LayerTable<SpotLevelRow> spotLevelTable(LayerSpace space)
{
    LayerTable<SpotLevelRow> table{
        "levels",
        GeometryKind::Point,
        LayerSpace::Ground,
        "Levels written on the drawings.",
        {{{"level_m", Real, "m", "The level as written, above the project's datum."},
          [](const SpotLevelRow& row) { return FieldValue(row.level.levelM); }},
         {{"context", Text, "", "Context number."},
          [](const SpotLevelRow& row) { return known(row.level.context); }},
         {{"drawing", Text, "", "Drawing number."},
          [](const SpotLevelRow& row) { return known(row.drawing); }}},
        [space](const SpotLevelRow& row) {
            FeatureGeometry geometry;
            geometry.point = GroundPosition{row.place.at, {}};
            if (space == LayerSpace::Ground)
                geometry.point->levelM = row.level.levelM;
            return geometry;
        }};
    addErrorColumns<SpotLevelRow>(table.columns, [](const SpotLevelRow& row) { return row.place.error; });
    return table;
}

LayerTable<DrawnPointRow> drawnPointTable()
{
    LayerTable<DrawnPointRow> table{
        "points",
        GeometryKind::Point,
        LayerSpace::Ground,
        "Finds, samples, timbers and notes marked on the drawings.",
        {{{"kind", Text, "", "Find, sample, timber, note."},
          [](const DrawnPointRow& row) { return known(nameOf(row.point.kind)); }},
         {{"number", Text, "", "Number of the find, sample or timber."},
          [](const DrawnPointRow& row) { return known(row.point.number); }},
         {{"text", Text, "", "Text of a note."},
          [](const DrawnPointRow& row) { return known(row.point.text); }},
         {{"drawing", Text, "", "Drawing number."},
          [](const DrawnPointRow& row) { return known(row.drawing); }}},
        [](const DrawnPointRow& row) {
            FeatureGeometry geometry;
            geometry.point = GroundPosition{row.place.at, {}};
            return geometry;
        }};
    addErrorColumns<DrawnPointRow>(table.columns, [](const DrawnPointRow& row) { return row.place.error; });
    return table;
}

/// A figure of the drawing's fit, or nothing where there is none.
template<typename Figure>
std::function<FieldValue(const DrawingRow&)> ofFit(Figure figure)
{
    return [figure](const DrawingRow& row) {
        return row.ground ? FieldValue(figure(row.ground->fit)) : FieldValue();
    };
}

FieldValue verdictOf(const ControlFit& fit)
{
    const bool within =
        std::all_of(fit.residuals.begin(), fit.residuals.end(), [](const PinResidual& residual) {
            return residual.withinTolerance || residual.use == PinUse::LeftOut;
        });
    return std::string(within ? "within" : "out");
}

/// The drawing's part of the film, on the ground.
FeatureGeometry extentOf(const DrawingRow& row)
{
    if (!row.ground || row.ground->section)
        return {};
    const FilmFrame& film = row.ground->film;
    std::vector<ScanPx> corners = row.drawing.frame;
    if (corners.size() < 3)
        corners = {{0, 0}, {film.widthPx, 0}, {film.widthPx, film.heightPx}, {0, film.heightPx}};
    const std::vector<EdgeKind> kinds(corners.size(), EdgeKind::Certain);
    const PositionErrors noTracing(*row.ground, {}, 0);
    return polygonsOf(partsOnGround({{{corners, kinds}, {}}}, *row.ground, noTracing));
}

LayerTable<DrawingRow> drawingTable()
{
    return {
        "drawings",
        GeometryKind::Polygons,
        LayerSpace::Ground,
        "The drawing register; for a pinned plan, the part of the ground that its film covers.",
        {{{"number", Text, "", "Drawing number."},
          [](const DrawingRow& row) { return known(row.drawing.number); }},
         {{"kind", Text, "", "Plan, section, elevation, profile."},
          [](const DrawingRow& row) { return known(nameOf(row.drawing.kind)); }},
         {{"title", Text, "", "Title."}, [](const DrawingRow& row) { return known(row.drawing.title); }},
         {{"trench", Text, "", "Trench."}, [](const DrawingRow& row) { return known(row.drawing.trench); }},
         {{"sheet", Text, "", "Sheet of film that carries it."},
          [](const DrawingRow& row) { return known(row.drawing.sheet); }},
         {{"scale_denominator", Real, "", "Stated scale: 20 for 1:20."},
          [](const DrawingRow& row) { return FieldValue(row.drawing.scaleDenominator); }},
         {{"drawn_by", Text, "", "Initials."},
          [](const DrawingRow& row) { return known(row.drawing.drawnBy); }},
         {{"drawn_on", Text, "", "Date (ISO 8601)."},
          [](const DrawingRow& row) { return known(row.drawing.drawnOn); }},
         {{"facing", Text, "", "Sections: the way the drawn face looks."},
          [](const DrawingRow& row) { return known(row.drawing.facing); }},
         {{"datum_m", Real, "m", "Sections: level of the drawn datum line."},
          [](const DrawingRow& row) { return known(row.drawing.datumM); }},
         {{"model", Text, "", "Model that ties it to the ground."},
          [](const DrawingRow& row) { return known(nameOf(row.drawing.model)); }},
         {{"pins_used", Whole, "", "Pins that took part in the fit."},
          ofFit([](const ControlFit& fit) { return std::int64_t{fit.pinsUsed}; })},
         {{"redundancy", Whole, "", "Observed coordinates less parameters."},
          ofFit([](const ControlFit& fit) { return std::int64_t{fit.redundancy}; })},
         {{"rmse_m", Real, "m", "Root mean square residual of the pins used, on the ground."},
          ofFit([](const ControlFit& fit) { return fit.rmseM; })},
         {{"rmse_mm", Real, "mm", "The same on the film, at the stated scale."},
          ofFit([](const ControlFit& fit) { return fit.rmseMm; })},
         {{"s0", Real, "", "Standard error of unit weight; 1 when the residuals are as large as expected."},
          [](const DrawingRow& row) {
              return row.ground && row.ground->fit.redundancy > 0
                         ? FieldValue(row.ground->fit.standardErrorOfUnitWeight)
                         : FieldValue();
          }},
         {{"tolerance", Text, "", "Whether every pin is within the project's tolerance: within or out."},
          ofFit(verdictOf)},
         {{"not_fitted", Text, "", "Why there is no fit, where there is none."},
          [](const DrawingRow& row) { return known(row.whyNot); }},
         {{"stage", Text, "", "Listed, scanned, pinned, traced, checked, signed off."},
          [](const DrawingRow& row) { return known(nameOf(row.drawing.stage)); }},
         {{"note", Text, "", "Remark."}, [](const DrawingRow& row) { return known(row.drawing.note); }}},
        extentOf};
}

LayerTable<PinRow> pinTable()
{
    const auto residual = [](double (*figure)(const PinResidual&)) {
        return [figure](const PinRow& row) {
            return row.residual ? FieldValue(figure(*row.residual)) : FieldValue();
        };
    };
    return {
        "pins",
        GeometryKind::Point,
        LayerSpace::Ground,
        "Pegs tied to their marks on the film, where the fit puts them.",
        {{{"drawing", Text, "", "Drawing number."}, [](const PinRow& row) { return known(row.drawing); }},
         {{"peg", Text, "", "Name of the peg."}, [](const PinRow& row) { return known(row.pin.peg); }},
         {{"role", Text, "", "Fit, check (a check point) or out (left out)."},
          [](const PinRow& row) { return known(nameOf(row.pin.use)); }},
         {{"column_px", Real, "px", "Mark in the scan, from the left."},
          [](const PinRow& row) { return FieldValue(row.pin.mark.column); }},
         {{"row_px", Real, "px", "Mark in the scan, from the top."},
          [](const PinRow& row) { return FieldValue(row.pin.mark.row); }},
         {{"placed_by", Text, "", "How the mark was placed."},
          [](const PinRow& row) { return known(row.pin.placedBy); }},
         {{"residual_east_m", Real, "m", "Fitted less surveyed, east (sections: along the line)."},
          residual([](const PinResidual& figures) { return figures.eastM; })},
         {{"residual_north_m", Real, "m", "Fitted less surveyed, north (sections: level)."},
          residual([](const PinResidual& figures) { return figures.northM; })},
         {{"residual_mm", Real, "mm", "Length of the residual on the film, at the stated scale."},
          residual([](const PinResidual& figures) { return figures.filmMm; })},
         {{"tolerance", Text, "", "Within or out."},
          [](const PinRow& row) {
              return row.residual
                         ? FieldValue(std::string(row.residual->withinTolerance ? "within" : "out"))
                         : FieldValue();
          }}},
        [](const PinRow& row) {
            FeatureGeometry geometry;
            geometry.point = row.fitted;
            return geometry;
        }};
}

LayerTable<SectionLineRow> sectionLineTable()
{
    return {"section_lines",
            GeometryKind::Line,
            LayerSpace::Ground,
            "Where the face of each pinned section stands on the ground, bends included.",
            {{{"drawing", Text, "", "Drawing number."},
              [](const SectionLineRow& row) { return known(row.drawing); }},
             {{"trench", Text, "", "Trench."}, [](const SectionLineRow& row) { return known(row.trench); }},
             {{"facing", Text, "", "The way the drawn face looks."},
              [](const SectionLineRow& row) { return known(row.facing); }},
             {{"datum_m", Real, "m", "Level of the drawn datum line."},
              [](const SectionLineRow& row) { return known(row.datumM); }},
             {{"from_m", Real, "m", "Distance along the line at its first vertex."},
              [](const SectionLineRow& row) { return FieldValue(row.fromM); }},
             {{"to_m", Real, "m", "Distance along the line at its last vertex."},
              [](const SectionLineRow& row) { return FieldValue(row.toM); }}},
            [](const SectionLineRow& row) { return lineOf(row.line); }};
}

/// The outlines' rings taken apart into stretches and vertices.
template<typename Visit>
void forEachRing(const std::vector<OutlineRow>& outlines, const Visit& visit)
{
    for (const OutlineRow& row : outlines) {
        for (std::size_t part = 0; part < row.parts.size(); ++part) {
            visit(row, part, 0, row.parts[part].outer);
            for (std::size_t hole = 0; hole < row.parts[part].holes.size(); ++hole)
                visit(row, part, hole + 1, row.parts[part].holes[hole]);
        }
    }
}

std::vector<EdgeStretchRow> stretchesOf(const std::vector<OutlineRow>& outlines)
{
    std::vector<EdgeStretchRow> rows;
    forEachRing(outlines, [&](const OutlineRow& row, std::size_t, std::size_t, const VertexRing& ring) {
        for (EdgeStretch& stretch : edgeStretches(ring))
            rows.push_back({row.outline.id, row.outline.context, row.drawing, std::move(stretch)});
    });
    return rows;
}

std::vector<VertexRow> verticesOf(const std::vector<OutlineRow>& outlines)
{
    std::vector<VertexRow> rows;
    forEachRing(outlines, [&](const OutlineRow& row, std::size_t part, std::size_t ringIndex,
                              const VertexRing& ring) {
        for (std::size_t i = 0; i < ring.size(); ++i)
            rows.push_back({row.outline.id, row.outline.context, row.drawing, static_cast<int>(part) + 1,
                            static_cast<int>(ringIndex) + 1, static_cast<int>(i) + 1, ring[i]});
    });
    return rows;
}

void addLayersOf(const DrawnWork::InOneSpace& work, LayerSpace space, std::vector<FeatureLayer>& layers)
{
    std::vector<FeatureLayer> made{outlineTable().fill(work.outlines),
                                   edgeStretchTable().fill(stretchesOf(work.outlines)),
                                   vertexTable().fill(verticesOf(work.outlines)),
                                   edgeLineTable().fill(work.lines),
                                   spotLevelTable(space).fill(work.levels),
                                   drawnPointTable().fill(work.points)};
    for (FeatureLayer& layer : made) {
        if (space == LayerSpace::Section) {
            layer.schema.name = "section_" + layer.schema.name;
            layer.schema.space = space;
            layer.schema.meaning += " On sections: x is the distance along the section line, y the level.";
        }
        layers.push_back(std::move(layer));
    }
}

} // namespace

std::vector<FeatureLayer> drawnLayers(const DrawnWork& work)
{
    std::vector<FeatureLayer> layers{drawingTable().fill(work.drawings), pinTable().fill(work.pins),
                                     sectionLineTable().fill(work.sectionLines)};
    addLayersOf(work.plan, LayerSpace::Ground, layers);
    addLayersOf(work.section, LayerSpace::Section, layers);
    for (FeatureLayer& layer : spaceLayers(work.space))
        layers.push_back(std::move(layer));
    return layers;
}

} // namespace inkpeg
