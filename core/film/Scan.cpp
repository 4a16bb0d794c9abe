// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/Scan.h"

#include <algorithm>
#include <cstring>
#include <string_view>

#include <cpl_conv.h>
#include <cpl_string.h>
#include <gdal_priv.h>

#include "core/base/Text.h"
#include "core/film/GdalSession.h"
#include "core/film/ScanColour.h"
#include "core/film/ScanFile.h"

namespace inkpeg {
namespace {

constexpr int LargestSidePx = 200'000;                  // 4.2 m of film at 1200 dpi
constexpr GIntBig LargestBlockBytes = GIntBig{1} << 30; // what one strip may take when decoded
constexpr std::size_t ReadAtOnceBytes = std::size_t{8} << 20;

struct DatasetCloser {
    void operator()(GDALDataset* dataset) const
    {
        const GdalSession quiet;
        GDALClose(dataset);
    }
};
using Dataset = std::unique_ptr<GDALDataset, DatasetCloser>;

std::string spanWords(const char* what, int first, int count)
{
    return std::string(what) + " " + std::to_string(first) + " to " +
           std::to_string(static_cast<long long>(first) + count - 1);
}

Error badScan(const std::filesystem::path& file, const std::string& words)
{
    return {ErrorCode::BadInput, file.string() + ": " + words};
}

const char* driverOf(ScanFormat format)
{
    return format == ScanFormat::Tiff ? "GTiff" : format == ScanFormat::Jpeg ? "JPEG" : "PNG";
}

const char* nameOf(ScanFormat format)
{
    return format == ScanFormat::Tiff ? "TIFF" : format == ScanFormat::Jpeg ? "JPEG" : "PNG";
}

Result<Dataset> openDataset(const std::filesystem::path& file, ScanFormat format)
{
    GdalSession session;
    const char* const drivers[] = {driverOf(format), nullptr};
    // An absolute path cannot be taken for one of GDAL's prefixes that point elsewhere.
    Dataset dataset(GDALDataset::Open(std::filesystem::absolute(file).c_str(),
                                      GDAL_OF_RASTER | GDAL_OF_READONLY | GDAL_OF_VERBOSE_ERROR, drivers));
    if (dataset && dataset->GetRasterCount() > 0)
        return dataset;
    return badScan(file, std::string("this ") + nameOf(format) + " file is damaged or cut short (" +
                             session.firstFailure() + "); copy it again or scan the sheet again");
}

double resolutionPerInch(GDALDataset& dataset, const char* tag)
{
    const char* value = dataset.GetMetadataItem(tag);
    const char* unit = dataset.GetMetadataItem("TIFFTAG_RESOLUTIONUNIT");
    if (!value || !unit)
        return 0;
    // TIFF 6.0, section 8: 2 = inch, 3 = centimetre, 1 = no absolute unit.
    const double perInch = unit[0] == '2' ? 1.0 : unit[0] == '3' ? MillimetresPerInch / 10.0 : 0.0;
    const double resolution = parseNumber(value).value_or(0) * perInch;
    return resolution > 0 ? resolution : 0;
}

int countPages(GDALDataset& dataset)
{
    const int lines = CSLCount(dataset.GetMetadata("SUBDATASETS")); // a name and a description each
    return std::max(1, lines / 2);
}

/// Every strip or tile of a TIFF must end inside the file; one of length 0 is an empty one by design.
Result<void> checkTiffComplete(GDALDataset& dataset, const std::filesystem::path& file)
{
    const auto size = static_cast<GIntBig>(std::filesystem::file_size(file));
    for (int band = 1; band <= dataset.GetRasterCount(); ++band) {
        GDALRasterBand& samples = *dataset.GetRasterBand(band);
        int width = 0, height = 0;
        samples.GetBlockSize(&width, &height);
        for (int row = 0; row * height < samples.GetYSize(); ++row)
            for (int column = 0; column * width < samples.GetXSize(); ++column) {
                const std::string place = std::to_string(column) + "_" + std::to_string(row);
                const char* offset = samples.GetMetadataItem(("BLOCK_OFFSET_" + place).c_str(), "TIFF");
                const char* length = samples.GetMetadataItem(("BLOCK_SIZE_" + place).c_str(), "TIFF");
                if (offset && length && CPLAtoGIntBig(offset) + CPLAtoGIntBig(length) > size)
                    return badScan(file, "this TIFF file is cut short (" + std::to_string(size) +
                                             " bytes, but the picture goes on behind its row " +
                                             std::to_string(row * height) +
                                             "); copy it again or scan the sheet again");
            }
        const char* interleave = dataset.GetMetadataItem("INTERLEAVE", "IMAGE_STRUCTURE");
        if (!interleave || !EQUAL(interleave, "BAND"))
            break; // the first band's blocks hold all samples
    }
    return {};
}

bool saysYes(const char* value)
{
    return value && EQUAL(value, "YES");
}

std::vector<std::array<std::uint8_t, 4>> paletteOf(GDALRasterBand& band)
{
    std::vector<std::array<std::uint8_t, 4>> palette;
    const GDALColorTable* table = band.GetColorTable();
    for (int i = 0; table && i < table->GetColorEntryCount(); ++i) {
        const GDALColorEntry& entry = *table->GetColorEntry(i);
        const auto byte = [](short value) {
            return static_cast<std::uint8_t>(std::clamp<int>(value, 0, 255));
        };
        palette.push_back({byte(entry.c1), byte(entry.c2), byte(entry.c3), byte(entry.c4)});
    }
    return palette;
}

/// 8-bit CMYK arrives as red, green, blue, alpha: the TIFF library turns it, by the same formula as
/// ScanColour.
bool isConvertedCmyk(GDALDataset& dataset)
{
    const char* source = dataset.GetMetadataItem("SOURCE_COLOR_SPACE", "IMAGE_STRUCTURE");
    return source && EQUAL(source, "CMYK") &&
           dataset.GetRasterBand(1)->GetColorInterpretation() == GCI_RedBand;
}

/// What the bands mean, or why they cannot be read as a picture of film.
Result<ScanColour> colourOf(GDALDataset& dataset, const std::filesystem::path& file)
{
    ScanColour colour;
    GDALRasterBand& first = *dataset.GetRasterBand(1);
    const GDALDataType type = first.GetRasterDataType();
    if (type != GDT_Byte && type != GDT_UInt16)
        return badScan(file, std::string("its samples are ") + GDALGetDataTypeName(type) +
                                 "; a scan must have 1, 8 or 16 bits a sample");
    int bands = dataset.GetRasterCount();
    for (int i = 1; i <= bands; ++i)
        if (dataset.GetRasterBand(i)->GetColorInterpretation() == GCI_AlphaBand) {
            colour.alphaBand = i - 1;
            const char* alpha = dataset.GetRasterBand(i)->GetMetadataItem("ALPHA", "IMAGE_STRUCTURE");
            colour.alphaMultiplied = alpha && EQUAL(alpha, "PREMULTIPLIED");
        }
    if (colour.alphaBand >= 0 && colour.alphaBand != bands - 1)
        return badScan(file,
                       "its transparency is not the last sample of a pixel; save the scan as grey or RGB");
    colour.colourBands = colour.alphaBand >= 0 ? bands - 1 : bands;
    if (isConvertedCmyk(dataset))
        colour.alphaBand = -1; // always opaque
    const char* bits = first.GetMetadataItem("NBITS", "IMAGE_STRUCTURE");
    const auto depth = bits ? parseWhole(bits).value_or(8) : (type == GDT_UInt16 ? 16 : 8);
    colour.maximum = (1u << depth) - 1;
    colour.whiteIsZero = saysYes(first.GetMetadataItem("MINISWHITE", "IMAGE_STRUCTURE")) ||
                         saysYes(dataset.GetMetadataItem("MINISWHITE", "IMAGE_STRUCTURE"));
    switch (colour.colourBands) {
    case 1:
        if (first.GetColorTable()) {
            colour.kind = ScanColour::Kind::Palette;
            colour.palette = paletteOf(first);
        }
        return colour;
    case 3:
        colour.kind = ScanColour::Kind::Rgb;
        return colour;
    case 4:
        if (first.GetColorInterpretation() != GCI_CyanBand)
            break;
        colour.kind = ScanColour::Kind::Cmyk;
        return colour;
    default:
        break;
    }
    return badScan(file,
                   "it has " + std::to_string(bands) +
                       " samples a pixel that are not grey, RGB or CMYK; save the scan as grey or RGB");
}

std::string colourName(const ScanColour& colour, int bits)
{
    const char* name = bits == 1                                  ? "bilevel"
                       : colour.kind == ScanColour::Kind::Grey    ? "grey"
                       : colour.kind == ScanColour::Kind::Palette ? "palette"
                       : colour.kind == ScanColour::Kind::Rgb     ? "RGB"
                                                                  : "CMYK";
    return std::string(name) + (colour.alphaBand >= 0 ? " + alpha" : "");
}

ScanFacts factsOf(GDALDataset& dataset, const ScanFileFacts& fileFacts, const ScanColour& colour)
{
    ScanFacts facts;
    GDALRasterBand& first = *dataset.GetRasterBand(1);
    facts.widthPx = dataset.GetRasterXSize();
    facts.heightPx = dataset.GetRasterYSize();
    first.GetBlockSize(&facts.blockWidth, &facts.blockHeight);
    facts.bands = dataset.GetRasterCount();
    for (facts.bitsPerSample = 1; (1u << facts.bitsPerSample) - 1 < colour.maximum;)
        ++facts.bitsPerSample;
    facts.colour = isConvertedCmyk(dataset) ? "CMYK" : colourName(colour, facts.bitsPerSample);
    facts.format = nameOf(fileFacts.format);
    const bool tiff = fileFacts.format == ScanFormat::Tiff;
    facts.dpiX = tiff ? resolutionPerInch(dataset, "TIFFTAG_XRESOLUTION") : fileFacts.dpiX;
    facts.dpiY = tiff ? resolutionPerInch(dataset, "TIFFTAG_YRESOLUTION") : fileFacts.dpiY;
    facts.pages = countPages(dataset);
    return facts;
}

Result<void> checkSize(GDALDataset& dataset, const std::filesystem::path& file)
{
    GDALRasterBand& first = *dataset.GetRasterBand(1);
    int width = 0, height = 0;
    first.GetBlockSize(&width, &height);
    if (dataset.GetRasterXSize() > LargestSidePx || dataset.GetRasterYSize() > LargestSidePx)
        return badScan(file, "it is " + std::to_string(dataset.GetRasterXSize()) + " x " +
                                 std::to_string(dataset.GetRasterYSize()) + " pixels; at most " +
                                 std::to_string(LargestSidePx) + " a side are read");
    const GIntBig blockBytes = GIntBig{width} * height *
                               GDALGetDataTypeSizeBytes(first.GetRasterDataType()) *
                               dataset.GetRasterCount();
    if (blockBytes > LargestBlockBytes)
        return badScan(file, "it is packed in one piece of " + std::to_string(blockBytes >> 20) +
                                 " MiB; save it with tiles or with strips of fewer rows");
    return {};
}

} // namespace

struct Scan::Opened {
    std::filesystem::path file;
    Dataset dataset;
    ScanColour colour;
    ScanFacts facts;

