// SPDX-License-Identifier: GPL-3.0-or-later
// Repeatable chance: the same seed text gives the same numbers on every run.
#pragma once

#include <cstdint>
#include <string_view>

namespace inkpeg::demo {

/// A well-mixed 32-bit value for a pair of whole numbers: grain of the film, pixel by pixel.
inline std::uint32_t mixed(std::uint32_t a, std::uint32_t b)
{
    std::uint32_t h = a * 0x9E3779B1u ^ (b * 0x85EBCA77u + 0x27D4EB2Fu);
    h ^= h >> 15;
    h *= 0x2C1B3C6Du;
    h ^= h >> 12;
    h *= 0x297A2D39u;
    return h ^ (h >> 15);
}

/// A stream of numbers that depends on nothing but its seed text.
/// Source: the mixing step of SplitMix64 (Steele, Lea & Flood, 2014), from memory.
class Dice {
public:
    explicit Dice(std::string_view seed);

    /// Every die made from now on falls as in another world; 0 is the demo as it is handed out.
    static void throwFor(std::uint64_t variant);

    std::uint64_t next();
    double uniform();                        ///< from 0 up to 1
    double between(double low, double high); ///< even between two bounds
    double normal();                         ///< mean 0, sigma 1 (Box & Muller)
    double normalWithin(double sigmas);      ///< the same, thrown again when beyond `sigmas`
    int whole(int low, int high);            ///< low to high, both included

private:
    std::uint64_t m_state;
};

/// Smooth noise along a line, between -1 and 1, with one independent value for each unit of `position`.
double lineNoise(std::uint32_t seed, double position);

} // namespace inkpeg::demo
