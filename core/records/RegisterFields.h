// SPDX-License-Identifier: GPL-3.0-or-later
// How each cell of a register becomes a field of a record, and the other way round.
#pragma once

#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "core/records/Records.h"
#include "core/records/Registers.h"

namespace inkpeg {

/// A line of the context register: the record, and its relations by kind.
struct ContextLine {
    Context context;
    std::map<RelationKind, std::vector<std::string>> relations;
    bool operator==(const ContextLine&) const = default;
};

/// A line of the sheet register: `scan` as written, before the file is looked for.
struct SheetLine {
    Sheet sheet;
    std::string scan;
    std::optional<double> dpi;
    bool operator==(const SheetLine&) const = default;
};

/// A line of the pin register: the drawing by its number.
struct PinLine {
    Pin pin;
    std::string drawing;
    bool operator==(const PinLine&) const = default;
};

/// A cell with blanks at its ends taken off. `decimalComma`: the file separates by semicolons, so that 12,5
/// can only be a number.
struct Cell {
    std::string text;
    bool decimalComma = false;
};

template<typename Line>
struct RegisterField {
    RegisterColumn column;
    /// Sets the field from a cell that is not empty; says what is wrong, or nothing.
    std::function<std::optional<std::string>(Line&, const Cell&)> read;
    std::function<std::string(const Line&)> write;
};

/// The fields of a register in the order of its columns. Line is Person, Trench, Peg, SheetLine, Drawing,
/// ContextLine, Find, Sample, Timber, Photograph, PinLine or LevelReading.
template<typename Line>
const std::vector<RegisterField<Line>>& registerFields();
template<>
const std::vector<RegisterField<Person>>& registerFields<Person>();
template<>
const std::vector<RegisterField<Trench>>& registerFields<Trench>();
template<>
const std::vector<RegisterField<Peg>>& registerFields<Peg>();
template<>
const std::vector<RegisterField<SheetLine>>& registerFields<SheetLine>();
template<>
const std::vector<RegisterField<Drawing>>& registerFields<Drawing>();
template<>
const std::vector<RegisterField<ContextLine>>& registerFields<ContextLine>();
template<>
const std::vector<RegisterField<Find>>& registerFields<Find>();
template<>
const std::vector<RegisterField<Sample>>& registerFields<Sample>();
template<>
const std::vector<RegisterField<Timber>>& registerFields<Timber>();
template<>
const std::vector<RegisterField<Photograph>>& registerFields<Photograph>();
template<>
const std::vector<RegisterField<PinLine>>& registerFields<PinLine>();
template<>
const std::vector<RegisterField<LevelReading>>& registerFields<LevelReading>();

/// What is wrong with a line as a whole, or nothing: e.g. an east without a north.
std::optional<std::string> wrongAsAWhole(const std::optional<GroundM>& position);

} // namespace inkpeg
