// SPDX-License-Identifier: GPL-3.0-or-later
// A record as a row of plain values under described columns: what storing, exporting and explaining a
// record share.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <variant>
#include <vector>

namespace inkpeg {

/// What a geometry column holds (OGC 06-103r4 simple features); None = the column is no geometry.
enum class Shape { None, Point, LineString, Polygon, MultiPolygon };

/// Where a geometry lives.
enum class Space {
    Ground, ///< east, north in metres, in the project's CRS
    Scan,   ///< column, row in pixels of the sheet's scan: row runs down
};

struct Coordinate {
    double x = 0;
    double y = 0;
    bool operator==(const Coordinate&) const = default;
};

/// A geometry kept flat. Rings of polygons are closed: the first vertex comes again at the end.
/// Shape: `ringSizes` sums to vertices.size(), `ringsOfPart` sums to ringSizes.size(); a point or a line is one
///        ring of one part.
struct Geometry {
    Shape shape = Shape::Point;
    Space space = Space::Ground;
    std::vector<Coordinate> vertices;
    std::vector<std::size_t> ringSizes;
    std::vector<std::size_t> ringsOfPart;
    bool operator==(const Geometry&) const = default;
};

/// One value of a row; monostate = not known.
using Value = std::variant<std::monostate, std::int64_t, double, std::string, Geometry>;

enum class ColumnType { Whole, Real, Text, Truth, Shape };

/// A column, said once for the file, the exports and the data dictionary.
struct Column {
    std::string name;
    std::string unit;  ///< "m", "px", "degrees"; empty when it has none
    std::string words; ///< meaning, one sentence
    ColumnType type = ColumnType::Text;
    Shape shape = Shape::None;
    Space space = Space::Ground;
    bool key = false; ///< the register number (or name, or initials): no two rows share it
    /// No two rows share this and the key together: a peg is given once in each frame.
    bool keyPart = false;
    bool ofDrawing = false; ///< the row of the drawing that this row belongs to
};

/// A record type: its table, in words and columns. The first column is always `id`.
struct Table {
    std::string name;
    std::string title; ///< "Small finds"
    std::string words; ///< what a row is, one sentence
    std::vector<Column> columns;

    /// The place of the key column, or of the column that tells the drawing; -1 when there is none.
    int keyColumn() const;
    int drawingColumn() const;
    /// The place of the geometry column; -1 when there is none.
    int shapeColumn() const;
};

} // namespace inkpeg
