// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/ResampleFast.h"

#if defined(__x86_64__)
#include <immintrin.h>

namespace inkpeg {
namespace {

constexpr int PhaseBits = 11; // as in Resample.cpp

#define INKPEG_AVX2 __attribute__((target("avx2")))

/// Eight positions, in two halves of four.
struct Eight {
    __m256i at[2], step[2], bend;
};

INKPEG_AVX2 Eight eightFrom(const FixedSteps& from)
{
    // Position i is at + i step + i (i - 1) / 2 bend; eight further on it has moved by 8 step + (8 i + 28)
    // bend.
    alignas(32) std::int64_t at[8], step[8];
    for (std::int64_t i = 0; i < 8; ++i) {
        at[i] = from.at + i * from.step + i * (i - 1) / 2 * from.bend;
        step[i] = 8 * from.step + (8 * i + 28) * from.bend;
    }
    Eight eight;
    for (int half = 0; half < 2; ++half) {
        eight.at[half] = _mm256_load_si256(reinterpret_cast<const __m256i*>(at + 4 * half));
        eight.step[half] = _mm256_load_si256(reinterpret_cast<const __m256i*>(step + 4 * half));
    }
    eight.bend = _mm256_set1_epi64x(64 * from.bend);
    return eight;
}

INKPEG_AVX2 void advance(Eight& eight)
{
    for (int half = 0; half < 2; ++half) {
        eight.at[half] = _mm256_add_epi64(eight.at[half], eight.step[half]);
        eight.step[half] = _mm256_add_epi64(eight.step[half], eight.bend);
    }
}

/// The whole parts and the phases of eight positions, in order.
INKPEG_AVX2 void split(const Eight& eight, __m256i& whole, __m256i& phase)
{
    const __m256 first = _mm256_castsi256_ps(eight.at[0]), second = _mm256_castsi256_ps(eight.at[1]);
    // Low and high halves of 0 1 4 5 2 3 6 7; the last step puts them into order.
    const __m256i low = _mm256_castps_si256(_mm256_shuffle_ps(first, second, 0x88));
    const __m256i high = _mm256_castps_si256(_mm256_shuffle_ps(first, second, 0xDD));
    whole = _mm256_permute4x64_epi64(high, 0xD8);
    phase = _mm256_srli_epi32(_mm256_permute4x64_epi64(low, 0xD8), 32 - PhaseBits);
}

/// left * (1 - phase) + right * phase, with PhaseBits more bits.
INKPEG_AVX2 __m256i between(__m256i left, __m256i right, __m256i phase)
{
    return _mm256_add_epi32(_mm256_slli_epi32(left, PhaseBits),
                            _mm256_mullo_epi32(_mm256_sub_epi32(right, left), phase));
}

/// Between the first and the second of the four bytes read.
INKPEG_AVX2 __m256i across(__m256i four, __m256i phase)
{
    const __m256i byte = _mm256_set1_epi32(0xff);
    return between(_mm256_and_si256(four, byte), _mm256_and_si256(_mm256_srli_epi32(four, 8), byte), phase);
}

INKPEG_AVX2 __m256i valuesAt(const std::uint8_t* pixels, __m256i stride, std::ptrdiff_t strideBytes,
                             const Eight& columns, const Eight& rows)
{
    __m256i x, y, acrossPhase, downPhase;
    split(columns, x, acrossPhase);
    split(rows, y, downPhase);
    const __m256i offset = _mm256_add_epi32(_mm256_mullo_epi32(y, stride), x);
    const __m256i upper = _mm256_i32gather_epi32(reinterpret_cast<const int*>(pixels), offset, 1);
    const __m256i lower =
        _mm256_i32gather_epi32(reinterpret_cast<const int*>(pixels + strideBytes), offset, 1);
    const __m256i sum = between(across(upper, acrossPhase), across(lower, acrossPhase), downPhase);
    const __m256i rounding = _mm256_set1_epi32(1 << (2 * PhaseBits - 1));
    return _mm256_srli_epi32(_mm256_add_epi32(sum, rounding), 2 * PhaseBits);
}

INKPEG_AVX2 void bilinearAvx2(const std::uint8_t* pixels, std::ptrdiff_t strideBytes, FixedSteps columns,
                              FixedSteps rows, int count, std::uint8_t* out)
{
    Eight x = eightFrom(columns), y = eightFrom(rows);
    const __m256i stride = _mm256_set1_epi32(static_cast<int>(strideBytes));
    // From four bytes each to one: the low bytes of each half, then both halves together.
    const __m256i lowBytes = _mm256_setr_epi8(0, 4, 8, 12, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1,
                                              0, 4, 8, 12, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1);
    for (int i = 0; i + 8 <= count; i += 8, advance(x), advance(y)) {
        const __m256i packed = _mm256_shuffle_epi8(valuesAt(pixels, stride, strideBytes, x, y), lowBytes);
        const std::uint64_t eight =
            static_cast<std::uint32_t>(_mm256_extract_epi32(packed, 0)) |
            static_cast<std::uint64_t>(static_cast<std::uint32_t>(_mm256_extract_epi32(packed, 4))) << 32;
        __builtin_memcpy(out + i, &eight, 8);
    }
}

} // namespace

bool canResampleFast()
{
    static const bool can = __builtin_cpu_supports("avx2");
    return can;
}

void bilinearFast(const std::uint8_t* pixels, std::ptrdiff_t stride, FixedSteps columns, FixedSteps rows,
                  int count, std::uint8_t* out)
{
    bilinearAvx2(pixels, stride, columns, rows, count, out);
}

} // namespace inkpeg

#else

namespace inkpeg {

bool canResampleFast()
{
    return false;
}

void bilinearFast(const std::uint8_t*, std::ptrdiff_t, FixedSteps, FixedSteps, int, std::uint8_t*) {}

} // namespace inkpeg

#endif
