// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <array>
#include <numeric>
#include <span>

#include "core/film/CrossSearch.h"

namespace inkpeg::crosses {
namespace {

constexpr double LineFromMm = 0.05, LineToMm = 0.9; // widths of a drawn line

/// Grey at a place, in pixels of the image (centre of the first = 0.5, 0.5), bilinear; outside: nothing.
class Grey {
public:
    explicit Grey(const GreyImage& image) : m_image(image) {}

    std::optional<double> at(double x, double y) const
    {
        const double column = x - 0.5, row = y - 0.5;
        const int c = static_cast<int>(std::floor(column)), r = static_cast<int>(std::floor(row));
        if (c < 0 || r < 0 || c + 1 >= m_image.width || r + 1 >= m_image.height)
            return std::nullopt;
        const double fx = column - c, fy = row - r;
        return (m_image.at(c, r) * (1 - fx) + m_image.at(c + 1, r) * fx) * (1 - fy) +
               (m_image.at(c, r + 1) * (1 - fx) + m_image.at(c + 1, r + 1) * fx) * fy;
    }

private:
    const GreyImage& m_image;
};

double median(std::vector<double> values)
{
    if (values.empty())
        return 0;
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

/// Where a slice across a stroke is darkest: distance `along` from the centre, `across` from the line.
struct Slice {
    double along = 0, across = 0;
    double widthPx = 0;
    double peak = 0;
};

/// Centroid of what is darker than half of the peak; the film's own grey is the median of the slice.
std::optional<Slice> sliceAt(const Grey& grey, Vector centre, Vector direction, double along, double halfPx)
{
    const Vector normal{-direction.y, direction.x};
    constexpr double Step = 0.25;
    const int count = static_cast<int>(halfPx / Step);
    std::vector<double> values;
    values.reserve(static_cast<std::size_t>(2 * count + 1));
    for (int i = -count; i <= count; ++i) {
        const double across = i * Step;
        const auto value = grey.at(centre.x + direction.x * along + normal.x * across,
                                   centre.y + direction.y * along + normal.y * across);
        if (!value)
            return std::nullopt;
        values.push_back(*value);
    }
    const double film = median(values);
    // The stroke is the darkest place near the middle; other lines may lie further out.
    const auto middle = values.begin() + count;
    const int near = count / 2;
    const auto darkest = std::min_element(middle - near, middle + near + 1);
    Slice slice{along, 0, 0, film - *darkest};
    if (slice.peak <= 0)
        return std::nullopt;
    const double level = film - 0.5 * slice.peak;
    auto first = darkest, last = darkest;
    while (first != values.begin() && *(first - 1) < level)
        --first;
    while (last + 1 != values.end() && *(last + 1) < level)
        ++last;
    double mass = 0, moment = 0;
    for (auto it = first; it <= last; ++it) {
        mass += level - *it;
        moment += (level - *it) * Step * double(it - middle);
    }
    slice.widthPx = Step * double(last - first + 1);
    if (mass <= 0)
        return std::nullopt;
    slice.across = moment / mass;
    return slice;
}

struct Line {
    double offset = 0, slope = 0, sumW = 0, meanAlong = 0, spread = 0;
};

Line weightedLine(std::span<const Slice> slices, std::span<const double> weights)
{
    Line line;
    double sumAcross = 0;
    for (std::size_t i = 0; i < slices.size(); ++i) {
        line.sumW += weights[i];
        line.meanAlong += weights[i] * slices[i].along;
        sumAcross += weights[i] * slices[i].across;
    }
    line.meanAlong /= line.sumW;
    const double meanAcross = sumAcross / line.sumW;
    double mixed = 0;
    for (std::size_t i = 0; i < slices.size(); ++i) {
        const double d = slices[i].along - line.meanAlong;
        line.spread += weights[i] * d * d;
        mixed += weights[i] * d * (slices[i].across - meanAcross);
    }
    line.slope = line.spread > 0 ? mixed / line.spread : 0;
    line.offset = meanAcross - line.slope * line.meanAlong;
    return line;
}

/// Neighbouring slices share pixels and pencil: how many of them tell as much as independent ones.
double independentShare(std::span<const Slice> slices, std::span<const double> residuals, double lagPx)
{
    double same = 0, shifted = 0;
    for (std::size_t i = 0; i + 1 < residuals.size(); ++i) {
        same += residuals[i] * residuals[i];
        if (slices[i + 1].along - slices[i].along < 1.5 * lagPx)
            shifted += residuals[i] * residuals[i + 1];
    }
    const double correlation = same > 0 ? std::clamp(shifted / same, 0.0, 0.95) : 0;
    return (1 - correlation) / (1 + correlation);
}

std::optional<Stroke> fitStroke(const std::vector<Slice>& slices, std::size_t expectedEachSide)
{
    constexpr std::size_t FewestSlices = 8;
    constexpr double Biweight = 4.685; // 95 % efficiency on normal errors
    if (slices.size() < FewestSlices)
        return std::nullopt;
    std::vector<double> weights(slices.size(), 1.0), residuals(slices.size());
    Line line;
    double scale = 0;
    for (int turn = 0; turn < 12; ++turn) {
        line = weightedLine(slices, weights);
        std::vector<double> sizes;
        for (std::size_t i = 0; i < slices.size(); ++i) {
            residuals[i] = slices[i].across - line.offset - line.slope * slices[i].along;
            sizes.push_back(std::abs(residuals[i]));
        }
        scale = std::max(1.4826 * median(sizes), 0.01);
        for (std::size_t i = 0; i < slices.size(); ++i) {
            const double u = residuals[i] / (Biweight * scale);
            weights[i] = std::abs(u) < 1 ? (1 - u * u) * (1 - u * u) : 0;
        }
        if (std::accumulate(weights.begin(), weights.end(), 0.0) < 3)
            return std::nullopt;
    }
    double square = 0;
    std::vector<double> widths;
    Stroke stroke;
    for (std::size_t i = 0; i < slices.size(); ++i) {
        square += weights[i] * residuals[i] * residuals[i];
        if (weights[i] <= 0)
            continue;
        widths.push_back(slices[i].widthPx);
        (slices[i].along < 0 ? stroke.shareBefore : stroke.shareBehind) += 1.0 / double(expectedEachSide);
    }
    const double variance =
        square / std::max(line.sumW - 2, 1.0) / independentShare(slices, residuals, 1.0);
    stroke.offset = line.offset;
    stroke.slope = line.slope;
    const double slopeVariance = line.spread > 0 ? variance / line.spread : 1;
    stroke.offsetVariance = variance / line.sumW + slopeVariance * line.meanAlong * line.meanAlong;
    stroke.widthPx = median(widths);
    return stroke;
}

/// Slices along both arms of one line, those left out that are not of its darkness and width.
std::vector<Slice> slicesAlong(const Grey& grey, Vector centre, Vector direction, double pixelsPerMm)
{
    std::vector<Slice> slices;
    std::vector<double> peaks;
    const double from = ArmFromMm * pixelsPerMm, to = FitToMm * pixelsPerMm;
    for (const double side : {-1.0, 1.0})
        for (double along = from; along <= to; along += 1)
            if (const auto slice = sliceAt(grey, centre, direction, side * along, 0.8 * pixelsPerMm)) {
                slices.push_back(*slice);
                if (along <= ArmToMm * pixelsPerMm)
                    peaks.push_back(slice->peak);
            }
    const double usual = median(peaks);
    std::erase_if(slices, [&](const Slice& slice) {
        return slice.peak < 0.45 * usual || slice.peak > 2.2 * usual ||
               slice.widthPx > LineToMm * pixelsPerMm || slice.widthPx < LineFromMm * pixelsPerMm;
    });
    std::sort(slices.begin(), slices.end(),
              [](const Slice& a, const Slice& b) { return a.along < b.along; });
    return slices;
}

} // namespace

std::optional<FittedCross> fitCross(const GreyImage& window, Vector centre, double angleRad,
                                    double pixelsPerMm)
{
    const Grey grey(window);
    FittedCross cross{centre, angleRad, {}, {}, 0};
    double flatAngle = angleRad, steepAngle = angleRad + Pi / 2;
    const auto eachSide = static_cast<std::size_t>((ArmToMm - ArmFromMm) * pixelsPerMm) + 1;
    for (int turn = 0; turn < 3; ++turn) {
        const Vector flat = turnedBy(flatAngle), steep = turnedBy(steepAngle);
        const auto a = fitStroke(slicesAlong(grey, cross.centre, flat, pixelsPerMm), eachSide);
        const auto b = fitStroke(slicesAlong(grey, cross.centre, steep, pixelsPerMm), eachSide);
        if (!a || !b)
            return std::nullopt;
        // Each line as a point and a direction; they cross where the determinant says.
        const Vector pa{cross.centre.x - flat.y * a->offset, cross.centre.y + flat.x * a->offset};
        const Vector pb{cross.centre.x - steep.y * b->offset, cross.centre.y + steep.x * b->offset};
        flatAngle += std::atan(a->slope);
        steepAngle += std::atan(b->slope);
        const Vector da = turnedBy(flatAngle), db = turnedBy(steepAngle);
        const double determinant = da.x * db.y - da.y * db.x;
        if (std::abs(determinant) < 0.5)
            return std::nullopt;
        const double t = ((pb.x - pa.x) * db.y - (pb.y - pa.y) * db.x) / determinant;
        cross.centre = {pa.x + t * da.x, pa.y + t * da.y};
        cross.flat = *a;
        cross.steep = *b;
    }
    cross.angleRad = flatAngle;
    cross.squareness = steepAngle - flatAngle - Pi / 2;
    return cross;
}

} // namespace inkpeg::crosses
