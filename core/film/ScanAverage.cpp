// SPDX-License-Identifier: GPL-3.0-or-later
// Scan::readGrey and Scan::readRgb: a part of the scan, made smaller by averaging.
#include <algorithm>

#include "core/film/Scan.h"

namespace inkpeg {
namespace {

constexpr std::size_t ReadAtOnceBytes = std::size_t{8} << 20;

/// Where box `index` of `boxes` begins in a row of `pixels`.
int boxEdge(int index, int pixels, int boxes)
{
    return static_cast<int>(std::int64_t{index} * pixels / boxes);
}

/// A span of whole pixels, at least one: where the picture is enlarged, a box is one pixel.
struct Box {
    int first, end;
    Box(int index, int pixels, int boxes)
        : first(boxEdge(index, pixels, boxes)), end(std::max(first + 1, boxEdge(index + 1, pixels, boxes)))
    {
    }
    int size() const { return end - first; }
};

/// Means of one row of boxes from the sums of their columns.
void writeMeans(const std::vector<std::uint32_t>& columnSums, int width, int rows, int outWidth,
                int channels, std::uint8_t* out)
{
    for (int x = 0; x < outWidth; ++x) {
        const Box box(x, width, outWidth);
        const std::uint64_t count =
            static_cast<std::uint64_t>(box.size()) * static_cast<std::uint64_t>(rows);
        for (int c = 0; c < channels; ++c) {
            std::uint64_t sum = count / 2;
            for (int column = box.first; column < box.end; ++column)
                sum += columnSums[static_cast<std::size_t>(column * channels + c)];
            *out++ = static_cast<std::uint8_t>(sum / count);
        }
    }
}

enum class Damage { Fails, BecomesWhite };

Result<void> readBand(const Scan& scan, const PxRect& part, int channels, Damage damage, std::uint8_t* out)
{
    const auto rowBytes = static_cast<std::size_t>(part.width) * static_cast<std::size_t>(channels);
    if (damage == Damage::Fails)
        return scan.readPixels(part, channels, out, rowBytes);
    scan.readSoundPixels(part, channels, out, rowBytes);
    return {};
}

Result<void> readAveraged(const Scan& scan, const PxRect& window, int outWidth, int outHeight, int channels,
                          Damage damage, std::uint8_t* out)
{
    const auto rowBytes = static_cast<std::size_t>(window.width) * static_cast<std::size_t>(channels);
    const auto outRowBytes = static_cast<std::size_t>(outWidth) * static_cast<std::size_t>(channels);
    const int rowsAtOnce = static_cast<int>(std::max<std::size_t>(ReadAtOnceBytes / rowBytes, 1));
    std::vector<std::uint8_t> band; // rows bandTop to bandEnd of the window
    std::vector<std::uint32_t> columnSums(rowBytes);
    int bandTop = 0, bandEnd = 0;
    for (int y = 0; y < outHeight; ++y) {
        const Box box(y, window.height, outHeight);
        if (box.end > bandEnd) {
            bandTop = box.first;
            bandEnd = std::min(window.height, std::max(box.end, bandTop + rowsAtOnce));
            band.resize(rowBytes * static_cast<std::size_t>(bandEnd - bandTop));
            const PxRect part{window.column, window.row + bandTop, window.width, bandEnd - bandTop};
            if (const Result<void> read = readBand(scan, part, channels, damage, band.data()); !read)
                return read.error();
        }
        std::fill(columnSums.begin(), columnSums.end(), 0u);
        for (int row = box.first; row < box.end; ++row) {
            const std::uint8_t* pixels = band.data() + static_cast<std::size_t>(row - bandTop) * rowBytes;
            for (std::size_t i = 0; i < rowBytes; ++i)
                columnSums[i] += pixels[i];
        }
        writeMeans(columnSums, window.width, box.size(), outWidth, channels,
                   out + static_cast<std::size_t>(y) * outRowBytes);
    }
    return {};
}

template<typename Image>
Result<Image> readImage(const Scan& scan, const PxRect& window, int outWidth, int outHeight, int channels,
                        Damage damage)
{
    if (outWidth < 1 || outHeight < 1)
        return Error{ErrorCode::BadInput, scan.file().string() + ": a picture of " +
                                              std::to_string(outWidth) + " x " + std::to_string(outHeight) +
                                              " pixels was asked for; it needs at least 1 x 1"};
    if (const Result<void> within = scan.checkWindow(window); !within)
        return within.error();
    Image image;
    image.width = outWidth;
    image.height = outHeight;
    const auto outRowBytes = static_cast<std::size_t>(outWidth) * static_cast<std::size_t>(channels);
    image.pixels.resize(static_cast<std::size_t>(outHeight) * outRowBytes);
    const bool asItIs = outWidth == window.width && outHeight == window.height;
    const Result<void> read =
        asItIs ? readBand(scan, window, channels, damage, image.pixels.data())
               : readAveraged(scan, window, outWidth, outHeight, channels, damage, image.pixels.data());
    if (!read)
        return read.error();
    return image;
}

} // namespace

Result<GreyImage> Scan::readGrey(const PxRect& window, int outWidth, int outHeight) const
{
    return readImage<GreyImage>(*this, window, outWidth, outHeight, 1, Damage::Fails);
}

Result<RgbImage> Scan::readRgb(const PxRect& window, int outWidth, int outHeight) const
{
    return readImage<RgbImage>(*this, window, outWidth, outHeight, 3, Damage::Fails);
}

Result<RgbImage> Scan::readSoundRgb(const PxRect& window, int outWidth, int outHeight) const
{
    return readImage<RgbImage>(*this, window, outWidth, outHeight, 3, Damage::BecomesWhite);
}

std::vector<std::string> Scan::readSoundPixels(const PxRect& window, int channelCount, std::uint8_t* out,
                                               std::size_t strideBytes) const
{
    constexpr int BlockPx = 256;
    if (readPixels(window, channelCount, out, strideBytes))
        return {};
    std::vector<std::string> damage;
    for (int row = 0; row < window.height; row += BlockPx)
        for (int column = 0; column < window.width; column += BlockPx) {
            const PxRect part{window.column + column, window.row + row,
                              std::min(BlockPx, window.width - column),
                              std::min(BlockPx, window.height - row)};
            std::uint8_t* to = out + static_cast<std::size_t>(row) * strideBytes +
                               static_cast<std::size_t>(column) * static_cast<std::size_t>(channelCount);
            const Result<void> read = readPixels(part, channelCount, to, strideBytes);
            if (read)
                continue;
            if (std::find(damage.begin(), damage.end(), read.error().message) == damage.end())
                damage.push_back(read.error().message);
            for (int y = 0; y < part.height; ++y)
                std::fill_n(to + static_cast<std::size_t>(y) * strideBytes, part.width * channelCount,
                            std::uint8_t{255});
        }
    return damage;
}

bool canBeEnteredAnywhere(const ScanFacts& facts)
{
    constexpr int LargestTilePx = 2048;
    return facts.format == "TIFF" && facts.blockWidth < facts.widthPx &&
           facts.blockWidth <= LargestTilePx && facts.blockHeight <= LargestTilePx && facts.blockHeight > 1;
}

} // namespace inkpeg
