// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/StitchMatch.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace inkpeg {
namespace {

constexpr double LeastLikeness = 0.5;
constexpr double LeastRoundness = 0.15; ///< smaller over larger curvature of the correlation at its top

/// Grey values in the first half's directions: `side` x `side` samples about a place.
struct Piece {
    int side = 0;
    std::vector<float> values;

    float at(int column, int row) const
    {
        return values[static_cast<std::size_t>(row) * static_cast<std::size_t>(side) +
                      static_cast<std::size_t>(column)];
    }
};

/// Samples `stepPx` (of the first half) apart around `middle` of the first, where `onHalf` says they lie on
/// the half that is read; each the mean of as many pixels as fit a step.
template<typename OnHalf>
Piece readPiece(const Half& half, ScanPx middle, int side, int stepPx, OnHalf onHalf)
{
    const double reach = side * stepPx / 2.0;
    double left = 1e300, top = 1e300, right = -1e300, bottom = -1e300;
    for (const double x : {-reach, reach})
        for (const double y : {-reach, reach}) {
            const ScanPx corner = onHalf({middle.column + x, middle.row + y});
            left = std::min(left, corner.column), right = std::max(right, corner.column);
            top = std::min(top, corner.row), bottom = std::max(bottom, corner.row);
        }
    SourcePatch patch;
    const int x0 = static_cast<int>(std::floor(left)) - 2, y0 = static_cast<int>(std::floor(top)) - 2;
    half.tiles.readPatch(
        half.scan,
        {x0, y0, static_cast<int>(std::ceil(right)) + 2 - x0, static_cast<int>(std::ceil(bottom)) + 2 - y0},
        patch);
    const auto sample = [&](ScanPx at) {
        const double x = std::clamp(at.column - 0.5 - x0, 0.0, patch.width - 1.001);
        const double y = std::clamp(at.row - 0.5 - y0, 0.0, patch.height - 1.001);
        const auto c = static_cast<std::size_t>(x), r = static_cast<std::size_t>(y);
        const auto width = static_cast<std::size_t>(patch.width);
        const std::uint8_t* p = patch.pixels.data() + r * width + c;
        const double fx = x - double(c), fy = y - double(r);
        return (p[0] * (1 - fx) + p[1] * fx) * (1 - fy) + (p[width] * (1 - fx) + p[width + 1] * fx) * fy;
    };
    Piece piece{side, {}};
    piece.values.reserve(static_cast<std::size_t>(side) * static_cast<std::size_t>(side));
    for (int row = 0; row < side; ++row)
        for (int column = 0; column < side; ++column) {
            double sum = 0;
            for (int y = 0; y < stepPx; ++y)
                for (int x = 0; x < stepPx; ++x)
                    sum += sample(onHalf({middle.column - reach + column * stepPx + x + 0.5,
                                          middle.row - reach + row * stepPx + y + 0.5}));
            piece.values.push_back(static_cast<float>(sum / (stepPx * stepPx)));
        }
    return piece;
}

/// Of `small` with the part of `large` that begins at (column, row).
double correlation(const Piece& small, const Piece& large, int column, int row)
{
    double sumS = 0, sumL = 0, squareS = 0, squareL = 0, product = 0;
    for (int y = 0; y < small.side; ++y)
        for (int x = 0; x < small.side; ++x) {
            const double s = small.at(x, y), l = large.at(column + x, row + y);
            sumS += s, sumL += l;
            squareS += s * s, squareL += l * l;
            product += s * l;
        }
    const double n = double(small.side) * small.side;
    const double spreadS = squareS - sumS * sumS / n, spreadL = squareL - sumL * sumL / n;
    return spreadS > 0 && spreadL > 0 ? (product - sumS * sumL / n) / std::sqrt(spreadS * spreadL) : 0.0;
}

/// The top of the paraboloid through nine values, in steps from the middle one; nothing where there is no
/// top, or a ridge.
std::optional<std::pair<double, double>> topOf(const std::array<double, 9>& v)
{
    const double dx = (v[5] - v[3]) / 2, dy = (v[7] - v[1]) / 2;
    const double dxx = v[3] - 2 * v[4] + v[5], dyy = v[1] - 2 * v[4] + v[7];
    const double dxy = (v[8] - v[6] - v[2] + v[0]) / 4;
    const double determinant = dxx * dyy - dxy * dxy, trace = dxx + dyy;
    if (!(determinant > 0) || !(trace < 0))
        return std::nullopt;
    const double spread = std::sqrt(std::max(0.0, trace * trace / 4 - determinant));
    if ((trace / 2 + spread) / (trace / 2 - spread) < LeastRoundness)
        return std::nullopt;
    const double x = -(dyy * dx - dxy * dy) / determinant, y = -(dxx * dy - dxy * dx) / determinant;
    if (std::abs(x) > 1 || std::abs(y) > 1)
        return std::nullopt;
    return std::pair(x, y);
}

std::optional<StitchPlace> findPiece(const Half& first, const Half& second, const Stitching& guess,
                                     ScanPx place, const PieceSearch& search)
{
    const int stepPx = std::max(1, static_cast<int>(std::lround(search.stepMm * first.pxPerMm())));
    const int side = std::max(8, static_cast<int>(search.pieceMm * first.pxPerMm() / stepPx));
    const int reach = std::max(2, static_cast<int>(std::ceil(search.reachMm * first.pxPerMm() / stepPx)));
    const Piece small = readPiece(first, place, side, stepPx, [](ScanPx p) { return p; });
    const Piece large =
        readPiece(second, place, side + 2 * reach, stepPx, [&](ScanPx p) { return guess.toSecond(p); });
    const int shifts = 2 * reach + 1;
    std::vector<double> found;
    for (int row = 0; row < shifts; ++row)
        for (int column = 0; column < shifts; ++column)
            found.push_back(correlation(small, large, column, row));
    const auto best = std::max_element(found.begin(), found.end()) - found.begin();
    const int column = static_cast<int>(best) % shifts, row = static_cast<int>(best) / shifts;
    if (found[static_cast<std::size_t>(best)] < LeastLikeness || column == 0 || row == 0 ||
        column == shifts - 1 || row == shifts - 1)
        return std::nullopt;
    std::array<double, 9> about{};
    for (int i = 0; i < 9; ++i)
        about[static_cast<std::size_t>(i)] =
            found[static_cast<std::size_t>((row + i / 3 - 1) * shifts + column + i % 3 - 1)];
    const auto top = topOf(about);
    if (!top)
        return std::nullopt;
    const ScanPx moved{place.column + (column - reach + top->first) * stepPx,
                       place.row + (row - reach + top->second) * stepPx};
    return StitchPlace{place, guess.toSecond(moved), found[static_cast<std::size_t>(best)], 0};
}

/// Through all places, by least squares about their middles.
/// Source: as fit's similarity: Umeyama, IEEE Trans. Pattern Analysis 13 (1991), in the plane.
Stitching similarityThrough(const std::vector<StitchPlace>& places)
{
    ScanPx p, q;
    for (const StitchPlace& place : places) {
        p.column += place.first.column / double(places.size());
        p.row += place.first.row / double(places.size());
        q.column += place.second.column / double(places.size());
        q.row += place.second.row / double(places.size());
    }
    double along = 0, across = 0, square = 0;
    for (const StitchPlace& place : places) {
        const double x = place.first.column - p.column, y = place.first.row - p.row;
        const double u = place.second.column - q.column, v = place.second.row - q.row;
        along += x * u + y * v;
        across += x * v - y * u;
        square += x * x + y * y;
    }
    Stitching fit;
    fit.a = square > 0 ? along / square : 1;
    fit.b = square > 0 ? across / square : 0;
    fit.c = q.column - fit.a * p.column + fit.b * p.row;
    fit.d = q.row - fit.b * p.column - fit.a * p.row;
    return fit;
}

double misfitPx(const Stitching& fit, const StitchPlace& place)
{
    return distance(fit.toSecond(place.first), place.second);
}

std::vector<StitchPlace> within(const Stitching& fit, const std::vector<StitchPlace>& places, double px)
{
    std::vector<StitchPlace> kept;
    for (const StitchPlace& place : places)
        if (misfitPx(fit, place) <= px)
            kept.push_back(place);
    return kept;
}

} // namespace

