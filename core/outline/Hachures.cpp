// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/outline/Hachures.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

namespace inkpeg {
namespace {

constexpr double radiansPerDegree = std::numbers::pi / 180;

double lengthOf(std::span<const FilmMm> line)
{
    double sum = 0;
    for (std::size_t i = 0; i + 1 < line.size(); ++i)
        sum += distance(line[i], line[i + 1]);
    return sum;
}

struct Along {
    FilmMm at;
    double unitX = 1, unitY = 0; ///< direction of the line there
};

Along placeAt(std::span<const FilmMm> line, double far)
{
    for (std::size_t i = 0; i + 1 < line.size(); ++i) {
        const FilmMm a = line[i], b = line[i + 1];
        const double length = distance(a, b);
        if (length > 0 && (far <= length || i + 2 == line.size())) {
            const double share = std::min(1.0, far / length);
            return {{a.x + share * (b.x - a.x), a.y + share * (b.y - a.y)},
                    (b.x - a.x) / length,
                    (b.y - a.y) / length};
        }
        far -= length;
    }
    return {line.back(), 1, 0};
}

FilmMm nearestOn(std::span<const FilmMm> line, FilmMm from)
{
    FilmMm nearest = line.front();
    double least = std::numeric_limits<double>::infinity();
    for (std::size_t i = 0; i + 1 < line.size(); ++i) {
        const FilmMm a = line[i], b = line[i + 1];
        const double x = b.x - a.x, y = b.y - a.y, squared = x * x + y * y;
        const double share =
            squared > 0 ? std::clamp(((from.x - a.x) * x + (from.y - a.y) * y) / squared, 0.0, 1.0) : 0.0;
        const FilmMm foot{a.x + share * x, a.y + share * y};
        if (const double away = distance(foot, from); away < least) {
            least = away;
            nearest = foot;
        }
    }
    return nearest;
}

double cross(FilmMm a, FilmMm b, FilmMm c)
{
    return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
}

/// Tails that fan into one place do not cross.
bool crosses(const Hachure& one, const Hachure& other)
{
    return cross(one.head, one.tail, other.head) * cross(one.head, one.tail, other.tail) < 0 &&
           cross(other.head, other.tail, one.head) * cross(other.head, other.tail, one.tail) < 0;
}

double awayFrom(FilmMm at, std::span<const FilmMm> line)
{
    return line.size() < 2 ? std::numeric_limits<double>::infinity() : distance(at, nearestOn(line, at));
}

const SlopeBreak* bottomOf(const SlopeBreak& top, std::span<const SlopeBreak> breaks)
{
    const SlopeBreak* nearest = nullptr;
    double least = std::numeric_limits<double>::infinity();
    for (const SlopeBreak& each : breaks) {
        if (each.isTop || each.context != top.context || each.line.size() < 2)
            continue;
        if (const double away = awayFrom(top.line.front(), each.line); away < least) {
            nearest = &each;
            least = away;
        }
    }
    return nearest;
}

std::optional<double> levelNear(const SlopeBreak& line, std::span<const LevelOnPaper> levels,
                                double reachMm)
{
    std::optional<double> level;
    double least = reachMm;
    for (const LevelOnPaper& each : levels)
        if (const double away = awayFrom(each.at, line.line); away < least) {
            least = away;
            level = each.levelM;
        }
    return level;
}

} // namespace

std::array<FilmMm, 3> Hachure::wedge() const
{
    const double length = distance(head, tail);
    if (length == 0)
        return {head, head, head};
    const double x = -(tail.y - head.y) / length * headWidthMm / 2;
    const double y = (tail.x - head.x) / length * headWidthMm / 2;
    return {FilmMm{head.x + x, head.y + y}, FilmMm{head.x - x, head.y - y}, tail};
}

double slopeRad(double dropM, double runM)
{
    return runM > 0 ? std::atan2(std::abs(dropM), runM) : 0;
}

double hachureSpacingMm(double slope, const HachureStyle& style)
{
    constexpr double gentle = 5 * radiansPerDegree, steep = 60 * radiansPerDegree;
    const double share = std::clamp((slope - gentle) / (steep - gentle), 0.0, 1.0);
    return style.widestMm + share * (style.closestMm - style.widestMm);
}

std::vector<Hachure> hachures(std::span<const FilmMm> top, std::span<const FilmMm> bottom,
                              double scaleDenominator, std::optional<double> dropM,
                              const HachureStyle& style)
{
    std::vector<Hachure> made;
    if (top.size() < 2)
        return made;
    const double whole = lengthOf(top);
    bool isLong = true;
    for (double far = style.closestMm / 2; far < whole;) {
        const Along place = placeAt(top, far);
        const FilmMm full = bottom.size() < 2 ? FilmMm{place.at.x + place.unitY * style.loneLengthMm,
                                                       place.at.y - place.unitX * style.loneLengthMm}
                                              : nearestOn(bottom, place.at);
        const double runMm = distance(place.at, full);
        const double share = isLong ? 1.0 : 0.5;
        const Hachure hachure{
            place.at,
            {place.at.x + share * (full.x - place.at.x), place.at.y + share * (full.y - place.at.y)},
            style.headWidthMm,
            isLong};
        if (runMm > 0 && (made.empty() || !crosses(made.back(), hachure))) {
            made.push_back(hachure);
            isLong = !isLong;
        }
        far += dropM ? hachureSpacingMm(slopeRad(*dropM, groundMFromFilmMm(runMm, scaleDenominator)), style)
                     : std::clamp(runMm / 3, style.closestMm, style.widestMm);
    }
    return made;
}

std::vector<Hachure> hachuresBelow(const SlopeBreak& top, std::span<const SlopeBreak> breaks,
                                   std::span<const LevelOnPaper> levels, double scaleDenominator,
                                   double reachMm)
{
    if (top.line.size() < 2)
        return {};
    const SlopeBreak* bottom = bottomOf(top, breaks);
    if (!bottom)
        return hachures(top.line, {}, scaleDenominator, std::nullopt);
    const std::optional<double> upper = levelNear(top, levels, reachMm),
                                lower = levelNear(*bottom, levels, reachMm);
    const bool falls = upper && lower && *upper > *lower;
    return hachures(top.line, bottom->line, scaleDenominator,
                    falls ? std::optional(*upper - *lower) : std::nullopt);
}

} // namespace inkpeg
