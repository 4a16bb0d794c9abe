// SPDX-License-Identifier: GPL-3.0-or-later
#include "samples/generator/Pencil.h"

#include <algorithm>
#include <cmath>

#include "samples/generator/Dice.h"
#include "samples/generator/Lettering.h"

namespace inkpeg::demo {

Pencil::Pencil(const SheetMap& map, std::uint32_t seed, double pressing)
    : m_map(map), m_seed(seed), m_pressing(pressing)
{
    m_graphite.width = map.widthPx();
    m_graphite.height = map.heightPx();
    m_graphite.pixels.assign(
        static_cast<std::size_t>(m_graphite.width) * static_cast<std::size_t>(m_graphite.height), 0);
}

void Pencil::line(const std::vector<FilmMm>& path, const Stroke& stroke)
{
    const std::uint32_t seed = mixed(m_seed, ++m_strokes);
    const double pxPerMm = m_map.dpi / MillimetresPerInch;
    constexpr double longestMm = 1.0; // pieces this short follow the cockle and the changing pressure
    double travelled = 0;
    for (std::size_t i = 0; i + 1 < path.size(); ++i) {
        const double length = distance(path[i], path[i + 1]);
        const int steps = std::max(1, static_cast<int>(std::ceil(length / longestMm)));
        for (int step = 0; step < steps; ++step) {
            const double from = static_cast<double>(step) / steps,
                         to = static_cast<double>(step + 1) / steps;
            const double at = travelled + length * (from + to) / 2;
            if (stroke.dashMm > 0 && std::fmod(at, stroke.dashMm + stroke.gapMm) > stroke.dashMm)
                continue;
            // The hand presses more at the start of each pull of some 5 cm, and unevenly in between.
            const double pull = 1 - 0.18 * std::fmod(at, 52.0) / 52.0;
            const double width = stroke.widthMm * (1 + 0.22 * lineNoise(seed, at / 7.0));
            const double press =
                m_pressing * stroke.strength * pull * (1 + 0.28 * lineNoise(seed + 1, at / 4.0));
            const auto between = [&](double share) {
                return FilmMm{path[i].x + (path[i + 1].x - path[i].x) * share,
                              path[i].y + (path[i + 1].y - path[i].y) * share};
            };
            piece(m_map.toScan(between(from)), m_map.toScan(between(to)), width * pxPerMm, press);
        }
        travelled += length;
    }
}

void Pencil::dot(FilmMm centre, double diameterMm, double strength)
{
    const ScanPx at = m_map.toScan(centre);
    piece(at, at, diameterMm * m_map.dpi / MillimetresPerInch, strength);
}

double Pencil::write(std::string_view text, FilmMm at, double heightMm, double strength, double turnRad)
{
    Dice dice(std::string(text) + std::to_string(mixed(m_seed, ++m_strokes)));
    const double unit = heightMm / LetterHeight;
    double x = 0;
    for (const char letter : text) {
        const double lift = heightMm * 0.05 * dice.normalWithin(2),
                     tilt = 0.06 * dice.normalWithin(2) + 0.08;
        const double size = unit * (1 + 0.05 * dice.normalWithin(2));
        for (const LetterStroke& letterStroke : strokesOf(letter)) {
            std::vector<FilmMm> path;
            for (const LetterPoint& p : letterStroke) {
                const double px = x + (p.x + p.y * tilt) * size + 0.04 * heightMm * (dice.uniform() - 0.5);
                const double py = lift + p.y * size + 0.04 * heightMm * (dice.uniform() - 0.5);
                path.push_back({at.x + px * std::cos(turnRad) - py * std::sin(turnRad),
                                at.y + px * std::sin(turnRad) + py * std::cos(turnRad)});
            }
            line(path, {.widthMm = 0.26, .strength = strength});
        }
        x += letterAdvance(letter) * unit;
    }
    return x;
}

void Pencil::piece(ScanPx a, ScanPx b, double widthPx, double strength)
{
    const double half = widthPx / 2, soft = 0.9; // the edge of graphite fades over about two pixels
    const double reach = half + soft + 1;
    const int left = std::max(0, static_cast<int>(std::floor(std::min(a.column, b.column) - reach)));
    const int right =
        std::min(m_graphite.width - 1, static_cast<int>(std::ceil(std::max(a.column, b.column) + reach)));
    const int top = std::max(0, static_cast<int>(std::floor(std::min(a.row, b.row) - reach)));
    const int bottom =
        std::min(m_graphite.height - 1, static_cast<int>(std::ceil(std::max(a.row, b.row) + reach)));
    const double dx = b.column - a.column, dy = b.row - a.row;
    const double length2 = dx * dx + dy * dy;
    const double dark = 255 * std::clamp(strength, 0.0, 1.0);
    for (int row = top; row <= bottom; ++row)
        for (int column = left; column <= right; ++column) {
            const double px = column + 0.5 - a.column, py = row + 0.5 - a.row;
            const double along = length2 > 0 ? std::clamp((px * dx + py * dy) / length2, 0.0, 1.0) : 0;
            const double away = std::hypot(px - along * dx, py - along * dy);
            const double cover = std::clamp((half + soft - away) / (2 * soft), 0.0, 1.0);
            if (cover <= 0)
                continue;
            // The tooth of the film: graphite catches on its grains.
            const double tooth = 0.72 + 0.28 *
                                            (mixed(static_cast<std::uint32_t>(column) + m_seed,
                                                   static_cast<std::uint32_t>(row)) >>
                                             8) /
                                            16777216.0;
            const auto value = static_cast<std::uint8_t>(std::lround(dark * cover * tooth));
            std::uint8_t& pixel =
                m_graphite
                    .pixels[static_cast<std::size_t>(row) * static_cast<std::size_t>(m_graphite.width) +
                            static_cast<std::size_t>(column)];
            pixel = std::max(pixel, value);
        }
}

} // namespace inkpeg::demo
