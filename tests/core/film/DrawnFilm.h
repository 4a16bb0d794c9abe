// SPDX-License-Identifier: GPL-3.0-or-later
// A piece of film drawn in the test itself: pencil strokes whose middle is known, a printed grid, scanner
// noise.
#pragma once

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>
#include <random>
#include <vector>

#include "core/film/Scan.h"

/// Units: millimetres on the film with y down, 400 dpi, whatever is drawn later lies on top.
class DrawnFilm {
public:
    static constexpr double Dpi = 400;
    static constexpr double PxPerMm = Dpi / 25.4;
    struct Mm {
        double x = 0, y = 0;
    };

    DrawnFilm(double widthMm, double heightMm, unsigned seed)
        : m_width(static_cast<int>(widthMm * PxPerMm)), m_height(static_cast<int>(heightMm * PxPerMm)),
          m_darkness(static_cast<std::size_t>(m_width) * static_cast<std::size_t>(m_height), 0.0),
          m_random(seed)
    {
    }

    /// Pencil along `middle` from `first` to `last`; the pressure comes and goes by a third.
    void stroke(const std::function<Mm(double)>& middle, double first, double last, double widthMm,
                double darkness)
    {
        const double phase = std::uniform_real_distribution<>(0, 6)(m_random);
        std::vector<double> layer(m_darkness.size(), 0.0);
        const int steps = 6'000;
        for (int i = 0; i <= steps; ++i) {
            const double t = first + (last - first) * i / steps;
            const double pressure = 1.0 + 0.3 * std::sin(phase + 25.0 * t);
            dab(layer, middle(t), widthMm, darkness * pressure);
        }
        for (std::size_t i = 0; i < layer.size(); ++i)
            m_darkness[i] = std::max(m_darkness[i], layer[i]);
    }

    /// Printed lines every millimetre, heavier every fifth and tenth, turned by `turnRad`.
    void grid(double darkness, double turnRad)
    {
        const double c = std::cos(turnRad), s = std::sin(turnRad);
        const auto lines = [&](double along) {
            double sum = 0;
            for (const auto& [period, share] :
                 {std::pair{1.0, 0.7}, std::pair{5.0, 0.3}, std::pair{10.0, 0.5}}) {
                const double away = std::abs(along / period - std::round(along / period)) * period;
                sum += share * std::clamp(1.0 - (away - 0.05) / 0.06, 0.0, 1.0);
            }
            return sum;
        };
        for (int row = 0; row < m_height; ++row)
            for (int column = 0; column < m_width; ++column) {
                const double x = (column + 0.5) / PxPerMm, y = (row + 0.5) / PxPerMm;
                const double printed =
                    darkness * std::max(lines(c * x + s * y + 0.37), lines(-s * x + c * y + 0.81));
                double& here = m_darkness[index(column, row)];
                here = std::max(here, printed);
            }
    }

    /// Rubbed graphite: darker by `darkness` in the middle, and with so much more noise there.
    void smudge(Mm middle, double radiusMm, double darkness, double noise)
    {
        m_smudges.push_back({middle, radiusMm, darkness, noise});
    }

    /// Uneven light over the sheet and noise from cell to cell.
    inkpeg::GreyImage scanned(double noise)
    {
        std::normal_distribution<> grain(0, 1);
        inkpeg::GreyImage image{m_width, m_height, {}};
        image.pixels.reserve(m_darkness.size());
        for (int row = 0; row < m_height; ++row)
            for (int column = 0; column < m_width; ++column) {
                const double paper = 225 + 12 * std::sin(column / 400.0) * std::cos(row / 300.0);
                const Smudge smudged = smudgeAt(column, row);
                const double grey = paper - m_darkness[index(column, row)] - smudged.darkness +
                                    (noise + smudged.noise) * grain(m_random);
                image.pixels.push_back(static_cast<std::uint8_t>(std::clamp(std::lround(grey), 0L, 255L)));
            }
        return image;
    }

