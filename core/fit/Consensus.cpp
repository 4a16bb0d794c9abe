// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/fit/Consensus.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <random>

#include <Eigen/LU>

#include "core/fit/PinConfiguration.h"
#include "core/fit/Quantiles.h"

namespace inkpeg {

namespace {

using Places = std::vector<std::size_t>;

/// A pin in plain numbers, centred on the first: minimal sets are tried in great number.
struct Plain {
    Eigen::Vector2d film;
    Eigen::Vector2d ground;
    Eigen::Vector2d standardError;
};

std::vector<Plain> plainPins(std::span<const ControlPoint> pins, const Places& used,
                             const FitSettings& settings)
{
    std::vector<Plain> plain;
    const ControlPoint& first = pins[used.front()];
    for (const std::size_t i : used)
        plain.push_back(
            {{pins[i].film.x - first.film.x, pins[i].film.y - first.film.y},
             {pins[i].ground.east - first.ground.east, pins[i].ground.north - first.ground.north},
             {combinedStandardErrorM(pins[i].standardErrorEastM, settings),
              combinedStandardErrorM(pins[i].standardErrorNorthM, settings)}});
    return plain;
}

/// ground = linear * film + shift
struct LinearMap {
    Eigen::Matrix2d linear;
    Eigen::Vector2d shift;
};

std::optional<LinearMap> similarityThrough(const Plain& p, const Plain& q)
{
    const Eigen::Vector2d film = q.film - p.film, ground = q.ground - p.ground;
    const double square = film.squaredNorm();
    if (square < 1 || ground.squaredNorm() <= 0) // pins within a millimetre say nothing about the turn
        return std::nullopt;
    const double a = film.dot(ground) / square;
    const double b = (film[0] * ground[1] - film[1] * ground[0]) / square;
    LinearMap map;
    map.linear << a, -b, b, a;
    map.shift = p.ground - map.linear * p.film;
    return map;
}

std::optional<LinearMap> affineThrough(const Plain& p, const Plain& q, const Plain& r)
{
    Eigen::Matrix2d film, ground;
    film << q.film - p.film, r.film - p.film;
    ground << q.ground - p.ground, r.ground - p.ground;
    const double longest = std::max(film.col(0).norm(), film.col(1).norm());
    if (std::abs(film.determinant()) < 0.02 * longest * longest) // nearly one line
        return std::nullopt;
    LinearMap map;
    map.linear = ground * film.inverse();
    map.shift = p.ground - map.linear * p.film;
    return map;
}

/// A map between a film and the ground has the stated scale, or that of another drawing; three pins that
/// agree on 1:14 by chance are no sheet.
bool isPlausible(const LinearMap& map, double statedDenominator)
{
    constexpr double Slack = 0.06; // film stretch, and two neighbouring pins a few centimetres off
    const double denominator = 1000 * std::sqrt(std::abs(map.linear.determinant()));
    const auto near = [&](double scale) { return std::abs(denominator / scale - 1) < Slack; };
    return near(statedDenominator) || std::any_of(std::begin(UsualScales), std::end(UsualScales), near);
}

constexpr double Truncated = 16; // squared misfit in standard errors beyond which a pin is plainly off

double cost(const std::vector<Plain>& pins, const LinearMap& map)
{
    double sum = 0;
    for (const Plain& pin : pins) {
        const Eigen::Vector2d off = map.linear * pin.film + map.shift - pin.ground;
        sum += std::min(off.cwiseQuotient(pin.standardError).squaredNorm(), Truncated);
    }
    return sum;
}

Places within(const std::vector<Plain>& pins, const LinearMap& map, const Places& used)
{
    Places agreeing;
    for (std::size_t i = 0; i < pins.size(); ++i) {
        const Eigen::Vector2d off = map.linear * pins[i].film + map.shift - pins[i].ground;
        if (off.cwiseQuotient(pins[i].standardError).squaredNorm() < Truncated)
            agreeing.push_back(used[i]);
    }
    return agreeing;
}

/// Calls `visit` with sets of `size` out of `count`: all of them, or so many at random.
template<typename Visit>
void forEachSet(std::size_t count, std::size_t size, Visit visit)
{
    constexpr std::size_t Enough = 600;
    double sets = 1;
    for (std::size_t k = 0; k < size; ++k)
        sets *= static_cast<double>(count - k) / static_cast<double>(k + 1);
    Places set(size);
    if (sets <= static_cast<double>(Enough)) {
        std::vector<bool> taken(count, false);
        std::fill(taken.begin(), taken.begin() + static_cast<std::ptrdiff_t>(size), true);
        do {
            set.clear();
            for (std::size_t i = 0; i < count; ++i)
                if (taken[i])
                    set.push_back(i);
            visit(set);
        } while (std::prev_permutation(taken.begin(), taken.end()));
        return;
    }
    std::mt19937 random(20261125); // always the same sets: the same pins give the same answer
    Places all(count);
    for (std::size_t i = 0; i < count; ++i)
        all[i] = i;
    for (std::size_t k = 0; k < Enough; ++k) {
        std::sample(all.begin(), all.end(), set.begin(), size, random);
        visit(set);
    }
}

Places bestLinear(std::span<const ControlPoint> pins, const Places& used, const FitSettings& settings,
                  bool plausibleOnly)
{
    const bool affine = settings.model == Model::Affine;
    const std::vector<Plain> plain = plainPins(pins, used, settings);
    double lowest = std::numeric_limits<double>::max();
    Places best;
    forEachSet(plain.size(), affine ? 3 : 2, [&](const Places& set) {
        const std::optional<LinearMap> map =
            affine ? affineThrough(plain[set[0]], plain[set[1]], plain[set[2]])
                   : similarityThrough(plain[set[0]], plain[set[1]]);
        if (!map || (plausibleOnly && !isPlausible(*map, settings.scaleDenominator)))
            return;
        const double sum = cost(plain, *map);
        if (sum < lowest) {
            lowest = sum;
            best = within(plain, *map, used);
        }
    });
    return best;
}

std::vector<ControlPoint> onlyThese(std::span<const ControlPoint> pins, const Places& kept)
{
    std::vector<ControlPoint> chosen(pins.begin(), pins.end());
    for (ControlPoint& pin : chosen)
        pin.use = PinUse::LeftOut;
    for (const std::size_t i : kept)
        chosen[i].use = PinUse::Fit;
    return chosen;
}

/// Squared misfits in standard errors of every used pin, truncated, with the places of those that agree.
std::pair<double, Places> judge(const ControlFit& fit, std::span<const ControlPoint> pins,
                                const Places& used)
{
    double sum = 0;
    Places agreeing;
    for (const std::size_t i : used) {
        const double east =
            fit.residuals[i].eastM / combinedStandardErrorM(pins[i].standardErrorEastM, fit.settings);
        const double north =
            fit.residuals[i].northM / combinedStandardErrorM(pins[i].standardErrorNorthM, fit.settings);
        const double square = east * east + north * north;
        sum += std::min(square, Truncated);
        if (square < Truncated)
            agreeing.push_back(i);
    }
    return {sum, agreeing};
}

Places bestOfModel(std::span<const ControlPoint> pins, const Places& used, const FitSettings& settings)
{
    double lowest = std::numeric_limits<double>::max();
    Places best;
    forEachSet(used.size(), static_cast<std::size_t>(fewestPins(settings.model)), [&](const Places& set) {
        Places kept;
        for (const std::size_t k : set)
            kept.push_back(used[k]);
        const Result<ControlFit> fit = fitControl(onlyThese(pins, kept), settings);
        if (!fit)
            return;
        auto [sum, agreeing] = judge(*fit, pins, used);
        if (sum < lowest) {
            lowest = sum;
            best = std::move(agreeing);
        }
    });
    return best;
}

double worstTest(const PinResidual& residual)
{
    return std::max(std::abs(residual.testEast), std::abs(residual.testNorth));
}

/// The pin taken out that a fit without it predicts best, if within the limit.
std::optional<std::size_t> predicted(const ControlFit& fit, std::span<const ControlPoint> pins,
                                     const Places& out, double limit)
{
    std::optional<std::size_t> best;
    double least = limit;
    for (const std::size_t i : out) {
        const GroundCovariance covariance = fit.covarianceAt(pins[i].film);
        const double east = combinedStandardErrorM(pins[i].standardErrorEastM, fit.settings);
        const double north = combinedStandardErrorM(pins[i].standardErrorNorthM, fit.settings);
        const double off = std::max(
            std::abs(fit.residuals[i].eastM) / std::hypot(east, std::sqrt(covariance.eastEast)),
            std::abs(fit.residuals[i].northM) / std::hypot(north, std::sqrt(covariance.northNorth)));
        if (off < least) {
            least = off;
            best = i;
        }
    }
    return best;
}

} // namespace

double snoopingLimit(int tests)
{
    constexpr double SingleTest = 3.29;   // Baarda: alpha 0.001, two-sided
    constexpr double FalseAlarms = 0.015; // of a whole sheet
    return std::max(SingleTest, normalQuantile(1 - FalseAlarms / (2.0 * std::max(tests, 1))));
}

std::optional<Agreement> findAgreement(std::span<const ControlPoint> pins, const FitSettings& settings)
{
    Places used;
    for (std::size_t i = 0; i < pins.size(); ++i)
        if (pins[i].use == PinUse::Fit)
            used.push_back(i);
    const auto fewest = static_cast<std::size_t>(fewestPins(settings.model));
    if (used.size() < fewest + 1)
        return std::nullopt;
    Places kept;
    if (settings.model == Model::Similarity || settings.model == Model::Affine) {
        kept = bestLinear(pins, used, settings, true);
        if (kept.size() < fewest + 1)
            kept = bestLinear(pins, used, settings, false);
    } else {
        kept = bestOfModel(pins, used, settings);
    }
    const double limit = snoopingLimit(2 * static_cast<int>(used.size()));
    std::optional<ControlFit> settled;
    // Each round moves one pin; a pin could go to and fro for ever, twice round all of them is enough.
    for (std::size_t round = 0; round <= 2 * used.size(); ++round) {
        if (kept.size() < fewest + 1 || 2 * kept.size() < used.size())
            return std::nullopt;
        Result<ControlFit> fit = fitControl(onlyThese(pins, kept), settings);
        if (!fit)
            return std::nullopt;
        settled = std::move(fit).value();
        const auto worst = std::max_element(kept.begin(), kept.end(), [&](std::size_t a, std::size_t b) {
            return worstTest(settled->residuals[a]) < worstTest(settled->residuals[b]);
        });
        if (worstTest(settled->residuals[*worst]) > limit) {
            kept.erase(worst);
            continue;
        }
        Places out;
        std::set_difference(used.begin(), used.end(), kept.begin(), kept.end(), std::back_inserter(out));
        const std::optional<std::size_t> back = predicted(*settled, pins, out, limit);
        if (!back || round >= used.size())
            return Agreement{kept, out, std::move(*settled)};
        kept.insert(std::upper_bound(kept.begin(), kept.end(), *back), *back);
    }
    return std::nullopt;
}

double robustUnitWeight(std::span<const ControlPoint> pins, const FitSettings& settings)
{
    Places used;
    for (std::size_t i = 0; i < pins.size(); ++i)
        if (pins[i].use == PinUse::Fit)
            used.push_back(i);
    const bool affine = settings.model != Model::Similarity;
    const std::size_t size = affine ? 3 : 2;
    if (used.size() <= size)
        return 1;
    const std::vector<Plain> plain = plainPins(pins, used, settings);
    double least = std::numeric_limits<double>::max();
    forEachSet(plain.size(), size, [&](const Places& set) {
        const std::optional<LinearMap> map =
            affine ? affineThrough(plain[set[0]], plain[set[1]], plain[set[2]])
                   : similarityThrough(plain[set[0]], plain[set[1]]);
        if (!map)
            return;
        std::vector<double> squares;
        for (const Plain& pin : plain)
            squares.push_back((map->linear * pin.film + map->shift - pin.ground)
                                  .cwiseQuotient(pin.standardError)
                                  .squaredNorm());
        const auto middle = squares.begin() + static_cast<std::ptrdiff_t>(squares.size() / 2);
        std::nth_element(squares.begin(), middle, squares.end());
        least = std::min(least, *middle);
    });
    const double redundancy = 2.0 * static_cast<double>(plain.size() - size);
    return std::sqrt(least / chiSquareQuantile(0.5, 2)) * (1 + 5 / redundancy);
}

} // namespace inkpeg
