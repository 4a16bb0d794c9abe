// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/Crosses.h"

#include <algorithm>
#include <cmath>

#include "core/base/Text.h"
#include "core/film/CrossSearch.h"

namespace inkpeg {

using namespace crosses;

namespace {

constexpr double SurelyDrawn = 45;  // grey levels: darker than a printed grid is
constexpr double RunsOnShare = 0.7; // of the darkness of the arms
constexpr double SkewAllowedRad = 4 * Pi / 180;

// What the scatter along a stroke cannot show, because it is the same all along a stroke that lies straight
// with the pixels (measured on 1,600 generated crosses, a quarter of them without skew; CrossesTest): where
// a line falls among the pixels, more for lines of about two pixels, and the pull of a printed line beside it.
constexpr double SamplingPx = 0.005, SamplingThinPx = 0.016, ThinPx = 2.5;
constexpr double GridPullMm = 0.0005;

Error noCross(ScanPx near, const std::string& words)
{
    return {ErrorCode::Unsolvable, "no drawn cross at column " + fixed(near.column, 0) + ", row " +
                                       fixed(near.row, 0) + ": " + words +
                                       "; place the pin by hand or click closer to its centre"};
}

std::string doubtAbout(const FittedCross& cross, double runningOn, double standardErrorPx,
                       double pixelsPerMm)
{
    const double fewest = std::min(
        {cross.flat.shareBefore, cross.flat.shareBehind, cross.steep.shareBefore, cross.steep.shareBehind});
    if (fewest < 0.75)
        return "one of its arms is broken or covered";
    if (std::abs(cross.squareness) > 3 * Pi / 180)
        return "its lines are " + fixed(std::abs(cross.squareness) * 180 / Pi, 1) +
               " degrees off a right angle";
    if (runningOn > RunsOnShare)
        return "its lines run on like those of a printed or ruled grid";
    if (standardErrorPx > 0.04 * pixelsPerMm)
        return "its lines are uneven";
    return {};
}

/// One sigma for each axis: scatter of both strokes, and what their scatter cannot show.
double standardErrorOf(const FittedCross& cross, double pixelsPerMm)
{
    const double widthPx = (cross.flat.widthPx + cross.steep.widthPx) / 2;
    const double sampling = widthPx < ThinPx ? SamplingThinPx : SamplingPx;
    const double pull = GridPullMm * pixelsPerMm;
    return std::sqrt((cross.flat.offsetVariance + cross.steep.offsetVariance) / 2 + sampling * sampling +
                     pull * pull);
}

Result<CrossMark> judge(const GreyImage& window, const PxRect& place, ScanPx near, double dpi,
                        const Coarse& coarse, const Candidate& candidate)
{
    const double pixelsPerMm = dpi / MillimetresPerInch;
    const double runningOn = shareRunningOn(coarse, candidate);
    if (runningOn > RunsOnShare && candidate.darkness < SurelyDrawn)
        return noCross(near, "only the lines of the printed grid cross there");
    const Vector start{candidate.centre.x * coarse.step, candidate.centre.y * coarse.step};
    const auto cross = fitCross(window, start, candidate.angleRad, pixelsPerMm);
    if (!cross || std::hypot(cross->centre.x - start.x, cross->centre.y - start.y) > 0.6 * pixelsPerMm)
        return noCross(near, "its lines are too broken to be fitted");
    CrossMark mark;
    mark.centre = {cross->centre.x + place.column, cross->centre.y + place.row};
    mark.standardErrorPx = standardErrorOf(*cross, pixelsPerMm);
    mark.directionRad = std::remainder(cross->angleRad, Pi / 2);
    mark.darkness = candidate.darkness;
    mark.lineMm = (cross->flat.widthPx + cross->steep.widthPx) / 2 / pixelsPerMm;
    mark.doubt = doubtAbout(*cross, runningOn, mark.standardErrorPx, pixelsPerMm);
    mark.doubtful = !mark.doubt.empty();
    return mark;
}

/// The first candidate without doubt, else the best of the doubtful.
Result<CrossMark> centreWithin(const GreyImage& window, const PxRect& place, ScanPx near, double radiusPx,
                               double dpi, Angles angles)
{
    const Coarse coarse(window, dpi);
    const Vector guess{(near.column - place.column) / coarse.step, (near.row - place.row) / coarse.step};
    Result<CrossMark> answer = noCross(near, "nothing there has four arms");
    bool first = true;
    for (const Candidate& candidate :
         candidatesAround(coarse, guess, std::max(radiusPx / coarse.step, 1.0), angles)) {
        Result<CrossMark> mark = judge(window, place, near, dpi, coarse, candidate);
        if (mark && !mark->doubtful)
            return mark;
        if (first || (mark && !answer))
            answer = std::move(mark);
        first = false;
    }
    return answer;
}

} // namespace

double crossReachPx(double dpi)
{
    return (BeyondToMm + 1.0) * dpi / MillimetresPerInch;
}

Result<CrossMark> centreOnCross(const GreyImage& window, const PxRect& place, ScanPx near, double radiusPx,
                                double dpi)
{
    return centreWithin(window, place, near, radiusPx, dpi, {});
}

Result<CrossMark> centreOnTurnedCross(const GreyImage& window, const PxRect& place, ScanPx near,
                                      double radiusPx, double dpi, double directionRad)
{
    const double turned = std::remainder(directionRad, Pi / 2);
    return centreWithin(window, place, near, radiusPx, dpi,
                        {turned - SkewAllowedRad, turned + SkewAllowedRad});
}

Result<CrossMark> centreOnCross(const Scan& scan, ScanPx near, double radiusPx, double dpi)
{
    const double reach = radiusPx + crossReachPx(dpi);
    const ScanFacts& facts = scan.facts();
    const auto clip = [](double value, int size) {
        return std::clamp(static_cast<int>(std::floor(value)), 0, size);
    };
    PxRect place{clip(near.column - reach, facts.widthPx), clip(near.row - reach, facts.heightPx), 0, 0};
    place.width = clip(near.column + reach, facts.widthPx) - place.column;
    place.height = clip(near.row + reach, facts.heightPx) - place.row;
    if (place.width < 1 || place.height < 1)
        return noCross(near, "this place is not on the scan");
    const Result<GreyImage> window = scan.readGrey(place, place.width, place.height);
    if (!window)
        return window.error();
    return centreOnCross(*window, place, near, radiusPx, dpi);
}

} // namespace inkpeg
