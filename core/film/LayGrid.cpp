// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/LayGrid.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "core/base/Text.h"

namespace inkpeg {
namespace {

constexpr double RingPiecePx = 16;
constexpr int RingMarginPx = 40; // more than a piece of the ring, so that none can cross a tile unseen
constexpr double LargestSidePx = 400'000;

/// Metres on the ground for one pixel of the scan at the middle of the frame.
double groundPixelM(const FilmFrame& film, const GroundTransform& transform, ScanPx middle)
{
    const GroundJacobian j = transform.jacobian(film.toFilm(middle));
    const double metresPerMm = std::sqrt(std::abs(j.eastByX * j.northByY - j.eastByY * j.northByX));
    return metresPerMm * MillimetresPerInch / std::sqrt(film.dpiX * film.dpiY);
}

std::vector<ScanPx> frameOf(const Scan& scan, const LaySettings& settings)
{
    if (!settings.frame.empty())
        return settings.frame;
    const double width = scan.facts().widthPx, height = scan.facts().heightPx;
    return {{0, 0}, {width, 0}, {width, height}, {0, height}};
}

std::vector<GroundM> ringOnGround(const std::vector<ScanPx>& frame, const FilmFrame& film,
                                  const GroundTransform& transform)
{
    std::vector<GroundM> ring;
    for (std::size_t i = 0; i < frame.size(); ++i) {
        const ScanPx from = frame[i], to = frame[(i + 1) % frame.size()];
        const int pieces = std::max(1, static_cast<int>(std::ceil(distance(from, to) / RingPiecePx)));
        for (int k = 0; k < pieces; ++k) {
            const double t = double(k) / pieces;
            ring.push_back(transform.toGround(film.toFilm(
                {from.column + t * (to.column - from.column), from.row + t * (to.row - from.row)})));
        }
    }
    return ring;
}

Result<void> checkSettings(const Scan& scan, const LaySettings& settings)
{
    const auto bad = [&](const std::string& words) {
        return Error{ErrorCode::BadInput, "laying " + scan.file().string() + ": " + words};
    };
    if (!settings.frame.empty() && settings.frame.size() < 3)
        return bad("the frame has " + std::to_string(settings.frame.size()) +
                   " corners; it needs at least 3");
    for (const ScanPx corner : settings.frame)
        if (!std::isfinite(corner.column) || !std::isfinite(corner.row))
            return bad("a corner of the frame is not a number");
    if (settings.pixelM && !(*settings.pixelM > 0 && std::isfinite(*settings.pixelM)))
        return bad("the pixel size is " + exact(*settings.pixelM) + " m; it must be above 0");
    if (!(settings.exactnessPx > 0))
        return bad("the exactness is " + exact(settings.exactnessPx) + " px; it must be above 0");
    return {};
}

} // namespace

Result<LayGrid> planGrid(const Scan& scan, const FilmFrame& film, const GroundTransform& transform,
                         const LaySettings& settings)
{
    if (const Result<void> sound = checkSettings(scan, settings); !sound)
        return sound.error();
    const std::vector<ScanPx> frame = frameOf(scan, settings);
    ScanPx middle;
    for (const ScanPx corner : frame) {
        middle.column += corner.column / double(frame.size());
        middle.row += corner.row / double(frame.size());
    }
    LayGrid grid;
    grid.framed = !settings.frame.empty();
    const double native = groundPixelM(film, transform, middle);
    grid.pixelM = settings.pixelM.value_or(native);
    if (!(grid.pixelM > 0) || !std::isfinite(native))
        return Error{ErrorCode::BadInput,
                     "laying " + scan.file().string() +
                         ": the fit gives the film no size on the ground; check the pins"};
    // A coarser picture is computed on a finer grid and averaged, or thin pencil lines would drop out.
    if (settings.kernel != Kernel::Nearest)
        grid.finer = static_cast<int>(std::clamp(std::round(grid.pixelM / native), 1.0, 64.0));
    const std::vector<GroundM> ring = ringOnGround(frame, film, transform);
    constexpr double Infinity = std::numeric_limits<double>::infinity();
    double west = Infinity, east = -Infinity, south = Infinity, north = -Infinity;
    for (const GroundM p : ring) {
        west = std::min(west, p.east);
        east = std::max(east, p.east);
        south = std::min(south, p.north);
        north = std::max(north, p.north);
    }
    // A thousandth of a pixel: a picture that fits the grid exactly must not grow by a pixel for its
    // rounding.
    const double slack = grid.pixelM * 1e-3;
    const double left = std::floor((west + slack) / grid.pixelM),
                 top = std::ceil((north - slack) / grid.pixelM);
    const double width = std::ceil((east - slack) / grid.pixelM) - left;
    const double height = top - std::floor((south + slack) / grid.pixelM);
    if (!(width <= LargestSidePx && height <= LargestSidePx))
        return Error{ErrorCode::BadInput, "laying " + scan.file().string() + ": at " + exact(grid.pixelM) +
                                              " m a pixel the picture would be " + fixed(width, 0) + " x " +
                                              fixed(height, 0) +
                                              " pixels; choose larger pixels or check the pins"};
    grid.upperLeft = {left * grid.pixelM, top * grid.pixelM};
    grid.widthPx = std::max(1, static_cast<int>(width));
    grid.heightPx = std::max(1, static_cast<int>(height));
    for (const GroundM p : ring)
        grid.ring.push_back(
            {(p.east - grid.upperLeft.east) / grid.pixelM, (grid.upperLeft.north - p.north) / grid.pixelM});
    return grid;
}

namespace {

/// Columns at which the ring crosses the line of pixel centres of `row`, in order.
std::vector<double> crossings(const std::vector<LaidPx>& ring, double row)
{
    std::vector<double> columns;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const LaidPx a = ring[i], b = ring[i + 1 < ring.size() ? i + 1 : 0];
        if ((a.row <= row) != (b.row <= row))
            columns.push_back(a.column + (row - a.row) / (b.row - a.row) * (b.column - a.column));
    }
    std::sort(columns.begin(), columns.end());
    return columns;
}

} // namespace

bool LayGrid::touches(const PxRect& area) const
{
    const double left = area.column - RingMarginPx, right = area.column + area.width + RingMarginPx;
    const double top = area.row - RingMarginPx, bottom = area.row + area.height + RingMarginPx;
    for (const LaidPx p : ring)
        if (p.column >= left && p.column <= right && p.row >= top && p.row <= bottom)
            return true;
    const double middle = area.column + area.width / 2.0;
    const auto columns = crossings(ring, area.row + area.height / 2.0);
    const auto before = std::lower_bound(columns.begin(), columns.end(), middle) - columns.begin();
    return before % 2 == 1;
}

void LayGrid::cut(const PxRect& area, std::vector<std::uint8_t>& alpha) const
{
    for (int row = 0; row < area.height; ++row) {
        const auto columns = crossings(ring, area.row + row + 0.5);
        std::uint8_t* line =
            alpha.data() + static_cast<std::size_t>(row) * static_cast<std::size_t>(area.width);
        std::size_t passed = 0;
        for (int column = 0; column < area.width; ++column) {
            while (passed < columns.size() && columns[passed] <= area.column + column + 0.5)
                ++passed;
            if (passed % 2 == 0)
                line[column] = 0;
        }
    }
}

} // namespace inkpeg
