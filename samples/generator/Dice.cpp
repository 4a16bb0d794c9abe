// SPDX-License-Identifier: GPL-3.0-or-later
#include "samples/generator/Dice.h"

#include <cmath>
#include <numbers>

namespace inkpeg::demo {

namespace {
std::uint64_t variantThrown = 0; // set once, before anything is drawn
}

void Dice::throwFor(std::uint64_t variant)
{
    variantThrown = variant;
}

Dice::Dice(std::string_view seed) : m_state(0xCBF29CE484222325u ^ (variantThrown * 0x9E3779B97F4A7C15u))
{
    for (const char letter : seed)
        m_state = (m_state ^ static_cast<unsigned char>(letter)) * 0x100000001B3u;
}

std::uint64_t Dice::next()
{
    m_state += 0x9E3779B97F4A7C15u;
    std::uint64_t z = m_state;
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    return z ^ (z >> 31);
}

double Dice::uniform()
{
    return static_cast<double>(next() >> 11) * 0x1.0p-53;
}

double Dice::between(double low, double high)
{
    return low + (high - low) * uniform();
}

double Dice::normal()
{
    const double radius = std::sqrt(-2 * std::log(1 - uniform()));
    return radius * std::cos(2 * std::numbers::pi * uniform());
}

double Dice::normalWithin(double sigmas)
{
    for (;;) {
        const double value = normal();
        if (std::abs(value) <= sigmas)
            return value;
    }
}

int Dice::whole(int low, int high)
{
    return low + static_cast<int>(next() % static_cast<std::uint64_t>(high - low + 1));
}

double lineNoise(std::uint32_t seed, double position)
{
    const double cell = std::floor(position);
    const double t = position - cell;
    const auto at = [seed](double index) {
        return mixed(seed, static_cast<std::uint32_t>(static_cast<std::int64_t>(index))) / 2147483648.0 -
               1.0;
    };
    const double ease = t * t * (3 - 2 * t);
    return at(cell) * (1 - ease) + at(cell + 1) * ease;
}

} // namespace inkpeg::demo
