// SPDX-License-Identifier: GPL-3.0-or-later
// Sets the fields of a record from the values of a row. Included by Schema.cpp only.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/records/Schema.h"

namespace inkpeg {

/// Fills the kinds of the rings of `parts` from run lengths; says what does not fit.
std::optional<std::string> readEdgeKinds(const std::string& text, std::vector<Part>& parts);

/// Sets the fields of a record from a row.
struct RowReader {
    const std::vector<Value>& row;
    const char* table;
    std::size_t next = 0;
    std::optional<Error> trouble = {};

    const Value& take()
    {
        static const Value Unknown;
        return next < row.size() ? row[next++] : Unknown;
    }
    void fail(const FieldWords& field, const std::string& what)
    {
        if (!trouble)
            trouble = Error{ErrorCode::BadInput, std::string(table) + "." + field.name + ": " + what};
    }
    /// SQLite lets other programs put text where numbers belong.
    void refuseText(const FieldWords& field, const Value& value, const char* what)
    {
        if (const auto* text = std::get_if<std::string>(&value))
            fail(field, "\"" + *text + "\" is no " + what);
    }
    void operator()(const FieldWords&, std::string& text)
    {
        if (const auto* held = std::get_if<std::string>(&take()))
            text = *held;
    }
    std::optional<double> number(const FieldWords& field, const Value& value)
    {
        if (const auto* real = std::get_if<double>(&value))
            return *real;
        if (const auto* whole = std::get_if<std::int64_t>(&value))
            return static_cast<double>(*whole);
        refuseText(field, value, "number");
        return std::nullopt;
    }
    void operator()(const FieldWords& field, double& value)
    {
        value = number(field, take()).value_or(value);
    }
    void operator()(const FieldWords& field, std::optional<double>& value)
    {
        value = number(field, take());
    }
    std::optional<std::int64_t> whole(const FieldWords& field)
    {
        const Value& value = take();
        if (const auto* held = std::get_if<std::int64_t>(&value))
            return *held;
        refuseText(field, value, "whole number");
        return std::nullopt;
    }
    void operator()(const FieldWords& field, bool& value)
    {
        value = whole(field).value_or(value ? 1 : 0) != 0;
    }
    void operator()(const FieldWords& field, int& value)
    {
        value = static_cast<int>(whole(field).value_or(value));
    }
    template<Named Enum>
    void operator()(const FieldWords& field, Enum& value)
    {
        const auto* held = std::get_if<std::string>(&take());
        if (!held)
            return;
        if (const auto known = named<Enum>(*held))
            value = *known;
        else
            fail(field, "\"" + *held + "\" is none of " + allNames<Enum>());
    }
    void operator()(const FieldWords& field, Key key) { (*this)(field, key.text); }
    void operator()(const FieldWords&, OfDrawing drawing)
    {
        if (const auto* held = std::get_if<std::int64_t>(&take()))
            drawing.id = *held;
    }
    void operator()(const FieldWords&, std::optional<GroundM>& place)
    {
        place.reset();
        if (const auto* geometry = std::get_if<Geometry>(&take()); geometry && !geometry->vertices.empty())
            place = GroundM{geometry->vertices[0].x, geometry->vertices[0].y};
    }
    void operator()(const FieldWords&, PlaceOf) { take(); }
    void operator()(const FieldWords&, std::vector<GroundM>& limit)
    {
        limit.clear();
        if (const auto* geometry = std::get_if<Geometry>(&take()); geometry && !geometry->ringSizes.empty())
            for (std::size_t i = 0; i + 1 < geometry->ringSizes[0]; ++i)
                limit.push_back({geometry->vertices[i].x, geometry->vertices[i].y});
    }
    void operator()(const FieldWords&, ScanPx& mark)
    {
        if (const auto* geometry = std::get_if<Geometry>(&take()); geometry && !geometry->vertices.empty())
            mark = {geometry->vertices[0].x, geometry->vertices[0].y};
    }
    void line(std::vector<ScanPx>& vertices, bool closed)
    {
        vertices.clear();
        if (const auto* geometry = std::get_if<Geometry>(&take()); geometry && !geometry->ringSizes.empty())
            for (std::size_t i = 0; i + (closed ? 1U : 0U) < geometry->ringSizes[0]; ++i)
                vertices.push_back({geometry->vertices[i].x, geometry->vertices[i].y});
    }
    void operator()(const FieldWords&, LineOf of) { line(of.vertices, false); }
    void operator()(const FieldWords&, FrameOf of) { line(of.corners, true); }
    void operator()(const FieldWords&, std::vector<Part>& parts)
    {
        parts.clear();
        const auto* geometry = std::get_if<Geometry>(&take());
        if (!geometry)
            return;
        std::size_t ringIndex = 0;
        std::size_t vertex = 0;
        for (const std::size_t rings : geometry->ringsOfPart) {
            Part& part = parts.emplace_back();
            for (std::size_t r = 0; r < rings; ++r, ++ringIndex) {
                Ring& ring = r == 0 ? part.outer : part.holes.emplace_back();
                const std::size_t size = geometry->ringSizes[ringIndex];
                for (std::size_t i = 0; i + 1 < size; ++i)
                    ring.vertices.push_back(
                        {geometry->vertices[vertex + i].x, geometry->vertices[vertex + i].y});
                vertex += size;
                ring.kinds.assign(ring.vertices.size(), EdgeKind::Certain);
            }
        }
    }
    void operator()(const FieldWords& field, EdgeKindsOf kinds)
    {
        if (const auto* held = std::get_if<std::string>(&take()))
            if (const auto what = readEdgeKinds(*held, kinds.parts))
                fail(field, *what);
    }
};

} // namespace inkpeg
