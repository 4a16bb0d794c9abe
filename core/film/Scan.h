// SPDX-License-Identifier: GPL-3.0-or-later
// A scanned sheet, opened read-only through GDAL from an allow-list of formats (TIFF, JPEG, PNG).
//
//   Result<Scan> scan = Scan::open("film/P-014.tif");
//   Result<GreyImage> look = scan->readGrey({0, 0, scan->facts().widthPx, scan->facts().heightPx}, 800,
//   600);
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "core/base/Result.h"
#include "core/base/Units.h"

namespace inkpeg {

struct ScanFacts {
    int widthPx = 0;
    int heightPx = 0;
    double dpiX = 0; ///< 0 when the file does not say
    double dpiY = 0;
    int bands = 1;
    int bitsPerSample = 8;
    std::string colour; ///< "grey", "palette", "RGB", "CMYK", "bilevel", with "+ alpha" where there is one
    std::string format; ///< "TIFF", "JPEG", "PNG"
    int pages = 1;      ///< pictures in the file; only the first is read
    int blockWidth = 1; ///< what the file decodes at once: a tile, or a strip of rows
    int blockHeight = 1;
};

/// True when a part of the scan can be read without decoding all that lies before it.
bool canBeEnteredAnywhere(const ScanFacts& facts);

/// A rectangle of whole pixels.
struct PxRect {
    int column = 0, row = 0;
    int width = 0, height = 0;
    bool operator==(const PxRect&) const = default;
};

/// 8-bit grey pixels, row by row; 255 = white film.
struct GreyImage {
    int width = 0;
    int height = 0;
    std::vector<std::uint8_t> pixels;

    std::uint8_t at(int column, int row) const
    {
        return pixels[static_cast<std::size_t>(row) * static_cast<std::size_t>(width) +
                      static_cast<std::size_t>(column)];
    }
};

/// 8-bit red, green, blue interleaved, row by row.
struct RgbImage {
    int width = 0;
    int height = 0;
    std::vector<std::uint8_t> pixels;
};

/// Move-only; one Scan may be used by one thread at a time (open another for another thread).
class Scan {
public:
    /// Errors: NotFound; BadInput naming the file: not a TIFF, JPEG or PNG, truncated, too large, or a format
    ///         that could point at other files.
    static Result<Scan> open(const std::filesystem::path& file);

    Scan(Scan&&) noexcept;
    Scan& operator=(Scan&&) noexcept;
    ~Scan();

    const ScanFacts& facts() const;
    const std::filesystem::path& file() const;

    /// `window` of the scan, resampled by averaging to outWidth x outHeight when smaller, as it is when
    /// equal. Errors: System (damaged tile: names rows and columns); BadInput (window outside the scan).
    Result<GreyImage> readGrey(const PxRect& window, int outWidth, int outHeight) const;
    Result<RgbImage> readRgb(const PxRect& window, int outWidth, int outHeight) const;

    /// Errors: BadInput when `window` is empty or reaches outside the scan.
    Result<void> checkWindow(const PxRect& window) const;

    /// 1 when the scan has no colour (grey, bilevel, a palette of greys), else 3.
    int channels() const;

    /// `window` as it is, `channelCount` (1 = grey, 3 = red, green, blue) interleaved bytes a pixel, to
    /// `out`, whose rows are `strideBytes` apart. Errors: as readGrey; what was read before the damage
    /// stays in `out`.
    Result<void> readPixels(const PxRect& window, int channelCount, std::uint8_t* out,
                            std::size_t strideBytes) const;

    /// As readPixels, but goes on behind damage: blocks of 256 x 256 pixels that cannot be read become
    /// white. Returns what is damaged, in words; empty when all is sound.
    std::vector<std::string> readSoundPixels(const PxRect& window, int channelCount, std::uint8_t* out,
                                             std::size_t strideBytes) const;

    /// As readRgb, but damaged parts are white. Errors: BadInput (window outside the scan).
    Result<RgbImage> readSoundRgb(const PxRect& window, int outWidth, int outHeight) const;

private:
    struct Opened;
    explicit Scan(std::unique_ptr<Opened> opened);
    std::unique_ptr<Opened> m_opened;
};

} // namespace inkpeg
