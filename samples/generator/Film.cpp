// SPDX-License-Identifier: GPL-3.0-or-later
#include "samples/generator/Film.h"

#include <algorithm>
#include <cmath>
#include <memory>

#include <cpl_string.h>
#include <gdal_priv.h>

#include "samples/generator/Dice.h"

namespace inkpeg::demo {

namespace {

constexpr int Cell = 32; ///< slow things are computed every so many pixels and interpolated between

/// What varies slowly over the scan: where on the film we are, its tone, graphite rubbed into it.
struct Slow {
    float x = 0, y = 0, tone = 0, smudge = 0;
};

struct Smudge {
    FilmMm at;
    double lengthMm, widthMm, turnRad, strength;
};

struct Tape {
    FilmMm low;
    double width, height;
};

std::vector<Smudge> smudgesOf(const SheetPlan& sheet)
{
    Dice dice("smudges of " + sheet.number);
    std::vector<Smudge> smudges;
    const int count = static_cast<int>(9 * sheet.smudging);
    for (int i = 0; i < count; ++i)
        smudges.push_back(
            {{dice.between(0, sheet.map.filmWidthMm), dice.between(0, sheet.map.filmHeightMm)},
             dice.between(8, 45),
             dice.between(4, 14),
             dice.between(0, 3.1),
             dice.between(5, 18) * sheet.smudging});
    return smudges;
}

std::vector<Tape> tapesOf(const SheetPlan& sheet)
{
    const double w = sheet.map.filmWidthMm, h = sheet.map.filmHeightMm;
    return {{{-2, h - 13}, 32, 11}, {{w - 34, h - 15}, 40, 11}, {{-3, 3}, 26, 11}, {{w - 24, 2}, 30, 11}};
}

double smudgeAt(const std::vector<Smudge>& smudges, FilmMm p)
{
    double sum = 0;
    for (const Smudge& smudge : smudges) {
        const double dx = p.x - smudge.at.x, dy = p.y - smudge.at.y;
        const double along =
            (dx * std::cos(smudge.turnRad) + dy * std::sin(smudge.turnRad)) / smudge.lengthMm;
        const double across =
            (dy * std::cos(smudge.turnRad) - dx * std::sin(smudge.turnRad)) / smudge.widthMm;
        const double r2 = along * along + across * across;
        if (r2 < 9)
            sum += smudge.strength * std::exp(-r2);
    }
    return sum;
}

double areaNoise(std::uint32_t seed, double x, double y)
{
    const double j = std::floor(y), t = y - j;
    const auto row = static_cast<std::uint32_t>(static_cast<std::int64_t>(j));
    return lineNoise(mixed(seed, row), x) * (1 - t) + lineNoise(mixed(seed, row + 1), x) * t;
}

/// One row of cells' corners.
std::vector<Slow> slowRow(const SheetPlan& sheet, const std::vector<Smudge>& smudges, int row, int columns)
{
    std::vector<Slow> slow(static_cast<std::size_t>(columns));
    const auto seed = static_cast<std::uint32_t>(Dice("tone of " + sheet.number).next());
    for (int i = 0; i < columns; ++i) {
        const FilmMm p = sheet.map.toFilm({static_cast<double>(i) * Cell, static_cast<double>(row) * Cell});
        const double tone =
            3.0 * areaNoise(seed, p.x / 60, p.y / 60) + 1.5 * areaNoise(seed + 7, p.x / 9, p.y / 9);
        slow[static_cast<std::size_t>(i)] = {static_cast<float>(p.x), static_cast<float>(p.y),
                                             static_cast<float>(tone),
                                             static_cast<float>(smudgeAt(smudges, p))};
    }
    return slow;
}

/// How dark the printed grid is at a film position: fine at 1 mm, stronger at 5 and 10 mm.
float printedGrid(float x, float y)
{
    constexpr float half = 0.07F; // half the width of a printed line, mm
    const auto one = [](float v) {
        const float nearest = std::nearbyintf(v);
        const float away = std::fabs(v - nearest);
        if (away > half * 1.8F)
            return 0.0F;
        const int line = static_cast<int>(nearest);
        const float strength = line % 10 == 0 ? 24.0F : line % 5 == 0 ? 17.0F : 11.0F;
        return strength * std::min(1.0F, (half * 1.8F - away) / half);
    };
    return std::max(one(x), one(y));
}

struct Tone {
    float film, grid;
};

/// The film's and the printed grid's share in a band: grey scans one, colour scans yellowish film, orange
/// print.
Tone toneOf(bool colour, int band)
{
    if (!colour)
        return {234, 1.0F};
    constexpr Tone tones[3] = {{238, 0.35F}, {234, 0.9F}, {220, 1.5F}};
    return tones[band];
}

class Exposure {
public:
    Exposure(const SheetPlan& sheet, const Graphite& graphite)
        : m_sheet(sheet), m_graphite(graphite), m_smudges(smudgesOf(sheet)), m_tapes(tapesOf(sheet)),
          m_seed(static_cast<std::uint32_t>(Dice("grain of " + sheet.number).next()))
    {
    }

