// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/records/Schema.h"

#include "core/records/Describe.h"
#include "core/records/RowReader.h"

namespace inkpeg {

namespace {

int placeWhere(const std::vector<Column>& columns, bool (*wanted)(const Column&))
{
    for (std::size_t i = 0; i < columns.size(); ++i)
        if (wanted(columns[i]))
            return static_cast<int>(i);
    return -1;
}

/// Lists the columns of a record type.
struct ColumnLister {
    std::vector<Column> columns;

    void add(const FieldWords& field, ColumnType type, Shape shape = Shape::None,
             Space space = Space::Ground)
    {
        columns.push_back({field.name, field.unit, field.words, type, shape, space});
    }
    void operator()(const FieldWords& f, std::string&) { add(f, ColumnType::Text); }
    void operator()(const FieldWords& f, double&) { add(f, ColumnType::Real); }
    void operator()(const FieldWords& f, std::optional<double>&) { add(f, ColumnType::Real); }
    void operator()(const FieldWords& f, bool&) { add(f, ColumnType::Truth); }
    void operator()(const FieldWords& f, int&) { add(f, ColumnType::Whole); }
    template<Named Enum>
    void operator()(const FieldWords& f, Enum&)
    {
        add(f, ColumnType::Text);
        columns.back().keyPart = std::same_as<Enum, PegFrame>;
    }
    void operator()(const FieldWords& f, Key)
    {
        add(f, ColumnType::Text);
        columns.back().key = true;
    }
    void operator()(const FieldWords& f, OfDrawing)
    {
        add(f, ColumnType::Whole);
        columns.back().ofDrawing = true;
    }
    void operator()(const FieldWords& f, std::optional<GroundM>&)
    {
        add(f, ColumnType::Shape, Shape::Point);
    }
    void operator()(const FieldWords& f, PlaceOf) { add(f, ColumnType::Shape, Shape::Point); }
    void operator()(const FieldWords& f, std::vector<GroundM>&)
    {
        add(f, ColumnType::Shape, Shape::Polygon);
    }
    void operator()(const FieldWords& f, ScanPx&) { add(f, ColumnType::Shape, Shape::Point, Space::Scan); }
    void operator()(const FieldWords& f, LineOf)
    {
        add(f, ColumnType::Shape, Shape::LineString, Space::Scan);
    }
    void operator()(const FieldWords& f, FrameOf)
    {
        add(f, ColumnType::Shape, Shape::Polygon, Space::Scan);
    }
    void operator()(const FieldWords& f, std::vector<Part>&)
    {
        add(f, ColumnType::Shape, Shape::MultiPolygon, Space::Scan);
    }
    void operator()(const FieldWords& f, EdgeKindsOf) { add(f, ColumnType::Text); }
};

Coordinate coordinateOf(GroundM p)
{
    return {p.east, p.north};
}
Coordinate coordinateOf(ScanPx p)
{
    return {p.column, p.row};
}

template<typename Position>
void addRing(Geometry& geometry, const std::vector<Position>& ring, bool close)
{
    for (const Position& position : ring)
        geometry.vertices.push_back(coordinateOf(position));
    if (close && !ring.empty())
        geometry.vertices.push_back(coordinateOf(ring.front()));
    geometry.ringSizes.push_back(ring.size() + (close ? 1U : 0U));
}

template<typename Position>
Value shapeValue(const std::vector<Position>& positions, Shape shape, Space space)
{
    if (positions.empty())
        return std::monostate{};
    Geometry geometry{shape, space, {}, {}, {1}};
    addRing(geometry, positions, shape == Shape::Polygon);
    return geometry;
}

Value partsValue(const std::vector<Part>& parts)
{
    if (parts.empty())
        return std::monostate{};
    Geometry geometry{Shape::MultiPolygon, Space::Scan, {}, {}, {}};
    for (const Part& part : parts) {
        addRing(geometry, part.outer.vertices, true);
        for (const Ring& hole : part.holes)
            addRing(geometry, hole.vertices, true);
        geometry.ringsOfPart.push_back(1 + part.holes.size());
    }
    return geometry;
}

/// Gathers the values of a record.
struct RowWriter {
    std::vector<Value> row;

