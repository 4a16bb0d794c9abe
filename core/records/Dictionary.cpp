// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/records/Dictionary.h"

#include "core/base/Csv.h"
#include "core/records/Schema.h"

namespace inkpeg {

namespace {

std::string typeInWords(const Column& column)
{
    switch (column.type) {
    case ColumnType::Whole:
        return "whole number";
    case ColumnType::Real:
        return "number";
    case ColumnType::Text:
        return "text";
    case ColumnType::Truth:
        return "0 or 1";
    case ColumnType::Shape:
        break;
    }
    const std::string place = column.space == Space::Scan ? ", scan" : ", ground";
    switch (column.shape) {
    case Shape::Point:
        return "point" + place;
    case Shape::LineString:
        return "line" + place;
    case Shape::Polygon:
        return "polygon" + place;
    case Shape::MultiPolygon:
        return "multipolygon" + place;
    case Shape::None:
        break;
    }
    return {};
}

} // namespace

std::string dataDictionaryMarkdown()
{
    std::string text;
    for (const Table* table : allTables()) {
        text += "### " + table->name + "\n\n" + table->words +
                "\n\n| column | type | unit | meaning |\n|---|---|---|---|\n";
        for (const Column& column : table->columns)
            text += "| " + column.name + " | " + typeInWords(column) + (column.key ? ", key" : "") + " | " +
                    column.unit + " | " + column.words + " |\n";
        text += "\n";
    }
    return text;
}

std::string dataDictionaryCsv()
{
    std::string text = csvLine({"table", "column", "type", "unit", "meaning"});
    for (const Table* table : allTables())
        for (const Column& column : table->columns)
            text += csvLine({table->name, column.name, typeInWords(column), column.unit, column.words});
    return text;
}

} // namespace inkpeg
