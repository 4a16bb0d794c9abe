// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/Skew.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include "core/base/Units.h"
#include "core/film/InkCells.h"

namespace inkpeg {
namespace {

constexpr double CellMm = 0.25;
constexpr double Degree = std::numbers::pi / 180;
constexpr double CoarseStep = 0.25 * Degree, FinestStep = 0.01 * Degree;
constexpr int FirstPartCells = 400; // 100 mm, at whose end a coarse step moves a line by a cell
constexpr int HillSteps = 4;
constexpr double LeastDistinctness = 3;
constexpr std::size_t MostPoints = 200'000; // more tell no more, and take longer

int cellPx(double dpi)
{
    return static_cast<int>(std::max(1.0, std::round(CellMm * dpi / MillimetresPerInch)));
}

struct InkPoint {
    float x, y, darkness;
};

std::vector<InkPoint> pointsOf(const InkPlane& ink)
{
    std::vector<InkPoint> points;
    for (int row = 0; row < ink.height; ++row)
        for (int column = 0; column < ink.width; ++column)
            if (const float darkness = ink.at(column, row); darkness > 0)
                points.push_back({static_cast<float>(column), static_cast<float>(row), darkness});
    if (points.size() > MostPoints) { // the darkest
        std::nth_element(points.begin(), points.begin() + MostPoints, points.end(),
                         [](const InkPoint& a, const InkPoint& b) { return a.darkness > b.darkness; });
        points.resize(MostPoints);
    }
    return points;
}

/// Postl's criterion, summed over square parts of the sheet: the smaller they are, the wider is the range
/// of angles at which a line is noticed; the larger, the finer they are told apart.
class Criterion {
public:
    Criterion(const InkPlane& ink, int partCells)
        : m_part(partCells), m_partsAcross((ink.width + partCells - 1) / partCells),
          m_sumsOfPart(static_cast<std::size_t>(std::ceil(1.5 * partCells)) + 4),
          m_sums(2 * m_sumsOfPart * static_cast<std::size_t>(m_partsAcross) *
                 static_cast<std::size_t>((ink.height + partCells - 1) / partCells))
    {
    }

    /// For lines that run at `angle` and at right angles to it.
    double at(const std::vector<InkPoint>& points, double angle)
    {
        std::fill(m_sums.begin(), m_sums.end(), 0.0F);
        const auto c = static_cast<float>(std::cos(angle)), s = static_cast<float>(std::sin(angle));
        const auto half = static_cast<float>(m_part) / 2;
        for (const InkPoint& p : points) {
            const int across = static_cast<int>(p.x) / m_part, down = static_cast<int>(p.y) / m_part;
            float* sums =
                m_sums.data() + 2 * m_sumsOfPart * static_cast<std::size_t>(down * m_partsAcross + across);
            const float x = p.x - static_cast<float>(across * m_part) - half;
            const float y = p.y - static_cast<float>(down * m_part) - half;
            add(sums, c * y - s * x, p.darkness);
            add(sums + m_sumsOfPart, c * x + s * y, p.darkness);
        }
        double roughness = 0; // the sums at both ends of a part stay empty
        for (std::size_t i = 1; i < m_sums.size(); ++i)
            roughness += double(m_sums[i] - m_sums[i - 1]) * double(m_sums[i] - m_sums[i - 1]);
        return roughness;
    }

private:
    /// Shared between the two sums it lies between, or the criterion would jump where points change sums.
    void add(float* sums, float place, float darkness) const
    {
        const float shifted = place + static_cast<float>(m_sumsOfPart) / 2;
        const auto i = static_cast<std::size_t>(shifted);
        const float share = shifted - static_cast<float>(i);
        sums[i] += darkness * (1 - share);
        sums[i + 1] += darkness * share;
    }

    int m_part, m_partsAcross;
    std::size_t m_sumsOfPart;
    std::vector<float> m_sums;
};

/// Where the parabola that fits values one step apart best has its top, in steps from their middle.
/// Shape:  an odd number of values, at least three.
double topOfParabola(const std::vector<double>& values)
{
    const double half = double(values.size() / 2);
    double count = 0, second = 0, fourth = 0, sum = 0, first = 0, square = 0;
    for (std::size_t i = 0; i < values.size(); ++i) {
        const double t = double(i) - half;
        count += 1, second += t * t, fourth += t * t * t * t;
        sum += values[i], first += values[i] * t, square += values[i] * t * t;
    }
    const double bend = (count * square - second * sum) / (count * fourth - second * second);
    const double slope = first / second;
    return bend < 0 ? std::clamp(-slope / (2 * bend), -half, half) : 0.0;
}

Result<Skew> skewOf(const InkPlane& ink)
{
    const std::vector<InkPoint> points = pointsOf(ink);
    const Error nothing{
        ErrorCode::Unsolvable,
        "no straight lines stand out on this sheet, so how far it lies turned cannot be told"};
    if (points.size() < 500)
        return nothing;
    constexpr int Coarse = 180; // quarters of a degree from -45 to 45
    std::vector<double> values;
    Criterion inParts(ink, FirstPartCells);
    for (int i = 0; i < 2 * Coarse; ++i)
        values.push_back(inParts.at(points, -45 * Degree + (i + 1) * CoarseStep));
    const auto best = std::max_element(values.begin(), values.end());
    const double top = *best;
    double angle = -45 * Degree + (double(best - values.begin()) + 1) * CoarseStep;
    std::nth_element(values.begin(), values.begin() + Coarse, values.end());
    const double median = values[Coarse];
    if (!(top > LeastDistinctness * median))
        return nothing;
    // Parts twice as large tell angles half as far apart; at last the sheet is one part. The noise moves
    // the highest value about, but not the hill that it stands on.
    int part = FirstPartCells;
    for (double step = CoarseStep / 4; step > FinestStep; step /= 2) {
        Criterion criterion(ink, part);
        std::vector<double> about;
        for (int i = -HillSteps; i <= HillSteps; ++i)
            about.push_back(criterion.at(points, angle + i * step));
        angle += step * topOfParabola(about);
        part = std::min(2 * part, std::max(ink.width, ink.height));
    }
    if (angle <= -45 * Degree)
        angle += 90 * Degree;
    return Skew{angle, top / median};
}

} // namespace

Result<Skew> findSkew(const GreyImage& image, double dpi)
{
    return skewOf(inkCells(image, cellPx(dpi), FaintInk::Kept));
}

Result<Skew> findSkew(const Scan& scan, double dpi)
{
    const Result<InkPlane> ink = readInkCells(scan, cellPx(dpi), FaintInk::Kept);
    if (!ink)
        return ink.error();
    return skewOf(*ink);
}

} // namespace inkpeg
