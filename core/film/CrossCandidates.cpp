// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <array>

#include "core/film/CrossSearch.h"

namespace inkpeg::crosses {
namespace {

constexpr double FlankMm = 0.5; // bare film beside a line
constexpr double AngleStepRad = 2.5 * Pi / 180;

/// Mean of 3 cells across, so that a line off by a cell is still met.
double acrossMean(const GreyImage& image, double x, double y, Vector normal, bool& outside)
{
    double sum = 0;
    for (int k = -1; k <= 1; ++k) {
        const int c = static_cast<int>(std::floor(x + k * normal.x)),
                  r = static_cast<int>(std::floor(y + k * normal.y));
        if (c < 0 || r < 0 || c >= image.width || r >= image.height) {
            outside = true;
            return 0;
        }
        sum += image.at(c, r);
    }
    return sum / 3;
}

/// How much darker than its flanks a stretch of an arm is, in grey levels; nothing when it leaves the
/// window.
std::optional<double> stretchDarkness(const Coarse& coarse, Vector centre, Vector along, double fromMm,
                                      double toMm)
{
    const Vector normal{-along.y, along.x};
    const double flank = FlankMm * coarse.cellsPerMm;
    double sum = 0;
    int count = 0;
    bool outside = false;
    for (double mm = fromMm; mm <= toMm + 1e-9; mm += 0.2, ++count) {
        const double x = centre.x + along.x * mm * coarse.cellsPerMm,
                     y = centre.y + along.y * mm * coarse.cellsPerMm;
        const double line = acrossMean(coarse.image, x, y, normal, outside);
        const double left =
            acrossMean(coarse.image, x - normal.x * flank, y - normal.y * flank, normal, outside);
        const double right =
            acrossMean(coarse.image, x + normal.x * flank, y + normal.y * flank, normal, outside);
        if (outside)
            return std::nullopt;
        sum += std::max(left, right) - line; // another line may run beside it on one side
    }
    return sum / count;
}

std::array<Vector, 4> armsAt(double angleRad)
{
    const Vector a = turnedBy(angleRad);
    return {Vector{a.x, a.y}, Vector{-a.y, a.x}, Vector{-a.x, -a.y}, Vector{a.y, -a.x}};
}

/// Darkness of the weakest of the four arms.
double weakestArm(const Coarse& coarse, Vector centre, double angleRad, double atLeast)
{
    double weakest = 1e9;
    for (const Vector& arm : armsAt(angleRad)) {
        const auto darkness = stretchDarkness(coarse, centre, arm, ArmFromMm, ArmToMm);
        if (!darkness || *darkness <= atLeast)
            return -1;
        weakest = std::min(weakest, *darkness);
    }
    return weakest;
}

} // namespace

Coarse::Coarse(const GreyImage& window, double dpi)
    : step(std::max(1, static_cast<int>(std::lround(dpi / 230)))),
      cellsPerMm(dpi / MillimetresPerInch / step)
{
    image.width = window.width / step;
    image.height = window.height / step;
    image.pixels.reserve(static_cast<std::size_t>(image.width) * static_cast<std::size_t>(image.height));
    for (int row = 0; row < image.height; ++row)
        for (int column = 0; column < image.width; ++column) {
            int sum = step * step / 2;
            for (int y = 0; y < step; ++y)
                for (int x = 0; x < step; ++x)
                    sum += window.at(column * step + x, row * step + y);
            image.pixels.push_back(static_cast<std::uint8_t>(sum / (step * step)));
        }
}

std::vector<Candidate> candidatesAround(const Coarse& coarse, Vector near, double radius, Angles angles)
{
    constexpr double WorthTrying = 0.4; // of the best
    struct Scored {
        Candidate candidate;
        double score;
    };
    std::vector<Scored> scored;
    double bestScore = 0;
    for (double dy = -radius; dy <= radius; dy += 1)
        for (double dx = -radius; dx <= radius; dx += 1) {
            const double far = (dx * dx + dy * dy) / (radius * radius);
            if (far > 1)
                continue;
            const double weight = 1 - 0.3 * far;
            Scored here{{{near.x + dx, near.y + dy}, 0, 0}, WorthTrying * bestScore};
            for (double angle = angles.from; angle <= angles.to + 1e-9; angle += AngleStepRad) {
                const double darkness =
                    weakestArm(coarse, here.candidate.centre, angle, here.score / weight);
                if (darkness * weight > here.score) {
                    here.score = darkness * weight;
                    here.candidate.angleRad = angle;
                    here.candidate.darkness = darkness;
                }
            }
            if (here.candidate.darkness >= LeastDarkness)
                scored.push_back(here);
            bestScore = std::max(bestScore, here.score);
        }
    std::sort(scored.begin(), scored.end(),
              [](const Scored& a, const Scored& b) { return a.score > b.score; });
    constexpr std::size_t Most = 5;
    const double apart = 0.35 * coarse.cellsPerMm;
    std::vector<Candidate> chosen;
    for (const Scored& next : scored) {
        const bool same = std::any_of(chosen.begin(), chosen.end(), [&](const Candidate& other) {
            return std::hypot(other.centre.x - next.candidate.centre.x,
                              other.centre.y - next.candidate.centre.y) < apart;
        });
        if (!same && chosen.size() < Most && next.score >= WorthTrying * bestScore)
            chosen.push_back(next.candidate);
    }
    return chosen;
}

double shareRunningOn(const Coarse& coarse, const Candidate& candidate)
{
    const auto arms = armsAt(candidate.angleRad);
    double least = 1e9;
    for (std::size_t line = 0; line < 2; ++line) {
        double arm = 0, beyond = 0;
        int count = 0;
        for (const Vector& along : {arms[line], arms[line + 2]}) {
            const auto out = stretchDarkness(coarse, candidate.centre, along, BeyondFromMm, BeyondToMm);
            if (!out)
                continue;
            beyond += std::max(0.0, *out);
            arm += stretchDarkness(coarse, candidate.centre, along, ArmFromMm, ArmToMm).value_or(0);
            ++count;
        }
        if (count > 0 && arm > 0)
            least = std::min(least, beyond / arm);
    }
    return least > 1e8 ? 0 : least;
}

} // namespace inkpeg::crosses
