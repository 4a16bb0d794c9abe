// SPDX-License-Identifier: GPL-3.0-or-later
// One description of every record type, from which tables, statements, exports and the data dictionary are
// made.
//
//   const Table& table = tableOf<Peg>();            // name, words, columns with units and meaning
//   std::vector<Value> row = rowOf(peg);            // in the order of table.columns
//   Peg again = recordOf<Peg>(row);
//
// A new field is added once, in the `describe` of its record; older project files gain the column when
// opened.
#pragma once

#include <string>
#include <tuple>
#include <vector>

#include "core/records/Names.h"
#include "core/records/Records.h"
#include "core/records/Row.h"

namespace inkpeg {

/// What is said of a field beside its type.
struct FieldWords {
    const char* name;
    const char* unit;
    const char* words;
};

/// Fields that are not stored under their own type's default.
struct Key {
    std::string& text;
};
struct OfDrawing {
    std::int64_t& id;
};
struct LineOf {
    std::vector<ScanPx>& vertices;
};
struct FrameOf {
    std::vector<ScanPx>& corners;
};
struct EdgeKindsOf {
    std::vector<Part>& parts;
};
/// A geometry made from other fields, for open readers; not read back.
struct PlaceOf {
    const Peg& peg;
};

/// Every record type that has a table, in the order of the file. ProjectFacts is one row with id 1.
using RecordTypes = std::tuple<ProjectFacts, Person, Trench, Sheet, Drawing, Pin, Peg, Context, Relation,
                               Find, Sample, Timber, Photograph, Outline, EdgeLine, SpotLevel, DrawnPoint,
                               SignOff, Waiver, ColumnMatch, LevelBook, LevelReading>;

/// The description of a record type's table. Lives as long as the program.
template<typename Record>
const Table& tableOf();

/// The values of a record, in the order of tableOf<Record>().columns.
template<typename Record>
std::vector<Value> rowOf(const Record& record);

/// The record with these values; a value that is not known leaves the field as a new record has it.
/// Errors: BadInput naming table, column and value: an enumeration name that is none, edge kinds that do
/// not fit.
template<typename Record>
Result<Record> recordOf(const std::vector<Value>& row);

/// Every table of RecordTypes.
const std::vector<const Table*>& allTables();

/// Edge kinds as run lengths, rings in the order of the geometry: "12 certain, 3 uncertain; 8 certain".
std::string edgeKindsText(const std::vector<Part>& parts);

} // namespace inkpeg
