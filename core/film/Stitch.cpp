// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/Stitch.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "core/base/ProgressShare.h"
#include "core/base/Text.h"
#include "core/film/CoarseMatch.h"
#include "core/film/InkCells.h"
#include "core/film/StitchMatch.h"

namespace inkpeg {
namespace {

constexpr double CellsPerInch =
    25; // about a millimetre, and a whole number of pixels at 200, 300, 400, 600
constexpr double MostTurnRad = 3 * std::numbers::pi / 180;
constexpr std::size_t LeastPlaces = 6, MostPlaces = 48;
constexpr double MostMisfitMm = 0.5;
constexpr std::size_t TileBytes = std::size_t{48} << 20;

int cellPx(double dpi)
{
    return static_cast<int>(std::max(1L, std::lround(dpi / CellsPerInch)));
}

/// The similarity that a coarse place stands for.
Stitching guessOf(const CoarsePlace& place, const InkPlane& secondInk, HalvesDpi dpi)
{
    const double step1 = cellPx(dpi.first), step2 = cellPx(dpi.second);
    const double scale = dpi.second / dpi.first;
    Stitching guess;
    guess.a = scale * std::cos(place.turnRad);
    guess.b = -scale * std::sin(place.turnRad);
    const double x = place.column * step1, y = place.row * step1;
    guess.c = secondInk.width / 2.0 * step2 - guess.a * x + guess.b * y;
    guess.d = secondInk.height / 2.0 * step2 - guess.b * x - guess.a * y;
    return guess;
}

Error unlike(const Scan& first, const Scan& second, const Stitching& best)
{
    std::string why = "pieces of film that agree on both: " + std::to_string(best.places.size()) +
                      "; at least " + std::to_string(LeastPlaces) + " are needed";
    if (best.places.size() >= LeastPlaces)
        why = "the pieces found on both disagree by " + fixed(best.misfitMm, 2) + " mm; no more than " +
              fixed(MostMisfitMm, 1) + " mm is taken for one sheet";
    return {ErrorCode::Unsolvable,
            first.file().string() + " and " + second.file().string() + " do not match (" + why +
                "); both must show the same strip of drawn film, some 3 cm wide or more"};
}

/// How much of both halves is alike.
double agreement(const Stitching& stitching)
{
    double sum = 0;
    for (const StitchPlace& place : stitching.places)
        sum += place.likeness * place.likeness;
    return sum;
}

/// From pieces of 12 mm near the guess to pieces of 7 mm at full resolution.
Stitching refined(const Half& first, const Half& second, const Stitching& guess, const InkPlane& ink)
{
    const std::vector<ScanPx> places =
        placesWithInk(first, second, guess, ink, cellPx(first.dpi), MostPlaces);
    const Stitching rough =
        agreeing(findPieces(first, second, guess, places, {12, 3, 0.2}), 0.4, second.pxPerMm());
    if (rough.places.size() < LeastPlaces)
        return rough;
    const std::vector<ScanPx> anew =
        placesWithInk(first, second, rough, ink, cellPx(first.dpi), MostPlaces);
    return agreeing(findPieces(first, second, rough, anew, {7, 0.4, 0}), 0.4, second.pxPerMm());
}

} // namespace

Result<Stitching> matchHalves(const Scan& first, const Scan& second, HalvesDpi dpi,
                              const std::filesystem::path& scratchFolder, const Progress& progress)
{
    if (!(dpi.first > 0) || !(dpi.second > 0))
        return Error{ErrorCode::BadInput, (dpi.first > 0 ? second : first).file().string() +
                                              ": the scan does not say its resolution; give it in dpi"};
    const auto firstTiles =
        SourceTiles::open(first.file(), 1, TileBytes, scratchFolder, shareOf(progress, 0, 0.1));
    if (!firstTiles)
        return firstTiles.error();
    const auto secondTiles =
        SourceTiles::open(second.file(), 1, TileBytes, scratchFolder, shareOf(progress, 0.1, 0.2));
    if (!secondTiles)
        return secondTiles.error();
    const Result<InkPlane> firstInk = readInkCells(first, cellPx(dpi.first), FaintInk::Dropped);
    const Result<InkPlane> secondInk = readInkCells(second, cellPx(dpi.second), FaintInk::Dropped);
    if (!firstInk || !secondInk)
        return firstInk ? secondInk.error() : firstInk.error();
    const auto places = findCoarsePlaces(*firstInk, *secondInk, MostTurnRad, shareOf(progress, 0.2, 0.7));
    if (!places)
        return places.error().code == ErrorCode::Unsolvable ? unlike(first, second, {}) : places.error();
    const Half one{first, **firstTiles, dpi.first}, other{second, **secondTiles, dpi.second};
    // All are tried: a printed grid agrees with itself at every tenth line, only less well than the drawing.
    Stitching best;
    for (std::size_t i = 0; i < places->size(); ++i) {
        if (!report(progress, 0.7 + 0.3 * double(i) / double(places->size())))
            return Error{ErrorCode::Cancelled, "stopped while matching the halves"};
        Stitching found = refined(one, other, guessOf((*places)[i], *secondInk, dpi), *firstInk);
        if (agreement(found) > agreement(best))
            best = std::move(found);
    }
    if (best.places.size() < LeastPlaces || best.misfitMm > MostMisfitMm)
        return unlike(first, second, best);
    return best;
}

} // namespace inkpeg