std::vector<ScanPx> placesWithInk(const Half& first, const Half& second, const Stitching& guess,
                                  const InkPlane& ink, double cellPx, std::size_t most)
{
    constexpr double PieceMm = 12, ReachMm = 3, ApartMm = 6;
    const int side = static_cast<int>(std::ceil(PieceMm * first.pxPerMm() / cellPx));
    const double margin = (PieceMm / 2 + 1) * first.pxPerMm();
    const double marginOfSecond = (PieceMm / 2 + ReachMm + 1) * second.pxPerMm();
    struct Candidate {
        ScanPx place;
        double ink;
    };
    std::vector<Candidate> candidates;
    const int step = std::max(1, side / 4);
    for (int row = 0; row + side <= ink.height; row += step)
        for (int column = 0; column + side <= ink.width; column += step) {
            const ScanPx place{(column + side / 2.0) * cellPx, (row + side / 2.0) * cellPx};
            if (!first.holds(place, margin) || !second.holds(guess.toSecond(place), marginOfSecond))
                continue;
            double sum = 0;
            for (int y = row; y < row + side; ++y)
                for (int x = column; x < column + side; ++x)
                    sum += std::min(ink.at(x, y), 60.0F); // a blot counts no more than a line
            if (sum > 0)
                candidates.push_back({place, sum});
        }
    std::sort(candidates.begin(), candidates.end(),
              [](const Candidate& a, const Candidate& b) { return a.ink > b.ink; });
    std::vector<ScanPx> places;
    const double apart = ApartMm * first.pxPerMm();
    for (const Candidate& candidate : candidates)
        if (places.size() < most && std::none_of(places.begin(), places.end(), [&](ScanPx other) {
                return distance(candidate.place, other) < apart;
            }))
            places.push_back(candidate.place);
    return places;
}

