// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/CoarseMatch.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>

#include <unsupported/Eigen/FFT>

namespace inkpeg {
namespace {

constexpr std::size_t PlacesKept = 12, PlacesOfATurn = 4;
constexpr int ApartCells = 4;
constexpr int LeastOverlapCells = 6;
/// Share of all the ink below which an overlap says nothing; added to what the correlation is divided by.
constexpr double LeastInkShare = 0.01;

using Complex = std::complex<float>;

int powerOfTwoFrom(int size)
{
    int power = 1;
    while (power < size)
        power *= 2;
    return power;
}

/// A picture and its transform; sides are powers of two.
class Spectrum {
public:
    Spectrum(int width, int height)
        : m_width(width), m_height(height),
          m_values(static_cast<std::size_t>(width) * static_cast<std::size_t>(height))
    {
    }

    Complex& at(int column, int row)
    {
        return m_values[static_cast<std::size_t>(row) * static_cast<std::size_t>(m_width) +
                        static_cast<std::size_t>(column)];
    }
    std::vector<Complex>& values() { return m_values; }

    void transform(bool back)
    {
        std::vector<Complex> in, out;
        const auto line = [&](std::size_t first, std::size_t step, int count) {
            in.resize(static_cast<std::size_t>(count));
            for (std::size_t i = 0; i < in.size(); ++i)
                in[i] = m_values[first + i * step];
            back ? m_fft.inv(out, in) : m_fft.fwd(out, in);
            for (std::size_t i = 0; i < in.size(); ++i)
                m_values[first + i * step] = out[i];
        };
        for (int row = 0; row < m_height; ++row)
            line(static_cast<std::size_t>(row) * static_cast<std::size_t>(m_width), 1, m_width);
        for (int column = 0; column < m_width; ++column)
            line(static_cast<std::size_t>(column), static_cast<std::size_t>(m_width), m_height);
    }

private:
    int m_width, m_height;
    std::vector<Complex> m_values;
    Eigen::FFT<float> m_fft;
};

/// Sum of squares of the ink within any rectangle.
class Energy {
public:
    explicit Energy(const InkPlane& plane)
        : m_width(plane.width), m_height(plane.height),
          m_sums(static_cast<std::size_t>(plane.width + 1) * static_cast<std::size_t>(plane.height + 1))
    {
        for (int row = 0; row < m_height; ++row) {
            double along = 0;
            for (int column = 0; column < m_width; ++column) {
                along += double(plane.at(column, row)) * double(plane.at(column, row));
                at(column + 1, row + 1) = at(column + 1, row) + along;
            }
        }
    }
    /// Cut to the plane.
    double within(int left, int top, int right, int bottom)
    {
        left = std::clamp(left, 0, m_width), right = std::clamp(right, left, m_width);
        top = std::clamp(top, 0, m_height), bottom = std::clamp(bottom, top, m_height);
        return at(right, bottom) - at(left, bottom) - at(right, top) + at(left, top);
    }
    double all() { return at(m_width, m_height); }

private:
    double& at(int column, int row)
    {
        return m_sums[static_cast<std::size_t>(row) * static_cast<std::size_t>(m_width + 1) +
                      static_cast<std::size_t>(column)];
    }
    int m_width, m_height;
    std::vector<double> m_sums;
};

/// Turned about its middle, in a plane large enough to hold it; the middle stays the middle.
InkPlane turned(const InkPlane& plane, double turnRad)
{
    const double c = std::cos(turnRad), s = std::sin(turnRad);
    const double w = plane.width, h = plane.height;
    InkPlane out(static_cast<int>(std::ceil(std::abs(c) * w + std::abs(s) * h)),
                 static_cast<int>(std::ceil(std::abs(s) * w + std::abs(c) * h)));
    for (int row = 0; row < out.height; ++row)
        for (int column = 0; column < out.width; ++column) {
            const double x = column + 0.5 - out.width / 2.0, y = row + 0.5 - out.height / 2.0;
            const CellPoint from{c * x + s * y + w / 2, -s * x + c * y + h / 2};
            if (from.column >= 0 && from.row >= 0 && from.column < w && from.row < h)
                out.at(column, row) = plane.sample(from);
        }
    return out;
}

/// What all turns share of the first plane.
struct First {
    const InkPlane& plane;
    Energy energy;
    int width, height; ///< of the transform
    Spectrum spectrum;

