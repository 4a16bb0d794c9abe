// SPDX-License-Identifier: GPL-3.0-or-later
// A layer described once: each column says its name, unit and meaning beside the function that reads its
// value, so that what is written and what the data dictionary says cannot part.
#pragma once

#include <functional>
#include <string>
#include <utility>
#include <vector>

#include "core/handover/FeatureLayer.h"

namespace inkpeg {

template<typename Row>
struct Column {
    FieldSchema schema;
    std::function<FieldValue(const Row&)> value;
};

template<typename Row>
struct LayerTable {
    std::string name;
    GeometryKind geometry = GeometryKind::None;
    LayerSpace space = LayerSpace::Ground;
    std::string meaning;
    std::vector<Column<Row>> columns;
    std::function<FeatureGeometry(const Row&)> place; ///< empty for GeometryKind::None

    FeatureLayer fill(const std::vector<Row>& rows) const
    {
        FeatureLayer layer{{name, geometry, space, meaning, {}}, {}};
        for (const Column<Row>& column : columns)
            layer.schema.fields.push_back(column.schema);
        layer.features.reserve(rows.size());
        for (const Row& row : rows) {
            Feature feature;
            if (place)
                feature.geometry = place(row);
            feature.values.reserve(columns.size());
            for (const Column<Row>& column : columns)
                feature.values.push_back(column.value(row));
            layer.features.push_back(std::move(feature));
        }
        return layer;
    }
};

/// Empty text is a value that is not known.
inline FieldValue known(const std::string& text)
{
    return text.empty() ? FieldValue() : FieldValue(text);
}
inline FieldValue known(const std::optional<double>& value)
{
    return value ? FieldValue(*value) : FieldValue();
}

} // namespace inkpeg
