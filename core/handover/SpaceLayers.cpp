// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/SpaceLayers.h"

#include <algorithm>

#include "core/handover/GroundOutlines.h"
#include "core/handover/LayerTable.h"
#include "core/handover/StepPieces.h"
#include "core/records/Names.h"

namespace inkpeg {

namespace {

constexpr FieldType Text = FieldType::Text;
constexpr FieldType Whole = FieldType::Whole;
constexpr FieldType Real = FieldType::Real;

std::vector<SectionPoint> onFace(const std::vector<GroundVertex>& vertices)
{
    std::vector<SectionPoint> face;
    for (const GroundVertex& vertex : vertices)
        face.push_back({vertex.at.east, vertex.at.north});
    return face;
}

void takeWorse(const SpaceError& error, SpaceError& worst)
{
    worst.eastM = std::max(worst.eastM, error.eastM);
    worst.northM = std::max(worst.northM, error.northM);
    worst.levelM = std::max(worst.levelM, error.levelM);
}

/// Shape: one place or more.
void reach(const std::vector<SectionPoint>& face, SpaceRow& row)
{
    const auto [from, to] = std::ranges::minmax(face, {}, &SectionPoint::alongM);
    const auto [bottom, top] = std::ranges::minmax(face, {}, &SectionPoint::levelM);
    row.fromM = from.alongM;
    row.toM = to.alongM;
    row.bottomM = bottom.levelM;
    row.topM = top.levelM;
}

/// Fills the reach and the weakest error of a row from its marks on the scan.
/// Shape: one mark or more.
void measure(const std::vector<ScanPx>& marks, const DrawingGround& ground, const PositionErrors& errors,
             SpaceRow& row)
{
    std::vector<SectionPoint> face;
    for (const ScanPx mark : marks) {
        const GroundM place = ground.toGround(mark);
        face.push_back({place.east, place.north});
        takeWorse(errors.inSpace(mark), row.error);
    }
    reach(face, row);
}

std::vector<ScanPx> outerMarks(const Outline& outline)
{
    std::vector<ScanPx> marks;
    for (const Part& part : outline.parts)
        marks.insert(marks.end(), part.outer.vertices.begin(), part.outer.vertices.end());
    return marks;
}

SpaceRow pointRow(std::int64_t id, const std::string& drawing, ScanPx mark, const DrawingGround& ground,
                  const PositionErrors& errors)
{
    SpaceRow row;
    row.id = id;
    row.drawing = drawing;
    const SpacePoint place = ground.toSpace(mark);
    row.geometry.point = GroundPosition{{place.eastM, place.northM}, place.levelM};
    measure({mark}, ground, errors, row);
    return row;
}

void addVertices(const Outline& outline, const std::string& drawing, const DrawingGround& ground,
                 const PositionErrors& errors, SpaceWork& work)
{
    const auto addRing = [&](const Ring& ring, std::size_t part, std::size_t number) {
        for (std::size_t i = 0; i < ring.vertices.size(); ++i) {
            const GroundM face = ground.toGround(ring.vertices[i]);
            work.vertices.push_back({outline.id, drawing, outline.context, nameOf(ring.kinds[i]),
                                     static_cast<int>(part) + 1, static_cast<int>(number) + 1,
                                     static_cast<int>(i) + 1, SectionPoint{face.east, face.north},
                                     ground.toSpace(ring.vertices[i]), errors.inSpace(ring.vertices[i])});
        }
    };
    for (std::size_t part = 0; part < outline.parts.size(); ++part) {
        addRing(outline.parts[part].outer, part, 0);
        for (std::size_t hole = 0; hole < outline.parts[part].holes.size(); ++hole)
            addRing(outline.parts[part].holes[hole], part, hole + 1);
    }
}

/// What a layer in space says of each row; `words` and `kindWords` are empty where it has none.
struct SpaceLayerWords {
    const char* name;
    GeometryKind geometry;
    const char* meaning;
    const char* idWords;
    const char* kindWords;
    const char* textWords;
};

LayerTable<SpaceRow> spaceTable(const SpaceLayerWords& words)
{
    LayerTable<SpaceRow> table{words.name, words.geometry, LayerSpace::Ground, words.meaning, {}, {}};
    auto& columns = table.columns;
    if (words.idWords != nullptr)
        columns.push_back({{"outline", Whole, "", words.idWords},
                           [](const SpaceRow& row) { return FieldValue(row.id); }});
    columns.push_back(
        {{"drawing", Text, "", "Drawing number."}, [](const SpaceRow& row) { return known(row.drawing); }});
    columns.push_back(
        {{"context", Text, "", "Context number."}, [](const SpaceRow& row) { return known(row.context); }});
    columns.push_back(
        {{"kind", Text, "", words.kindWords}, [](const SpaceRow& row) { return known(row.kind); }});
    if (words.textWords != nullptr)
        columns.push_back(
            {{"text", Text, "", words.textWords}, [](const SpaceRow& row) { return known(row.text); }});
    const auto add = [&](const char* name, const char* meaning, double (*figure)(const SpaceRow&)) {
        columns.push_back({{name, Real, "m", meaning},
                           [figure](const SpaceRow& row) { return FieldValue(figure(row)); }});
    };
    add("from_m", "Least distance along the section line.", [](const SpaceRow& row) { return row.fromM; });
    add("to_m", "Greatest distance along the section line.", [](const SpaceRow& row) { return row.toM; });
    add("bottom_m", "Lowest level drawn.", [](const SpaceRow& row) { return row.bottomM; });
    add("top_m", "Highest level drawn.", [](const SpaceRow& row) { return row.topM; });
    add("se_east_m", "Standard error of east (one sigma) of the weakest vertex.",
        [](const SpaceRow& row) { return row.error.eastM; });
    add("se_north_m", "Standard error of north (one sigma) of the weakest vertex.",
        [](const SpaceRow& row) { return row.error.northM; });
    add("se_level_m", "Standard error of the level (one sigma) of the weakest vertex.",
        [](const SpaceRow& row) { return row.error.levelM; });
    table.place = [](const SpaceRow& row) { return row.geometry; };
    return table;
}

LayerTable<SpaceVertexRow> spaceVertexTable()
{
    LayerTable<SpaceVertexRow> table{
        "space_vertices",
        GeometryKind::Point,
        LayerSpace::Ground,
        "Every vertex of every outline drawn on a section, in space, with its own standard errors.",
        {{{"outline", Whole, "", "Number of the outline in the project file."},
          [](const SpaceVertexRow& row) { return FieldValue(row.outline); }},
         {{"context", Text, "", "Context number."},
          [](const SpaceVertexRow& row) { return known(row.context); }},
         {{"drawing", Text, "", "Drawing number."},
          [](const SpaceVertexRow& row) { return known(row.drawing); }},
         {{"part", Whole, "", "Part of the outline, from 1."},
          [](const SpaceVertexRow& row) { return FieldValue(std::int64_t{row.part}); }},
         {{"ring", Whole, "", "Ring of the part: 1 is the outer one, holes follow."},
          [](const SpaceVertexRow& row) { return FieldValue(std::int64_t{row.ring}); }},
         {{"vertex", Whole, "", "Place in the ring as drawn, from 1."},
          [](const SpaceVertexRow& row) { return FieldValue(std::int64_t{row.index}); }},
         {{"edge_kind", Text, "", "Kind of the edge that leaves this vertex."},
          [](const SpaceVertexRow& row) { return known(row.edgeKind); }},
         {{"along_m", Real, "m", "Distance along the section line."},
          [](const SpaceVertexRow& row) { return FieldValue(row.onFace.alongM); }},
         {{"level_m", Real, "m", "Level above the project's datum."},
          [](const SpaceVertexRow& row) { return FieldValue(row.onFace.levelM); }},
         {{"se_east_m", Real, "m", "Standard error of east (one sigma)."},
          [](const SpaceVertexRow& row) { return FieldValue(row.error.eastM); }},
         {{"se_north_m", Real, "m", "Standard error of north (one sigma)."},
          [](const SpaceVertexRow& row) { return FieldValue(row.error.northM); }},
         {{"se_level_m", Real, "m", "Standard error of the level (one sigma)."},
          [](const SpaceVertexRow& row) { return FieldValue(row.error.levelM); }}},
        [](const SpaceVertexRow& row) {
            FeatureGeometry geometry;
            geometry.point = GroundPosition{{row.place.eastM, row.place.northM}, row.place.levelM};
            return geometry;
        }};
    return table;
}

/// What of an outline stands in one plane of the line, on the face.
struct FacePiece {
    std::size_t piece = 0;
    std::vector<VertexPart> parts;
};

Result<std::vector<FacePiece>> piecesOnFace(const Outline& outline, const DrawingGround& ground,
                                            const PositionErrors& errors, double chordToleranceMm)
{
    const Result<std::vector<StepPiece>> pieces = cutAtSteps(outline.parts, ground);
    if (!pieces)
        return Error{pieces.error().code,
                     "context " + outline.context + " where the line of section " + ground.section->name() +
                         " steps: " + pieces.error().message +
                         "; draw the outline anew there, or move the step in the section line"};
    std::vector<FacePiece> onFace;
    for (const StepPiece& piece : *pieces)
        onFace.push_back({piece.piece, partsOnGround(piece.parts, ground, errors, chordToleranceMm)});
    return onFace;
}

std::vector<SpaceRings> inSpace(const std::vector<FacePiece>& pieces, const SectionFrame& frame)
{
    std::vector<SpaceRings> polygons;
    for (const FacePiece& piece : pieces)
        for (const VertexPart& part : piece.parts) {
            SpaceRings& rings = polygons.emplace_back();
            rings.push_back(frame.toSpace(onFace(part.outer), true, piece.piece));
            for (const VertexRing& hole : part.holes)
                rings.push_back(frame.toSpace(onFace(hole), true, piece.piece));
        }
    return polygons;
}

} // namespace

Result<std::vector<SpaceRings>> ringsInSpace(const Outline& outline, const DrawingGround& ground,
                                             const PositionErrors& errors, double chordToleranceMm)
{
    const Result<std::vector<FacePiece>> pieces = piecesOnFace(outline, ground, errors, chordToleranceMm);
    if (!pieces)
        return pieces.error();
    return inSpace(*pieces, *ground.section);
}

Result<void> addSpaceWork(const Project& project, const Drawing& drawing, const DrawingGround& ground,
                          const PositionErrors& errors, const std::vector<Outline>& outlines,
                          double chordToleranceMm, SpaceWork& work)
{
    for (const Outline& outline : outlines) {
        SpaceRow row;
        row.id = outline.id;
        row.drawing = drawing.number;
        row.context = outline.context;
        if (const auto context = project.byKey<Context>(outline.context))
            row.kind = context->kind;
        const Result<std::vector<FacePiece>> pieces =
            piecesOnFace(outline, ground, errors, chordToleranceMm);
        if (!pieces)
            return pieces.error();
        row.geometry.spacePolygons = inSpace(*pieces, *ground.section);
        row.areaM2 = 0;
        for (const FacePiece& piece : *pieces)
            *row.areaM2 += areaM2(piece.parts);
        measure(outerMarks(outline), ground, errors, row);
        work.outlines.push_back(std::move(row));
        addVertices(outline, drawing.number, ground, errors, work);
    }
    for (const EdgeLine& line : project.ofDrawing<EdgeLine>(drawing.id)) {
        SpaceRow row;
        row.id = line.id;
        row.drawing = drawing.number;
        row.context = line.context;
        row.kind = nameOf(line.kind);
        row.text = line.label;
        measure(line.vertices, ground, errors, row);
        for (const SectionStretch& stretch : ground.section->stretchesOf(
                 onFace(lineOnGround(line.vertices, ground, errors, chordToleranceMm)))) {
            row.geometry.spaceLine = ground.section->toSpace(stretch.line, false, stretch.piece);
            reach(stretch.line, row);
            work.edges.push_back(row);
        }
    }
    for (const SpotLevel& level : project.ofDrawing<SpotLevel>(drawing.id)) {
        SpaceRow row = pointRow(level.id, drawing.number, level.mark, ground, errors);
        row.context = level.context;
        row.text = level.point;
        row.writtenM = level.levelM;
        work.levels.push_back(std::move(row));
    }
    for (const DrawnPoint& point : project.ofDrawing<DrawnPoint>(drawing.id)) {
        SpaceRow row = pointRow(point.id, drawing.number, point.mark, ground, errors);
        row.kind = nameOf(point.kind);
        row.text = point.kind == PointKind::Note ? point.text : point.number;
        work.points.push_back(std::move(row));
    }
    return {};
}

std::vector<FeatureLayer> spaceLayers(const SpaceWork& work)
{
    LayerTable<SpaceRow> outlines = spaceTable(
        {"space_outlines", GeometryKind::SpacePolygons,
         "Outlines of sections, elevations and profiles as they stand in space, upright.",
         "Number of the outline in the project file.", "Kind of the context, from its register.", nullptr});
    outlines.columns.push_back({{"area_m2", Real, "m2", "Area on the drawn face, holes left out."},
                                [](const SpaceRow& row) { return known(row.areaM2); }});
    LayerTable<SpaceRow> levels = spaceTable({"space_levels", GeometryKind::Point,
                                              "Levels written on sections, where they were drawn.", nullptr,
                                              "Always empty.", "Name of the point in the level book."});
    std::erase_if(levels.columns,
                  [](const Column<SpaceRow>& column) { return column.schema.name == "kind"; });
    levels.columns.push_back({{"written_m", Real, "m", "The level as written."},
                              [](const SpaceRow& row) { return known(row.writtenM); }});
    return {
        outlines.fill(work.outlines), spaceVertexTable().fill(work.vertices),
        spaceTable({"space_edges", GeometryKind::SpaceLine, "Lines drawn on sections, in space.", nullptr,
                    "Break top, break bottom, section line, limit of excavation, other.",
                    "Its letters, e.g. A-B."})
            .fill(work.edges),
        levels.fill(work.levels),
        spaceTable({"space_points", GeometryKind::Point,
                    "Finds, samples, timbers and notes marked on sections, in space.", nullptr,
                    "Find, sample, timber, note.", "Number of the find, sample or timber, or the note."})
            .fill(work.points)};
}

} // namespace inkpeg