    void add(Value value) { row.push_back(std::move(value)); }
    void operator()(const FieldWords&, const std::string& text) { add(text); }
    void operator()(const FieldWords&, double value) { add(value); }
    void operator()(const FieldWords&, const std::optional<double>& value)
    {
        add(value ? Value(*value) : Value(std::monostate{}));
    }
    void operator()(const FieldWords&, bool& value) { add(std::int64_t{value}); }
    void operator()(const FieldWords&, int& value) { add(std::int64_t{value}); }
    template<Named Enum>
    void operator()(const FieldWords&, Enum& value)
    {
        add(nameOf(value));
    }
    void operator()(const FieldWords&, Key key) { add(key.text); }
    void operator()(const FieldWords&, OfDrawing drawing) { add(drawing.id); }
    void operator()(const FieldWords&, const std::optional<GroundM>& place)
    {
        add(place ? shapeValue(std::vector{*place}, Shape::Point, Space::Ground) : Value(std::monostate{}));
    }
    void operator()(const FieldWords&, PlaceOf place)
    {
        add(place.peg.frame == PegFrame::Crs
                ? shapeValue(std::vector{place.peg.position}, Shape::Point, Space::Ground)
                : Value(std::monostate{}));
    }
    void operator()(const FieldWords&, const std::vector<GroundM>& limit)
    {
        add(shapeValue(limit, Shape::Polygon, Space::Ground));
    }
    void operator()(const FieldWords&, const ScanPx& mark)
    {
        add(shapeValue(std::vector{mark}, Shape::Point, Space::Scan));
    }
    void operator()(const FieldWords&, LineOf line)
    {
        add(shapeValue(line.vertices, Shape::LineString, Space::Scan));
    }
    void operator()(const FieldWords&, FrameOf frame)
    {
        add(shapeValue(frame.corners, Shape::Polygon, Space::Scan));
    }
    void operator()(const FieldWords&, const std::vector<Part>& parts) { add(partsValue(parts)); }
    void operator()(const FieldWords&, EdgeKindsOf kinds) { add(edgeKindsText(kinds.parts)); }
};

template<typename Record>
Table makeTable()
{
    ColumnLister lister;
    lister.add({"id", "", "row"}, ColumnType::Whole);
    Record record;
    describe(lister, record);
    return {TableWords<Record>::name, TableWords<Record>::title, TableWords<Record>::words,
            std::move(lister.columns)};
}

template<typename Record>
std::int64_t idOf(const Record& record)
{
    if constexpr (std::same_as<Record, ProjectFacts>)
        return 1;
    else
        return record.id;
}

} // namespace

int Table::keyColumn() const
{
    return placeWhere(columns, [](const Column& column) { return column.key; });
}

int Table::drawingColumn() const
{
    return placeWhere(columns, [](const Column& column) { return column.ofDrawing; });
}

int Table::shapeColumn() const
{
    return placeWhere(columns, [](const Column& column) { return column.type == ColumnType::Shape; });
}

template<typename Record>
const Table& tableOf()
{
    static const Table TheTable = makeTable<Record>();
    return TheTable;
}

template<typename Record>
std::vector<Value> rowOf(const Record& record)
{
    RowWriter writer;
    writer.row.reserve(tableOf<Record>().columns.size());
    writer.add(idOf(record));
    // One description serves reading and writing; the writer only looks.
    describe(writer, const_cast<Record&>(record)); // NOLINT(cppcoreguidelines-pro-type-const-cast)
    return std::move(writer.row);
}

template<typename Record>
Result<Record> recordOf(const std::vector<Value>& row)
{
    Record record;
    RowReader reader{row, TableWords<Record>::name, 1};
    describe(reader, record);
    if (reader.trouble)
        return *reader.trouble;
    if constexpr (!std::same_as<Record, ProjectFacts>)
        if (const auto* id = row.empty() ? nullptr : std::get_if<std::int64_t>(&row[0]))
            record.id = *id;
    return record;
}

std::string edgeKindsText(const std::vector<Part>& parts)
{
    std::string text;
    const auto addRuns = [&](const Ring& ring) {
        if (!text.empty())
            text += "; ";
        for (std::size_t from = 0; from < ring.kinds.size();) {
            std::size_t to = from;
            while (to < ring.kinds.size() && ring.kinds[to] == ring.kinds[from])
                ++to;
            text += (from == 0 ? "" : ", ") + std::to_string(to - from) + " " + nameOf(ring.kinds[from]);
            from = to;
        }
    };
    for (const Part& part : parts) {
        addRuns(part.outer);
        for (const Ring& hole : part.holes)
            addRuns(hole);
    }
    return text;
}

template<typename... Records>
static std::vector<const Table*> tablesOf(const std::tuple<Records...>*)
{
    return {&tableOf<Records>()...};
}

const std::vector<const Table*>& allTables()
{
    static const std::vector<const Table*> Tables = tablesOf(static_cast<RecordTypes*>(nullptr));
    return Tables;
}

#define INKPEG_INSTANTIATE(Record)                                                                         \
    template const Table& tableOf<Record>();                                                               \
    template std::vector<Value> rowOf<Record>(const Record&);                                              \
    template Result<Record> recordOf<Record>(const std::vector<Value>&);
INKPEG_INSTANTIATE(ProjectFacts)
INKPEG_INSTANTIATE(Person)
INKPEG_INSTANTIATE(Trench)
INKPEG_INSTANTIATE(Sheet)
INKPEG_INSTANTIATE(Drawing)
INKPEG_INSTANTIATE(Pin)
INKPEG_INSTANTIATE(Peg)
INKPEG_INSTANTIATE(Context)
INKPEG_INSTANTIATE(Relation)
INKPEG_INSTANTIATE(Find)
INKPEG_INSTANTIATE(Sample)
INKPEG_INSTANTIATE(Timber)
INKPEG_INSTANTIATE(Photograph)
INKPEG_INSTANTIATE(Outline)
INKPEG_INSTANTIATE(EdgeLine)
INKPEG_INSTANTIATE(SpotLevel)
INKPEG_INSTANTIATE(DrawnPoint)
INKPEG_INSTANTIATE(SignOff)
INKPEG_INSTANTIATE(Waiver)
INKPEG_INSTANTIATE(ColumnMatch)
INKPEG_INSTANTIATE(LevelBook)
INKPEG_INSTANTIATE(LevelReading)
#undef INKPEG_INSTANTIATE

} // namespace inkpeg