std::vector<StitchPlace> findPieces(const Half& first, const Half& second, const Stitching& guess,
                                    const std::vector<ScanPx>& places, const PieceSearch& search)
{
    std::vector<StitchPlace> found;
    for (const ScanPx place : places)
        if (const auto piece = findPiece(first, second, guess, place, search))
            found.push_back(*piece);
    return found;
}

Stitching agreeing(const std::vector<StitchPlace>& places, double toleranceMm, double secondPxPerMm)
{
    const double tolerancePx = toleranceMm * secondPxPerMm;
    std::vector<StitchPlace> best;
    for (std::size_t i = 0; i < places.size(); ++i)
        for (std::size_t k = i + 1; k < places.size(); ++k) {
            const Stitching pair = similarityThrough({places[i], places[k]});
            const double scale = std::hypot(pair.a, pair.b);
            if (!(scale > 0.2 && scale < 5))
                continue;
            if (auto kept = within(pair, places, tolerancePx); kept.size() > best.size())
                best = std::move(kept);
        }
    if (best.size() < 3)
        return {};
    Stitching fit = similarityThrough(best);
    for (int round = 0; round < 5; ++round) {
        std::vector<double> misfits;
        for (const StitchPlace& place : best)
            misfits.push_back(misfitPx(fit, place));
        const auto middle = misfits.begin() + static_cast<std::ptrdiff_t>(misfits.size() / 2);
        std::nth_element(misfits.begin(), middle, misfits.end());
        const auto kept = within(fit, places, std::min(tolerancePx, std::max(3 * *middle, 0.1)));
        if (kept.size() < 3)
            break;
        const bool same = kept.size() == best.size();
        best = kept;
        fit = similarityThrough(best);
        if (same)
            break;
    }
    for (StitchPlace& place : best) {
        place.misfitMm = misfitPx(fit, place) / secondPxPerMm;
        fit.misfitMm += place.misfitMm * place.misfitMm / double(best.size());
        fit.worstMisfitMm = std::max(fit.worstMisfitMm, place.misfitMm);
    }
    fit.misfitMm = std::sqrt(fit.misfitMm);
    fit.places = std::move(best);
    return fit;
}

} // namespace inkpeg
