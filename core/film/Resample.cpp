// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/Resample.h"

#include <algorithm>
#include <cmath>

#include "core/film/ResampleFast.h"

namespace inkpeg {
namespace {

// Positions in fixed point, 32 bits behind the point: a row of 256 steps is off by less than 1e-7 pixels.
using Fixed = std::int64_t;
constexpr int FixedBits = 32;
constexpr Fixed One = Fixed{1} << FixedBits;
constexpr Fixed Half = One / 2;

Fixed toFixed(double value)
{
    return static_cast<Fixed>(std::llround(value * double(One)));
}
int whole(Fixed value)
{
    return static_cast<int>(value >> FixedBits);
}

/// A quadratic stepped by differences.
struct Stepper {
    Fixed at, step, bend;
    Stepper(const Quadratic& q, double offset)
        : at(toFixed(q.start - offset)), step(toFixed(q.step + q.bend)), bend(toFixed(2 * q.bend))
    {
    }
    void next()
    {
        at += step;
        step += bend;
    }
};

constexpr int PhaseBits = 11; // 1/2048 pixel, a twentieth of the bound on the position itself
constexpr int Phases = 1 << PhaseBits;
int phase(Fixed value)
{
    return static_cast<int>((value >> (FixedBits - PhaseBits)) & (Phases - 1));
}

constexpr int WeightBits = 14;

/// Keys' weights for a place `f` of the way from the second to the third of four samples.
std::array<double, 4> cubicWeights(double f)
{
    const double f2 = f * f, f3 = f2 * f;
    return {-0.5 * f + f2 - 0.5 * f3, 1 - 2.5 * f2 + 1.5 * f3, 0.5 * f + 2 * f2 - 1.5 * f3,
            -0.5 * f2 + 0.5 * f3};
}

using WeightTable = std::array<std::array<std::int16_t, 4>, Phases>;

/// Each row sums to exactly one, so that flat film stays flat.
const WeightTable& cubicTable()
{
    static const WeightTable table = [] {
        WeightTable made{};
        for (int i = 0; i < Phases; ++i) {
            const auto weights = cubicWeights((i + 0.5) / Phases);
            int sum = 0;
            auto& row = made[static_cast<std::size_t>(i)];
            for (std::size_t k = 0; k < 4; ++k) {
                row[k] = static_cast<std::int16_t>(std::lround(weights[k] * (1 << WeightBits)));
                sum += row[k];
            }
            row[i < Phases / 2 ? 1 : 2] =
                static_cast<std::int16_t>(row[i < Phases / 2 ? 1 : 2] + (1 << WeightBits) - sum);
        }
        return made;
    }();
    return table;
}

/// The patch as the kernels see it, and the scan's rim in patch coordinates.
struct Source {
    const std::uint8_t* pixels;
    std::ptrdiff_t stride; // bytes from row to row
    Fixed left, right, top, bottom;
};

template<int Channels>
struct Nearest {
    static void pixel(const Source& source, Fixed u, Fixed v, std::array<std::uint8_t*, 4>& out, int i)
    {
        const std::uint8_t* p = source.pixels + whole(v) * source.stride + whole(u) * Channels;
        for (int c = 0; c < Channels; ++c)
            out[static_cast<std::size_t>(c)][i] = p[c];
    }
};

template<int Channels>
struct Bilinear {
    static void pixel(const Source& source, Fixed u, Fixed v, std::array<std::uint8_t*, 4>& out, int i)
    {
        const Fixed x = u - Half, y = v - Half;
        const int fx = phase(x), fy = phase(y);
        const std::uint8_t* p = source.pixels + whole(y) * source.stride + whole(x) * Channels;
        const std::uint8_t* q = p + source.stride;
        for (int c = 0; c < Channels; ++c) {
            const int upper = p[c] * Phases + (p[c + Channels] - p[c]) * fx;
            const int lower = q[c] * Phases + (q[c + Channels] - q[c]) * fx;
            constexpr int Rounding = 1 << (2 * PhaseBits - 1);
            out[static_cast<std::size_t>(c)][i] = static_cast<std::uint8_t>(
                (upper * Phases + (lower - upper) * fy + Rounding) >> (2 * PhaseBits));
        }
    }
};

template<int Channels>
struct Cubic {
    static void pixel(const Source& source, Fixed u, Fixed v, std::array<std::uint8_t*, 4>& out, int i)
    {
        const Fixed x = u - Half, y = v - Half;
        if (x < source.left + One || y < source.top + One || x >= source.right - 2 * One ||
            y >= source.bottom - 2 * One)
            return Bilinear<Channels>::pixel(source, u, v, out, i);
        const auto& wx = cubicTable()[static_cast<std::size_t>(phase(x))];
        const auto& wy = cubicTable()[static_cast<std::size_t>(phase(y))];
        const std::uint8_t* p = source.pixels + (whole(y) - 1) * source.stride + (whole(x) - 1) * Channels;
        constexpr int Kept =
            7; // bits kept behind the point between the two passes, so that sums fit 32 bits
        for (int c = 0; c < Channels; ++c) {
            int sum = 1 << (WeightBits + Kept - 1);
            for (std::size_t k = 0; k < 4; ++k) {
                const std::uint8_t* row = p + static_cast<std::ptrdiff_t>(k) * source.stride + c;
                const int across = row[0] * wx[0] + row[Channels] * wx[1] + row[2 * Channels] * wx[2] +
                                   row[3 * Channels] * wx[3];
                sum += ((across + (1 << (WeightBits - Kept - 1))) >> (WeightBits - Kept)) * wy[k];
            }
            out[static_cast<std::size_t>(c)][i] =
                static_cast<std::uint8_t>(std::clamp(sum >> (WeightBits + Kept), 0, 255));
        }
    }
};

bool inScan(const Source& source, Fixed u, Fixed v)
{
    return u >= source.left && u < source.right && v >= source.top && v < source.bottom;
}

template<typename KernelOf, bool Inside>
void resampleRow(const Source& source, Stepper u, Stepper v, int count, int channels,
                 std::array<std::uint8_t*, 4> out)
{
    std::uint8_t* alpha = out[static_cast<std::size_t>(channels)];
    for (int i = 0; i < count; ++i, u.next(), v.next())
        if (Inside || inScan(source, u.at, v.at)) {
            KernelOf::pixel(source, u.at, v.at, out, i);
            alpha[i] = 255;
        }
}

/// The same for the commonest case; the last pixels of a row, fewer than eight, go the slower way.
void resampleRowFast(const Source& source, Stepper u, Stepper v, int count, int,
                     std::array<std::uint8_t*, 4> out)
{
    const int most = count / 8 * 8;
    bilinearFast(source.pixels, source.stride, {u.at - Half, u.step, u.bend}, {v.at - Half, v.step, v.bend},
                 most, out[0]);
    std::fill_n(out[1], count, std::uint8_t{255});
    for (int i = 0; i < count; ++i, u.next(), v.next())
        if (i >= most)
            Bilinear<1>::pixel(source, u.at, v.at, out, i);
}

using RowFunction = void (*)(const Source&, Stepper, Stepper, int, int, std::array<std::uint8_t*, 4>);

template<template<int> class KernelOf>
RowFunction rowFunctionOf(int channels, bool inside)
{
    if (channels == 1)
        return inside ? resampleRow<KernelOf<1>, true> : resampleRow<KernelOf<1>, false>;
    return inside ? resampleRow<KernelOf<3>, true> : resampleRow<KernelOf<3>, false>;
}

RowFunction rowFunction(Kernel kernel, int channels, bool inside)
{
    switch (kernel) {
    case Kernel::Nearest:
        return rowFunctionOf<Nearest>(channels, inside);
    case Kernel::Bilinear:
        if (inside && channels == 1 && canResampleFast())
            return resampleRowFast;
        return rowFunctionOf<Bilinear>(channels, inside);
    case Kernel::Cubic:
        break;
    }
    return rowFunctionOf<Cubic>(channels, inside);
}

/// True when no pixel of the cell can fall off the scan: its nodes keep a distance that a quadratic between
/// them cannot bridge.
bool liesWithin(const SourceCell& cell, ScanSize scan)
{
    const auto [left, right] = std::minmax_element(cell.columns.begin(), cell.columns.end());
    const auto [top, bottom] = std::minmax_element(cell.rows.begin(), cell.rows.end());
    const double spare = 4 + 0.25 * std::max(*right - *left, *bottom - *top);
    return !cell.exact && *left > spare && *right<scan.width - spare&& * top> spare &&
           *bottom < scan.height - spare;
}

/// Makes pixels transparent again whose kernel reaches a damaged pixel.
void dropDamaged(Kernel kernel, const SourcePatch& patch, Stepper u, Stepper v, int count,
                 std::uint8_t* alpha)
{
    const int before = kernel == Kernel::Nearest ? 0 : kernelReachPx(kernel) - 1;
    const int after = kernel == Kernel::Nearest ? 0 : kernelReachPx(kernel);
    const Fixed shift = kernel == Kernel::Nearest ? 0 : Half;
    for (int i = 0; i < count; ++i, u.next(), v.next()) {
        if (!alpha[i])
            continue;
        const int x = whole(u.at - shift), y = whole(v.at - shift);
        for (int row = std::max(y - before, 0); row <= std::min(y + after, patch.height - 1); ++row)
            for (int column = std::max(x - before, 0); column <= std::min(x + after, patch.width - 1);
                 ++column)
                if (patch.damaged[static_cast<std::size_t>(row) * static_cast<std::size_t>(patch.width) +
                                  static_cast<std::size_t>(column)])
                    alpha[i] = 0;
    }
}

std::array<std::uint8_t*, 4> pointersAt(LaidPlanes& out, int column, int row)
{
    const auto at = static_cast<std::size_t>(row - out.top) * static_cast<std::size_t>(out.width) +
                    static_cast<std::size_t>(column - out.left);
    std::array<std::uint8_t*, 4> pointers{};
    for (std::size_t i = 0; i <= static_cast<std::size_t>(out.channels); ++i)
        pointers[i] = out.planes[i].data() + at;
    return pointers;
}

} // namespace

void LaidPlanes::clear(const PxRect& area, int channelCount)
{
    left = area.column;
    top = area.row;
    width = area.width;
    height = area.height;
    channels = channelCount;
    const auto size = static_cast<std::size_t>(width) * static_cast<std::size_t>(height);
    for (std::size_t i = 0; i < static_cast<std::size_t>(channels); ++i)
        planes[i].assign(size, 255);
    alpha().assign(size, 0);
}

int kernelReachPx(Kernel kernel)
{
    return kernel == Kernel::Cubic ? 2 : 1;
}

void resampleCell(Kernel kernel, const SourceCell& cell, const LocateInScan& locate,
                  const SourcePatch& patch, ScanSize scan, LaidPlanes& out)
{
    const Source source{patch.pixels.data(),  static_cast<std::ptrdiff_t>(patch.width) * out.channels,
                        toFixed(-patch.left), toFixed(scan.width - patch.left),
                        toFixed(-patch.top),  toFixed(scan.height - patch.top)};
    const RowFunction resample = rowFunction(kernel, out.channels, liesWithin(cell, scan));
    const auto run = [&](const Quadratic& columns, const Quadratic& rows, int count, int column, int row) {
        const Stepper u(columns, patch.left), v(rows, patch.top);
        const auto pointers = pointersAt(out, column, row);
        resample(source, u, v, count, out.channels, pointers);
        if (!patch.damaged.empty())
            dropDamaged(kernel, patch, u, v, count, pointers[static_cast<std::size_t>(out.channels)]);
    };
    for (int row = 0; row < cell.area.height; ++row) {
        if (!cell.exact) {
            run(cell.columnsAlong(row), cell.rowsAlong(row), cell.area.width, cell.area.column,
                cell.area.row + row);
            continue;
        }
        for (int column = 0; column < cell.area.width; ++column) {
            const int x = cell.area.column + column, y = cell.area.row + row;
            if (const auto place = locate(x + 0.5, y + 0.5))
                run({place->column, 0, 0}, {place->row, 0, 0}, 1, x, y);
        }
    }
}

} // namespace inkpeg