    inkpeg::PxRect place() const { return {0, 0, m_width, m_height}; }
    static inkpeg::ScanPx px(Mm p) { return {p.x * PxPerMm, p.y * PxPerMm}; }
    static Mm mm(inkpeg::ScanPx p) { return {p.column / PxPerMm, p.row / PxPerMm}; }

private:
    struct Smudge {
        Mm middle;
        double radiusMm = 0, darkness = 0, noise = 0;
    };

    /// What all of them come to at a pixel.
    Smudge smudgeAt(int column, int row) const
    {
        Smudge sum;
        for (const Smudge& smudge : m_smudges) {
            const double away = std::hypot((column + 0.5) / PxPerMm - smudge.middle.x,
                                           (row + 0.5) / PxPerMm - smudge.middle.y) /
                                smudge.radiusMm;
            sum.darkness += smudge.darkness * std::exp(-away * away);
            sum.noise += smudge.noise * std::exp(-away * away);
        }
        return sum;
    }

    std::size_t index(int column, int row) const
    {
        return static_cast<std::size_t>(row) * static_cast<std::size_t>(m_width) +
               static_cast<std::size_t>(column);
    }

    void dab(std::vector<double>& layer, Mm at, double widthMm, double darkness)
    {
        const double radius = widthMm / 2 * PxPerMm, soft = 1.2;
        const auto [cx, cy] = px(at);
        for (int row = static_cast<int>(cy - radius - 2); row <= static_cast<int>(cy + radius + 2); ++row)
            for (int column = static_cast<int>(cx - radius - 2);
                 column <= static_cast<int>(cx + radius + 2); ++column) {
                if (row < 0 || column < 0 || row >= m_height || column >= m_width)
                    continue;
                const double away = std::hypot(column + 0.5 - cx, row + 0.5 - cy);
                const double share = std::clamp((radius + soft / 2 - away) / soft, 0.0, 1.0);
                double& here = layer[index(column, row)];
                here = std::max(here, share * darkness);
            }
    }

    int m_width, m_height;
    std::vector<double> m_darkness;
    std::vector<Smudge> m_smudges;
    std::mt19937 m_random;
};

/// Mean and 95 % point of the distances, in mm, from places every 0.1 mm along `line` to `truth` (both as
/// points).
struct Misfit {
    double meanMm = 0, ninetyFiveMm = 0, worstMm = 0, shareWithin04 = 0;
};

inline double millimetresToLine(DrawnFilm::Mm p, const std::vector<DrawnFilm::Mm>& line)
{
    double nearest = 1e9;
    for (std::size_t i = 0; i + 1 < line.size(); ++i) {
        const auto a = line[i], b = line[i + 1];
        const double dx = b.x - a.x, dy = b.y - a.y, square = dx * dx + dy * dy;
        const double t =
            square > 0 ? std::clamp(((p.x - a.x) * dx + (p.y - a.y) * dy) / square, 0.0, 1.0) : 0.0;
        nearest = std::min(nearest, std::hypot(p.x - a.x - t * dx, p.y - a.y - t * dy));
    }
    return nearest;
}

inline Misfit misfitOf(const std::vector<DrawnFilm::Mm>& line, const std::vector<DrawnFilm::Mm>& truth)
{
    std::vector<double> away;
    for (std::size_t i = 0; i + 1 < line.size(); ++i) {
        const double length = std::hypot(line[i + 1].x - line[i].x, line[i + 1].y - line[i].y);
        const int steps = std::max(1, static_cast<int>(length / 0.1));
        for (int s = 0; s < steps; ++s) {
            const double t = static_cast<double>(s) / steps;
            away.push_back(millimetresToLine(
                {line[i].x + t * (line[i + 1].x - line[i].x), line[i].y + t * (line[i + 1].y - line[i].y)},
                truth));
        }
    }
    std::sort(away.begin(), away.end());
    Misfit misfit;
    for (const double mm : away) {
        misfit.meanMm += mm / static_cast<double>(away.size());
        misfit.shareWithin04 += (mm <= 0.4 ? 1.0 : 0.0) / static_cast<double>(away.size());
    }
    misfit.ninetyFiveMm = away[away.size() * 95 / 100];
    misfit.worstMm = away.back();
    return misfit;
}