    ScanImage image()
    {
        ScanImage image{m_graphite.width, m_graphite.height, m_sheet.colour ? 3 : 1, {}};
        const std::size_t band = m_graphite.pixels.size();
        image.pixels.resize(band * static_cast<std::size_t>(image.bands));
        const int columns = image.width / Cell + 2;
        std::vector<Slow> above = slowRow(m_sheet, m_smudges, 0, columns);
        for (int cellRow = 0; cellRow * Cell < image.height; ++cellRow) {
            std::vector<Slow> below = slowRow(m_sheet, m_smudges, cellRow + 1, columns);
            for (int row = cellRow * Cell; row < std::min(image.height, (cellRow + 1) * Cell); ++row)
                exposeRow(image, row, above, below);
            above = std::move(below);
        }
        return image;
    }

private:
    void exposeRow(ScanImage& image, int row, const std::vector<Slow>& above,
                   const std::vector<Slow>& below) const
    {
        const float down = (static_cast<float>(row % Cell) + 0.5F) / Cell;
        const std::size_t start = static_cast<std::size_t>(row) * static_cast<std::size_t>(image.width);
        for (int column = 0; column < image.width; ++column) {
            const auto cell = static_cast<std::size_t>(column / Cell);
            const float right = (static_cast<float>(column % Cell) + 0.5F) / Cell;
            const auto mix = [&](float Slow::*part) {
                const float up = above[cell].*part * (1 - right) + above[cell + 1].*part * right;
                const float low = below[cell].*part * (1 - right) + below[cell + 1].*part * right;
                return up * (1 - down) + low * down;
            };
            const float x = mix(&Slow::x), y = mix(&Slow::y);
            const std::uint32_t grain =
                mixed(static_cast<std::uint32_t>(column) ^ m_seed, static_cast<std::uint32_t>(row));
            const float noise = (static_cast<float>((grain & 0xFF) + ((grain >> 8) & 0xFF)) - 255) * 0.022F;
            const std::size_t at = start + static_cast<std::size_t>(column);
            if (!onFilm(x, y)) {
                for (int band = 0; band < image.bands; ++band)
                    put(image, at, band, bedTone(x, y) + noise);
                continue;
            }
            const float rough = 0.7F + 0.6F * static_cast<float>((grain >> 16) & 0xFF) / 255;
            const float dull = mix(&Slow::tone) - mix(&Slow::smudge) * rough + noise - tapeTone(x, y);
            const float printed = printedGrid(x, y);
            const float light = 1 - 0.86F * static_cast<float>(m_graphite.pixels[at]) / 255;
            for (int band = 0; band < image.bands; ++band) {
                const Tone tone = toneOf(m_sheet.colour, band);
                put(image, at, band, (tone.film + dull - printed * tone.grid) * light);
            }
        }
    }

    bool onFilm(float x, float y) const
    {
        return x >= 0 && y >= 0 && x <= static_cast<float>(m_sheet.map.filmWidthMm) &&
               y <= static_cast<float>(m_sheet.map.filmHeightMm);
    }

    /// The scanner's lid, with the film's narrow shadow.
    float bedTone(float x, float y) const
    {
        const float away = std::max({-x, -y, x - static_cast<float>(m_sheet.map.filmWidthMm),
                                     y - static_cast<float>(m_sheet.map.filmHeightMm)});
        return away < 0.5F ? 205 + away * 80 : 249;
    }

