// SPDX-License-Identifier: GPL-3.0-or-later
// Draws the ground into its field of a print-ready page: edges, lines, marks, and numbers that do not collide.
#pragma once

#include <set>
#include <string>
#include <utility>
#include <vector>

#include "app/print/Conventions.h"
#include "app/print/PlanSheet.h"

namespace inkpeg {

/// Ground metres (of a section: distance and level) to millimetres on the page.
struct FieldMap {
    GroundM centre; ///< lies at the middle of the field
    PageMm middle;
    double mmPerM = 50;         ///< across
    double verticalMmPerM = 50; ///< upward

    PageMm operator()(GroundM at) const
    {
        return {middle.x + (at.east - centre.east) * mmPerM,
                middle.y - (at.north - centre.north) * verticalMmPerM};
    }
    GroundM ground(PageMm at) const
    {
        return {centre.east + (at.x - middle.x) / mmPerM,
                centre.north - (at.y - middle.y) / verticalMmPerM};
    }
};

/// What of the conventions a content uses; makes the key. Of posts, whether there are any: see isOnField.
struct UsedConventions {
    std::set<EdgeKind> edges;
    std::set<LineKind> lines;
    std::set<PointKind> points;
    std::set<ContextClass> contexts;
    bool levels = false;
    bool limits = false;
    bool datum = false;
    bool posts = false;
};
UsedConventions conventionsOf(const SheetContent& content, const SheetSettings& settings);

/// Whether a post is drawn: its middle lies within the field.
bool isOnField(const PostOutline& post, const FieldMap& map, const PageBox& field);

/// Fills sheet.art, sheet.labels and sheet.noRoom.
void drawField(const SheetContent& content, const SheetSettings& settings, const FieldMap& map,
               PlanSheet& sheet);

/// The pieces of a line that lie within the box.
std::vector<std::vector<PageMm>> clipped(const std::vector<PageMm>& line, bool closed, const PageBox& box);

} // namespace inkpeg