    First(const InkPlane& ink, int transformWidth, int transformHeight)
        : plane(ink), energy(ink), width(transformWidth), height(transformHeight),
          spectrum(transformWidth, transformHeight)
    {
        for (int row = 0; row < ink.height; ++row)
            for (int column = 0; column < ink.width; ++column)
                spectrum.at(column, row) = ink.at(column, row);
        spectrum.transform(false);
    }
};

bool isFarFrom(const CoarsePlace& place, const std::vector<CoarsePlace>& others, bool anyTurn)
{
    return std::none_of(others.begin(), others.end(), [&](const CoarsePlace& other) {
        return (anyTurn || other.turnRad == place.turnRad) &&
               std::hypot(place.column - other.column, place.row - other.row) < ApartCells &&
               std::cos(place.turnRad - other.turnRad) > 0;
    });
}

void findAtTurn(First& first, const InkPlane& second, double turnRad, std::vector<CoarsePlace>& found)
{
    const InkPlane plane = turned(second, turnRad);
    Energy energy(plane);
    Spectrum product(first.width, first.height);
    for (int row = 0; row < plane.height; ++row)
        for (int column = 0; column < plane.width; ++column)
            product.at(column, row) = plane.at(column, row);
    product.transform(false);
    for (std::size_t i = 0; i < product.values().size(); ++i)
        product.values()[i] = first.spectrum.values()[i] * std::conj(product.values()[i]);
    product.transform(true);
    const double floor = LeastInkShare * std::sqrt(first.energy.all() * energy.all());
    std::vector<CoarsePlace> places;
    // `plane` moved by (across, down): its cells lie on those of the first with these added.
    for (int down = LeastOverlapCells - plane.height; down <= first.plane.height - LeastOverlapCells;
         ++down)
        for (int across = LeastOverlapCells - plane.width; across <= first.plane.width - LeastOverlapCells;
             ++across) {
            const double common =
                product.at((across + first.width) % first.width, (down + first.height) % first.height)
                    .real();
            const double of1 = first.energy.within(across, down, across + plane.width, down + plane.height);
            const double of2 =
                energy.within(-across, -down, first.plane.width - across, first.plane.height - down);
            places.push_back({turnRad, across + plane.width / 2.0, down + plane.height / 2.0,
                              common / (std::sqrt(std::max(0.0, of1 * of2)) + floor)});
        }
    const auto better = [](const CoarsePlace& a, const CoarsePlace& b) { return a.likeness > b.likeness; };
    const std::size_t looked = std::min<std::size_t>(places.size(), 200);
    std::partial_sort(places.begin(), places.begin() + static_cast<std::ptrdiff_t>(looked), places.end(),
                      better);
    std::vector<CoarsePlace> kept;
    for (std::size_t i = 0; i < looked && kept.size() < PlacesOfATurn; ++i)
        if (isFarFrom(places[i], kept, true))
            kept.push_back(places[i]);
    found.insert(found.end(), kept.begin(), kept.end());
}

} // namespace

Result<std::vector<CoarsePlace>> findCoarsePlaces(const InkPlane& first, const InkPlane& second,
                                                  double mostTurnRad, const Progress& progress)
{
    const int reach = static_cast<int>(std::ceil(std::hypot(second.width, second.height)));
    First shared(first, powerOfTwoFrom(first.width + std::min(reach, second.width + second.height / 8 + 2)),
                 powerOfTwoFrom(first.height + std::min(reach, second.height + second.width / 8 + 2)));
    if (shared.energy.all() <= 0 || Energy(second).all() <= 0)
        return Error{ErrorCode::Unsolvable, "there is no ink on one of the halves"};
    // Half a step moves the far end of a plane by no more than a cell.
    const double longest = std::max(second.width, second.height);
    const double step = std::min(mostTurnRad, 4.0 / longest);
    const int steps = static_cast<int>(std::ceil(mostTurnRad / step));
    std::vector<CoarsePlace> found;
    int done = 0;
    for (const double whole : {0.0, std::numbers::pi})
        for (int i = -steps; i <= steps; ++i) {
            if (!report(progress, double(done++) / (2 * (2 * steps + 1))))
                return Error{ErrorCode::Cancelled, "stopped while matching the halves"};
            findAtTurn(shared, second, whole + i * step, found);
        }
    std::sort(found.begin(), found.end(),
              [](const CoarsePlace& a, const CoarsePlace& b) { return a.likeness > b.likeness; });
    std::vector<CoarsePlace> kept;
    for (const CoarsePlace& place : found)
        if (kept.size() < PlacesKept && isFarFrom(place, kept, true))
            kept.push_back(place);
    return kept;
}

} // namespace inkpeg
