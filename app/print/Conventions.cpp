// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/print/Conventions.h"

#include <cmath>
#include <numbers>

#include "core/base/Text.h"
#include "core/outline/LinePattern.h"
#include "core/records/Names.h"

namespace inkpeg {

ContextClass contextClassOf(const std::string& kind)
{
    const std::string word = lowerAscii(kind);
    const auto has = [&](const char* part) { return word.find(part) != std::string::npos; };
    if (word.empty())
        return ContextClass::Unknown;
    if (has("cut"))
        return ContextClass::Cut;
    if (has("structure") || has("wall") || has("masonry") || has("timber") || has("post"))
        return ContextClass::Structure;
    return ContextClass::Deposit; // fill, layer, deposit, spread, floor, ...
}

std::string contextLabel(const std::string& number, ContextClass contextClass)
{
    switch (contextClass) {
    case ContextClass::Cut:
        return "[" + number + "]";
    case ContextClass::Deposit:
        return "(" + number + ")";
    case ContextClass::Structure:
    case ContextClass::Unknown:
        break;
    }
    return number;
}

ArtPen edgePen(EdgeKind kind, ContextClass contextClass)
{
    ArtPen pen;
    pen.widthMm = contextClass == ContextClass::Cut         ? 0.5
                  : contextClass == ContextClass::Structure ? 0.35
                                                            : 0.25;
    if (kind == EdgeKind::LimitOfExcavation)
        return limitPen();
    pen.dashesMm = patternOf(kind).dashesMm;
    return pen;
}

ArtPen linePen(LineKind kind)
{
    switch (kind) {
    case LineKind::BreakTop:
        return {.widthMm = 0.25};
    case LineKind::BreakBottom:
        return {.widthMm = 0.25, .ink = InkBlack, .dashesMm = {1.2, 0.8}};
    case LineKind::SectionLine:
        return {.widthMm = 0.35, .ink = InkBlack, .dashesMm = {5, 1, 1.2, 1}};
    case LineKind::LimitOfExcavation:
        return limitPen();
    case LineKind::Other:
        break;
    }
    return {.widthMm = 0.18};
}

ArtPen limitPen()
{
    return {.widthMm = 0.35, .ink = InkBlack, .dashesMm = {5, 1, 0.6, 1, 0.6, 1}};
}

ArtPen datumPen()
{
    return {.widthMm = 0.18, .ink = InkBlack, .dashesMm = {4, 1, 1, 1}};
}

ArtPen postPen()
{
    return {.widthMm = 0.25, .ink = InkBlack, .dashesMm = {1.2, 0.4, 0.3, 0.4}};
}

std::string keyWords(EdgeKind kind)
{
    if (kind == EdgeKind::LimitOfExcavation)
        return "limit of excavation";
    if (kind == EdgeKind::BeyondTheSheet)
        return "edge beyond the sheet";
    return nameOf(kind) + " edge";
}

std::string keyWords(LineKind kind)
{
    switch (kind) {
    case LineKind::BreakTop:
        return "break of slope, top";
    case LineKind::BreakBottom:
        return "break of slope, bottom";
    case LineKind::SectionLine:
        return "line of a section";
    case LineKind::LimitOfExcavation:
        return "limit of excavation";
    case LineKind::Other:
        break;
    }
    return "other line";
}

void drawPointMark(PageArt& art, PointKind kind, PageMm at)
{
    constexpr double R = MarkMm / 2;
    const ArtPen pen{.widthMm = 0.25};
    switch (kind) {
    case PointKind::Find: {
        std::vector<PageMm> circle;
        for (int i = 0; i < 24; ++i) {
            const double angle = 2 * std::numbers::pi * i / 24;
            circle.push_back({at.x + 0.75 * R * std::cos(angle), at.y + 0.75 * R * std::sin(angle)});
        }
        art.area({std::move(circle)}, InkBlack);
        break;
    }
    case PointKind::Sample:
        art.frame({at.x - 0.8 * R, at.y - 0.8 * R}, 1.6 * R, 1.6 * R, pen);
        art.line({{at.x - 0.8 * R, at.y + 0.8 * R}, {at.x + 0.8 * R, at.y - 0.8 * R}}, pen);
        break;
    case PointKind::Timber:
        art.line({{at.x, at.y - R}, {at.x + R, at.y}, {at.x, at.y + R}, {at.x - R, at.y}}, pen, true);
        break;
    case PointKind::Note:
        art.line({{at.x - 0.7 * R, at.y - 0.7 * R}, {at.x + 0.7 * R, at.y + 0.7 * R}}, pen);
        art.line({{at.x - 0.7 * R, at.y + 0.7 * R}, {at.x + 0.7 * R, at.y - 0.7 * R}}, pen);
        break;
    }
}

void drawLevelMark(PageArt& art, PageMm at)
{
    constexpr double R = MarkMm / 2;
    art.line({{at.x - R, at.y - 1.5 * R}, {at.x + R, at.y - 1.5 * R}, at}, {.widthMm = 0.2}, true);
}

} // namespace inkpeg
