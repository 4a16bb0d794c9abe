// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/outline/Outline.h"

#include <array>
#include <cmath>
#include <string_view>

namespace inkpeg {

namespace {

constexpr std::array<std::string_view, 5> EdgeKindNames = {"certain", "uncertain", "truncated",
                                                           "limit of excavation", "beyond the sheet"};

} // namespace

std::string edgeKindName(EdgeKind kind)
{
    return std::string(EdgeKindNames[static_cast<std::size_t>(kind)]);
}

Result<EdgeKind> edgeKindNamed(const std::string& name)
{
    for (std::size_t i = 0; i < EdgeKindNames.size(); ++i)
        if (EdgeKindNames[i] == name)
            return static_cast<EdgeKind>(i);
    return Error{ErrorCode::BadInput,
                 "\"" + name +
                     "\" is no kind of edge; the kinds are certain, uncertain, truncated, "
                     "limit of excavation, beyond the sheet"};
}

ScanPx onLattice(ScanPx position)
{
    constexpr double StepsPerPixel = 256.0;
    return {std::round(position.column * StepsPerPixel) / StepsPerPixel,
            std::round(position.row * StepsPerPixel) / StepsPerPixel};
}

} // namespace inkpeg
