// SPDX-License-Identifier: GPL-3.0-or-later
// A piece of film drawn pixel by pixel with grid crosses whose centres are known.
#pragma once

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>
#include <vector>

#include "core/base/Units.h"
#include "core/film/Scan.h"
#include "tests/core/film/TiffForTests.h"

namespace inkpeg::test {

/// How the film looks: darkness in grey levels, lengths in mm.
struct FilmLook {
    double noise = 3;    // grey levels, one sigma
    double pencil = 110; // darkness of a line
    double grain = 0.1;  // how much its darkness varies along it
    double gapShare = 0; // of every line that the pencil skipped
    int smudges = 0;     // for every 10 000 mm2
    double skewDegrees = 0;
    double wobbleMm = 0; // how far the pencil swings to either side, every 3 mm or so
};

inline const FilmLook CleanFilm{3, 110, 0.1, 0, 0, 1.3, 0};
inline const FilmLook PoorFilm{9, 75, 0.35, 0.08, 6, -3.4, 0.012};

/// A film drawn pixel by pixel: printed millimetre grid, smudges, pencil lines, scanner noise. Everything
/// is placed in scan pixels; edges are covered in proportion.
class CrossFilm {
public:
    CrossFilm(double widthMm, double heightMm, double dpi, const FilmLook& look, unsigned seed)
        : m_look(look), m_perMm(dpi / MillimetresPerInch), m_random(seed),
          m_width(static_cast<int>(widthMm * m_perMm)), m_height(static_cast<int>(heightMm * m_perMm)),
          m_darkness(static_cast<std::size_t>(m_width) * static_cast<std::size_t>(m_height))
    {
        m_turn = look.skewDegrees * std::numbers::pi / 180;
        printGrid();
        const int smudges = static_cast<int>(look.smudges * widthMm * heightMm / 10'000);
        for (int i = 0; i < smudges; ++i)
            smudge({uniform(0, m_width), uniform(0, m_height)}, uniform(2, 9) * m_perMm, uniform(15, 45));
    }

    int width() const { return m_width; }
    int height() const { return m_height; }
    double perMm() const { return m_perMm; }
    double uniform(double from, double to) { return std::uniform_real_distribution<>(from, to)(m_random); }

    /// Film millimetres (y down, before skew) to scan pixels.
    ScanPx toScan(double xMm, double yMm) const
    {
        const double x = (xMm * m_perMm - m_width / 2.0), y = (yMm * m_perMm - m_height / 2.0);
        return {m_width / 2.0 + x * std::cos(m_turn) - y * std::sin(m_turn),
                m_height / 2.0 + x * std::sin(m_turn) + y * std::cos(m_turn)};
    }

    /// A straight pencil line of `widthMm`, its density varying every 0.15 mm.
    void line(ScanPx from, ScanPx to, double widthMm)
    {
        const double length = distance(from, to), half = widthMm * m_perMm / 2;
        const double dx = (to.column - from.column) / length, dy = (to.row - from.row) / length;
        const double wave = uniform(2, 4) * m_perMm, start = uniform(0, 2 * std::numbers::pi),
                     swing = m_look.wobbleMm * m_perMm;
        std::vector<double> density;
        for (double at = 0; at <= length + 1; at += 0.15 * m_perMm) {
            const bool gap = uniform(0, 1) < m_look.gapShare;
            density.push_back(gap ? 0.1 : std::max(0.2, 1 + m_look.grain * normal()));
        }
        const auto low = [&](double a, double b) { return static_cast<int>(std::min(a, b) - half - 2); };
        const auto high = [&](double a, double b) { return static_cast<int>(std::max(a, b) + half + 2); };
        for (int row = std::max(0, low(from.row, to.row)); row < std::min(m_height, high(from.row, to.row));
             ++row)
            for (int column = std::max(0, low(from.column, to.column));
                 column < std::min(m_width, high(from.column, to.column)); ++column) {
                const double x = column + 0.5 - from.column, y = row + 0.5 - from.row;
                const double along = x * dx + y * dy,
                             across = y * dx - x * dy +
                                      swing * std::sin(start + 2 * std::numbers::pi * along / wave);
                const double beyond = std::max({0.0, -along, along - length});
                const double cover = std::clamp(0.5 + half - std::hypot(across, beyond), 0.0, 1.0);
                if (cover <= 0)
                    continue;
                const auto cell =
                    static_cast<std::size_t>(std::clamp(along, 0.0, length) / (0.15 * m_perMm));
                float& value = at(column, row);
                value = std::max(value, static_cast<float>(cover * m_look.pencil * density[cell]));
            }
    }

    /// A cross with arms along the film's axes, its name beside it.
    void cross(double xMm, double yMm, double armMm = 4)
    {
        line(toScan(xMm - armMm, yMm), toScan(xMm + armMm, yMm), 0.25);
        line(toScan(xMm, yMm - armMm), toScan(xMm, yMm + armMm), 0.25);
        for (int i = 0; i < 6; ++i) { // strokes of lettering, 2 mm high
            const double x = xMm + 1 + 1.5 * i, y = yMm - 1;
            line(toScan(x, y), toScan(x + uniform(-0.3, 0.9), y - uniform(1, 2)), 0.22);
        }
    }

    GreyImage image()
    {
        GreyImage image{m_width, m_height, {}};
        image.pixels.reserve(m_darkness.size());
        for (const float darkness : m_darkness)
            image.pixels.push_back(static_cast<std::uint8_t>(
                std::clamp(std::lround(232 - darkness + m_look.noise * normal()), 0l, 255l)));
        return image;
    }

private:
    float& at(int column, int row)
    {
        return m_darkness[static_cast<std::size_t>(row) * static_cast<std::size_t>(m_width) +
                          static_cast<std::size_t>(column)];
    }

    // Twelve uniform numbers: normal enough for noise, and quick.
    double normal()
    {
        double sum = -6;
        for (int i = 0; i < 3; ++i) {
            const auto bits = m_random();
            for (int k = 0; k < 4; ++k)
                sum += double((bits >> (8 * k)) & 255u) / 255.0;
        }
        return sum;
    }

    /// Every millimetre a faint line, every fifth and tenth stronger, turned with the film.
    void printGrid()
    {
        const double c = std::cos(m_turn), s = std::sin(m_turn);
        const auto printed = [&](double mm) {
            const double nearest = std::round(mm);
            const long long number = std::llround(nearest);
            const double strength = number % 10 == 0 ? 26 : number % 5 == 0 ? 17 : 9;
            return strength * std::clamp(0.5 + (0.05 - std::abs(mm - nearest)) * m_perMm, 0.0, 1.0);
        };
        for (int row = 0; row < m_height; ++row)
            for (int column = 0; column < m_width; ++column) {
                const double x = column + 0.5 - m_width / 2.0, y = row + 0.5 - m_height / 2.0;
                const double xMm = (m_width / 2.0 + x * c + y * s) / m_perMm,
                             yMm = (m_height / 2.0 - x * s + y * c) / m_perMm;
                at(column, row) = static_cast<float>(std::max(printed(xMm + 0.3), printed(yMm + 0.1)));
            }
    }

    void smudge(ScanPx middle, double radius, double darkness)
    {
        for (int row = std::max(0, int(middle.row - 2 * radius));
             row < std::min(m_height, int(middle.row + 2 * radius)); ++row)
            for (int column = std::max(0, int(middle.column - 2 * radius));
                 column < std::min(m_width, int(middle.column + 2 * radius)); ++column) {
                const double far = distance({column + 0.5, row + 0.5}, middle) / radius;
                at(column, row) += static_cast<float>(darkness * std::exp(-far * far));
            }
    }

    FilmLook m_look;
    double m_perMm;
    std::mt19937 m_random;
    int m_width, m_height;
    std::vector<float> m_darkness;
    double m_turn = 0;
};

/// Writes it as a tiled TIFF.
inline bool writeFilm(const std::filesystem::path& file, const GreyImage& image)
{
    TiffPicture picture;
    picture.width = image.width;
    picture.height = image.height;
    picture.samples.assign(image.pixels.begin(), image.pixels.end());
    picture.options.SetNameValue("TILED", "YES");
    return writeTiff(file, picture);
}

} // namespace inkpeg::test
