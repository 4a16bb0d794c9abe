// SPDX-License-Identifier: GPL-3.0-or-later
// The commonest case of resampling, eight pixels at a time where the processor can (AVX2).
#pragma once

#include <cstddef>
#include <cstdint>

namespace inkpeg {

/// A position along a row in fixed point, 32 bits behind the point: at, at + step, at + 2 step + bend, ...
struct FixedSteps {
    std::int64_t at = 0, step = 0, bend = 0;
};

/// True if the processor has AVX2; asked once.
bool canResampleFast();

/// Bilinear values of one channel at `count` positions, bit for bit what the slower way gives
/// (Resample.cpp). Shape: positions are those of the upper left of the four pixels around, in the patch;
/// four bytes may be read from there in this row and the next. Only where canResampleFast().
void bilinearFast(const std::uint8_t* pixels, std::ptrdiff_t stride, FixedSteps columns, FixedSteps rows,
                  int count, std::uint8_t* out);

} // namespace inkpeg