    /// Tape dulls the film under it and shows its edges.
    float tapeTone(float x, float y) const
    {
        for (const Tape& tape : m_tapes) {
            const float dx = std::min(x - static_cast<float>(tape.low.x),
                                      static_cast<float>(tape.low.x + tape.width) - x);
            const float dy = std::min(y - static_cast<float>(tape.low.y),
                                      static_cast<float>(tape.low.y + tape.height) - y);
            const float inside = std::min(dx, dy);
            if (inside >= 0)
                return inside < 0.25F ? 26.0F : 11.0F;
        }
        return 0;
    }

    static void put(ScanImage& image, std::size_t at, int band, float value)
    {
        const std::size_t size =
            static_cast<std::size_t>(image.width) * static_cast<std::size_t>(image.height);
        image.pixels[static_cast<std::size_t>(band) * size + at] =
            static_cast<std::uint8_t>(std::clamp(value + 0.5F, 0.0F, 255.0F));
    }

    const SheetPlan& m_sheet;
    const Graphite& m_graphite;
    std::vector<Smudge> m_smudges;
    std::vector<Tape> m_tapes;
    std::uint32_t m_seed;
};

struct CloseDataset {
    void operator()(GDALDataset* dataset) const { GDALClose(dataset); }
};
using Dataset = std::unique_ptr<GDALDataset, CloseDataset>;

Dataset create(const char* driver, const std::string& file, const ScanImage& image, char** options)
{
    GDALDriver* found = GetGDALDriverManager()->GetDriverByName(driver);
    return Dataset(
        found ? found->Create(file.c_str(), image.width, image.height, image.bands, GDT_Byte, options)
              : nullptr);
}

bool fill(GDALDataset& dataset, const ScanImage& image)
{
    return dataset.RasterIO(GF_Write, 0, 0, image.width, image.height,
                            const_cast<std::uint8_t*>(image.pixels.data()), image.width, image.height,
                            GDT_Byte, image.bands, nullptr, 0, 0, 0, nullptr) == CE_None;
}

void stateResolution(GDALDataset& dataset, double dpi)
{
    const std::string text = std::to_string(static_cast<int>(std::lround(dpi)));
    dataset.SetMetadataItem("TIFFTAG_XRESOLUTION", text.c_str());
    dataset.SetMetadataItem("TIFFTAG_YRESOLUTION", text.c_str());
    dataset.SetMetadataItem("TIFFTAG_RESOLUTIONUNIT", "2 (pixels/inch)");
}

} // namespace

ScanImage exposeSheet(const SheetPlan& sheet, const Graphite& graphite)
{
    return Exposure(sheet, graphite).image();
}

std::string writeScan(const SheetPlan& sheet, const ScanImage& image, const std::filesystem::path& file)
{
    CPLStringList options;
    const bool tiff = sheet.writing == "tiled" || sheet.writing == "strips";
    if (tiff) {
        options.SetNameValue("COMPRESS", "DEFLATE");
        options.SetNameValue("ZLEVEL", "3");
        options.SetNameValue("INTERLEAVE", "PIXEL");
        options.SetNameValue("PHOTOMETRIC", image.bands == 3 ? "RGB" : "MINISBLACK");
        if (sheet.writing == "tiled")
            options.SetNameValue("TILED", "YES");
        const Dataset dataset = create("GTiff", file.string(), image, options.List());
        if (!dataset)
            return "cannot write " + file.string() + ": " + CPLGetLastErrorMsg();
        stateResolution(*dataset, sheet.map.dpi);
        return fill(*dataset, image) ? "" : "cannot write " + file.string() + ": " + CPLGetLastErrorMsg();
    }
    const Dataset memory = create("MEM", "", image, nullptr);
    if (!memory || !fill(*memory, image))
        return "cannot hold " + file.string() + " in memory: " + CPLGetLastErrorMsg();
    const bool jpeg = sheet.writing == "jpeg";
    options.SetNameValue(jpeg ? "QUALITY" : "ZLEVEL", jpeg ? "75" : "3");
    GDALDriver* driver = GetGDALDriverManager()->GetDriverByName(jpeg ? "JPEG" : "PNG");
    const Dataset written(driver ? driver->CreateCopy(file.string().c_str(), memory.get(), FALSE,
                                                      options.List(), nullptr, nullptr)
                                 : nullptr);
    return written ? "" : "cannot write " + file.string() + ": " + CPLGetLastErrorMsg();
}

} // namespace inkpeg::demo
