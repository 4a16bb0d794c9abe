// SPDX-License-Identifier: GPL-3.0-or-later
// Polygons written as well-known text, for tests: x is the column, y the row.
#pragma once

#include <utility>
#include <vector>

#include <QRegularExpression>
#include <QString>
#include <QStringList>

#include "core/outline/Outline.h"

namespace inkpeg {

inline Ring ringOfText(const QString& pairs)
{
    Ring ring;
    for (const QString& pair : pairs.split(',')) {
        const QStringList numbers = pair.simplified().split(' ');
        ring.vertices.push_back({numbers[0].toDouble(), numbers[1].toDouble()});
    }
    if (ring.vertices.size() > 1 && ring.vertices.front() == ring.vertices.back())
        ring.vertices.pop_back(); // ours are not closed by repeating the first vertex
    ring.kinds.assign(ring.vertices.size(), EdgeKind::Certain);
    return ring;
}

/// The polygons of a well-known text, without those that are empty (OGC 06-103r4, 7.2).
inline std::vector<Part> partsOfText(const QString& wkt)
{
    static const QRegularExpression polygon(R"(\(\s*(\([^()]*\)(?:\s*,\s*(?:\([^()]*\)|EMPTY))*)\s*\))");
    static const QRegularExpression ring(R"(\(([^()]*)\))");
    std::vector<Part> parts;
    for (auto found = polygon.globalMatch(wkt); found.hasNext();) {
        Part part;
        bool first = true;
        const QString rings = found.next().captured(1);
        for (auto each = ring.globalMatch(rings); each.hasNext();) {
            const Ring read = ringOfText(each.next().captured(1));
            if (std::exchange(first, false))
                part.outer = read;
            else
                part.holes.push_back(read);
        }
        parts.push_back(part);
    }
    return parts;
}

} // namespace inkpeg