    bool plainBytes(int channelCount) const;
    bool readPlain(const PxRect& window, int channelCount, std::uint8_t* out, std::size_t strideBytes);
    bool readConverted(const PxRect& window, int channelCount, std::uint8_t* out, std::size_t strideBytes);
    std::string damageIn(const PxRect& window);
};

/// True when the file's bytes are the wanted bytes.
bool Scan::Opened::plainBytes(int channelCount) const
{
    return colour.maximum == 255 && colour.alphaBand < 0 && !colour.whiteIsZero &&
           dataset->GetRasterBand(1)->GetRasterDataType() == GDT_Byte &&
           ((colour.kind == ScanColour::Kind::Grey && channelCount == 1) ||
            (colour.kind == ScanColour::Kind::Rgb && channelCount == 3));
}

bool Scan::Opened::readPlain(const PxRect& window, int channelCount, std::uint8_t* out,
                             std::size_t strideBytes)
{
    GDALRasterBand& first = *dataset->GetRasterBand(1);
    const bool oneBlock = window.column % facts.blockWidth == 0 && window.row % facts.blockHeight == 0 &&
                          window.width == facts.blockWidth && window.height == facts.blockHeight;
    // Straight from the decoder: through GDAL's block cache the same bytes are copied twice under a lock.
    if (oneBlock && channelCount == 1 && strideBytes == static_cast<std::size_t>(window.width))
        return first.ReadBlock(window.column / facts.blockWidth, window.row / facts.blockHeight, out) ==
               CE_None;
    return dataset->RasterIO(GF_Read, window.column, window.row, window.width, window.height, out,
                             window.width, window.height, GDT_Byte, channelCount, nullptr, channelCount,
                             static_cast<GSpacing>(strideBytes), 1, nullptr) == CE_None;
}

bool Scan::Opened::readConverted(const PxRect& window, int channelCount, std::uint8_t* out,
                                 std::size_t strideBytes)
{
    const auto bands = static_cast<std::size_t>(colour.bands());
    const std::size_t rowSamples = static_cast<std::size_t>(window.width) * bands;
    const int rowsAtOnce =
        static_cast<int>(std::clamp<std::size_t>(ReadAtOnceBytes / (rowSamples * sizeof(std::uint16_t)), 1,
                                                 static_cast<std::size_t>(window.height)));
    std::vector<std::uint16_t> samples(rowSamples * static_cast<std::size_t>(rowsAtOnce));
    for (int row = 0; row < window.height; row += rowsAtOnce) {
        const int rows = std::min(rowsAtOnce, window.height - row);
        if (dataset->RasterIO(GF_Read, window.column, window.row + row, window.width, rows, samples.data(),
                              window.width, rows, GDT_UInt16, static_cast<int>(bands), nullptr,
                              static_cast<GSpacing>(bands * 2), static_cast<GSpacing>(rowSamples * 2), 2,
                              nullptr) != CE_None)
            return false;
        for (int i = 0; i < rows; ++i)
            convertSamples(colour, samples.data() + static_cast<std::size_t>(i) * rowSamples,
                           static_cast<std::size_t>(window.width), channelCount,
                           out + static_cast<std::size_t>(row + i) * strideBytes);
    }
    return true;
}

/// The first block in `window` that does not decode, in words.
std::string Scan::Opened::damageIn(const PxRect& window)
{
    GDALRasterBand& first = *dataset->GetRasterBand(1);
    std::vector<std::uint16_t> block(static_cast<std::size_t>(facts.blockWidth) *
                                     static_cast<std::size_t>(facts.blockHeight));
    for (int row = window.row / facts.blockHeight; row * facts.blockHeight < window.row + window.height;
         ++row)
        for (int column = window.column / facts.blockWidth;
             column * facts.blockWidth < window.column + window.width; ++column) {
            if (first.ReadBlock(column, row, block.data()) == CE_None)
                continue;
            const int left = column * facts.blockWidth, top = row * facts.blockHeight;
            return spanWords("rows", top, std::min(facts.blockHeight, facts.heightPx - top)) + ", " +
                   spanWords("columns", left, std::min(facts.blockWidth, facts.widthPx - left));
        }
    return spanWords("rows", window.row, window.height) + ", " +
           spanWords("columns", window.column, window.width);
}

Scan::Scan(std::unique_ptr<Opened> opened) : m_opened(std::move(opened)) {}
Scan::Scan(Scan&&) noexcept = default;
Scan& Scan::operator=(Scan&&) noexcept = default;
Scan::~Scan() = default;

const ScanFacts& Scan::facts() const
{
    return m_opened->facts;
}
const std::filesystem::path& Scan::file() const
{
    return m_opened->file;
}
int Scan::channels() const
{
    return m_opened->colour.hasColour() ? 3 : 1;
}

Result<Scan> Scan::open(const std::filesystem::path& file)
{
    const Result<ScanFileFacts> fileFacts = inspectScanFile(file);
    if (!fileFacts)
        return fileFacts.error();
    Result<Dataset> dataset = openDataset(file, fileFacts->format);
    if (!dataset)
        return dataset.error();
    const GdalSession session;
    if (const Result<void> size = checkSize(**dataset, file); !size)
        return size.error();
    if (fileFacts->format == ScanFormat::Tiff)
        if (const Result<void> complete = checkTiffComplete(**dataset, file); !complete)
            return complete.error();
    Result<ScanColour> colour = colourOf(**dataset, file);
    if (!colour)
        return colour.error();
    auto opened = std::make_unique<Opened>();
    opened->file = file;
    opened->facts = factsOf(**dataset, *fileFacts, *colour);
    opened->colour = std::move(*colour);
    opened->dataset = std::move(*dataset);
    return Scan(std::move(opened));
}

Result<void> Scan::checkWindow(const PxRect& window) const
{
    const ScanFacts& facts = m_opened->facts;
    if (window.column >= 0 && window.row >= 0 && window.width >= 1 && window.height >= 1 &&
        window.width <= facts.widthPx - window.column && window.height <= facts.heightPx - window.row)
        return {};
    return badScan(file(), "the part asked for (" + spanWords("columns", window.column, window.width) +
                               ", " + spanWords("rows", window.row, window.height) +
                               ") is not within its " + std::to_string(facts.widthPx) + " x " +
                               std::to_string(facts.heightPx) + " pixels");
}

Result<void> Scan::readPixels(const PxRect& window, int channelCount, std::uint8_t* out,
                              std::size_t strideBytes) const
{
    if (const Result<void> within = checkWindow(window); !within)
        return within.error();
    const GdalSession session;
    const bool done = m_opened->plainBytes(channelCount)
                          ? m_opened->readPlain(window, channelCount, out, strideBytes)
                          : m_opened->readConverted(window, channelCount, out, strideBytes);
    if (done)
        return {};
    return Error{ErrorCode::System, file().string() + ": " + m_opened->damageIn(window) +
                                        " cannot be read (" + session.firstFailure() + ")"};
}

} // namespace inkpeg
