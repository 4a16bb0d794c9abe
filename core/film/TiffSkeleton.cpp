// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/TiffSkeleton.h"

#include <algorithm>
#include <atomic>
#include <bit>
#include <cstring>

#include <cpl_string.h>
#include <cpl_vsi.h>
#include <gdal_priv.h>
#include <ogr_spatialref.h>

#include "core/film/GdalSession.h"

namespace inkpeg {
namespace {

static_assert(std::endian::native == std::endian::little, "the file is written in this machine's order");

Result<OGRSpatialReference> readCrs(const std::string& crs)
{
    OGRSpatialReference reference;
    reference.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    const char* const own[] = {"ALLOW_NETWORK_ACCESS=NO", "ALLOW_FILE_ACCESS=NO", nullptr};
    if (crs.empty() || reference.SetFromUserInput(crs.c_str(), own) != OGRERR_NONE)
        return Error{ErrorCode::BadInput,
                     "the CRS \"" + crs + "\" is not known; give one like EPSG:25832 or its WKT"};
    return reference;
}

CPLStringList creationOptions(const LaySettings& settings)
{
    CPLStringList options;
    options.SetNameValue("TILED", "YES");
    options.SetNameValue("BLOCKXSIZE", std::to_string(LaidTilePx).c_str());
    options.SetNameValue("BLOCKYSIZE", std::to_string(LaidTilePx).c_str());
    options.SetNameValue("ALPHA", "NON-PREMULTIPLIED");
    options.SetNameValue("GEOTIFF_VERSION", "1.1");
    options.SetNameValue("BIGTIFF", "IF_SAFER");
    options.SetNameValue("SPARSE_OK", "TRUE"); // directories only
    if (settings.packing != Packing::None)
        options.SetNameValue("COMPRESS", settings.packing == Packing::Zstd ? "ZSTD" : "DEFLATE");
    return options;
}

std::vector<int> overviewFactors(const LayGrid& grid)
{
    std::vector<int> factors;
    for (int factor = 2; std::max(grid.widthPx, grid.heightPx) > LaidTilePx * factor / 2; factor *= 2)
        factors.push_back(factor);
    return factors;
}

/// Reads and changes numbers of the skeleton at places that are checked.
class Bytes {
public:
    explicit Bytes(std::vector<std::uint8_t>& bytes) : m_bytes(bytes) {}

    std::uint64_t read(std::uint64_t at, std::size_t size)
    {
        std::uint64_t value = 0;
        if (!covers(at, size))
            return 0;
        std::memcpy(&value, m_bytes.data() + at, size);
        return value;
    }
    void write(std::uint64_t at, std::size_t size, std::uint64_t value)
    {
        if (covers(at, size))
            std::memcpy(m_bytes.data() + at, &value, size);
    }
    bool sound() const { return m_sound; }

private:
    bool covers(std::uint64_t at, std::size_t size)
    {
        m_sound = m_sound && size <= 8 && at <= m_bytes.size() && m_bytes.size() - at >= size;
        return m_sound;
    }
    std::vector<std::uint8_t>& m_bytes;
    bool m_sound = true;
};

/// Sizes that differ between TIFF and BigTIFF.
struct Kind {
    std::size_t pointer, entryCount, entry, valueAt;
    std::uint64_t headerBytes;
};
constexpr Kind Classic{4, 2, 12, 8, 8}, Big{8, 8, 20, 12, 16};

std::size_t sizeOfType(std::uint64_t type)
{
    constexpr std::size_t sizes[] = {0, 1, 1, 2, 4, 8, 1, 1, 2, 4, 8, 4, 8, 4, 0, 0, 8, 8, 8};
    return type < std::size(sizes) ? sizes[type] : 0;
}

struct Entry {
    std::uint64_t tag = 0, count = 0;
    std::size_t size = 0;        ///< of one value
    std::uint64_t valuesAt = 0;  ///< where the values are
    std::uint64_t pointerAt = 0; ///< where it says so, or 0 when they stand in the entry
};

Entry entryAt(Bytes& bytes, const Kind& kind, std::uint64_t at)
{
    Entry entry{bytes.read(at, 2), bytes.read(at + 4, kind.pointer), sizeOfType(bytes.read(at + 2, 2)),
                at + kind.valueAt, 0};
    if (entry.count * entry.size > kind.pointer) {
        entry.pointerAt = entry.valuesAt;
        entry.valuesAt = bytes.read(entry.pointerAt, kind.pointer);
    }
    return entry;
}

/// Walks the directories. `visit` is told of each entry and the number of its directory, `link` of each
/// place that points to a directory.
template<typename Visit, typename Link>
void walk(Bytes& bytes, const Kind& kind, Visit visit, Link link)
{
    std::uint64_t pointerAt = kind.pointer == 4 ? 4 : 8;
    std::uint64_t directory = bytes.read(pointerAt, kind.pointer);
    for (std::size_t number = 0; directory != 0 && bytes.sound() && number < 64; ++number) {
        link(pointerAt);
        const std::uint64_t entries = bytes.read(directory, kind.entryCount);
        for (std::uint64_t i = 0; i < entries && bytes.sound(); ++i)
            visit(number, entryAt(bytes, kind, directory + kind.entryCount + i * kind.entry));
        pointerAt = directory + kind.entryCount + entries * kind.entry;
        directory = bytes.read(pointerAt, kind.pointer);
    }
}

/// Puts `insert` between header and first directory; everything that points behind it moves along.
void insertAfterHeader(std::vector<std::uint8_t>& content, const Kind& kind, const std::string& insert)
{
    Bytes bytes(content);
    std::vector<std::uint64_t> pointers;
    walk(
        bytes, kind,
        [&](std::size_t, const Entry& entry) {
            if (entry.pointerAt != 0)
                pointers.push_back(entry.pointerAt);
        },
        [&](std::uint64_t at) { pointers.push_back(at); });
    for (const std::uint64_t at : pointers)
        bytes.write(at, kind.pointer, bytes.read(at, kind.pointer) + insert.size());
    content.insert(content.begin() + static_cast<std::ptrdiff_t>(kind.headerBytes), insert.begin(),
                   insert.end());
}

/// What GDAL's readers look for at the head of a file made for reading over a network: how the blocks lie.
/// It is no part of TIFF, which lets anything stand there, nor asked for by OGC 21-026.
std::string layoutWords()
{
    const std::string words = "LAYOUT=IFDS_BEFORE_DATA\nBLOCK_ORDER=ROW_MAJOR\nBLOCK_LEADER=SIZE_AS_UINT4\n"
                              "BLOCK_TRAILER=LAST_4_BYTES_REPEATED\nKNOWN_INCOMPATIBLE_EDITION=NO\n ";
    std::string size = std::to_string(words.size());
    size.insert(0, 6 - size.size(), '0');
    std::string head = "GDAL_STRUCTURAL_METADATA_SIZE=" + size + " bytes\n" + words;
    if (head.size() % 2 != 0)
        head += ' '; // directories begin at even places
    return head;
}

Result<std::vector<TiffLevel>> levelsOf(std::vector<std::uint8_t>& content, const Kind& kind)
{
    constexpr std::uint64_t Width = 256, Height = 257, Offsets = 324, Counts = 325; // TIFF 6.0
    Bytes bytes(content);
    std::vector<TiffLevel> levels;
    bool whole = true;
    walk(
        bytes, kind,
        [&](std::size_t number, const Entry& entry) {
            levels.resize(number + 1);
            TiffLevel& level = levels[number];
            if (entry.tag == Width || entry.tag == Height) {
                const auto size = static_cast<int>(bytes.read(entry.valuesAt, entry.size));
                (entry.tag == Width ? level.widthPx : level.heightPx) = size;
                (entry.tag == Width ? level.tileColumns : level.tileRows) =
                    (size + LaidTilePx - 1) / LaidTilePx;
            } else if (entry.tag == Offsets || entry.tag == Counts) {
                (entry.tag == Offsets ? level.offsetsAt : level.countsAt) = entry.valuesAt;
                (entry.tag == Offsets ? level.offsetBytes : level.countBytes) = entry.size;
                whole = whole && entry.count == level.tiles(); // tags stand in order: the sizes are known
            }
        },
        [](std::uint64_t) {});
    for (const TiffLevel& level : levels)
        whole = whole && level.offsetBytes >= 4 && level.countBytes >= 2 &&
                level.offsetsAt + level.tiles() * level.offsetBytes <= content.size() &&
                level.countsAt + level.tiles() * level.countBytes <= content.size();
    if (levels.empty() || !whole || !bytes.sound())
        return Error{ErrorCode::System, "GDAL has written a TIFF directory of another shape than expected"};
    return levels;
}

/// The file as GDAL begins it, in memory.
Result<std::vector<std::uint8_t>> begunByGdal(const LayGrid& grid, int channels,
                                              const OGRSpatialReference& reference,
                                              const LaySettings& settings)
{
    static std::atomic<unsigned> number{0};
    const std::string name = "/vsimem/inkpeg-laid-" + std::to_string(number++) + ".tif";
    GdalSession session;
    const auto trouble = [&] {
        VSIUnlink(name.c_str());
        return Error{ErrorCode::System,
                     "GDAL cannot write the directory of the laid film (" + session.firstFailure() + ")"};
    };
    GDALDatasetUniquePtr dataset(GetGDALDriverManager()->GetDriverByName("GTiff")->Create(
        name.c_str(), grid.widthPx, grid.heightPx, channels + 1, GDT_Byte,
        creationOptions(settings).List()));
    if (!dataset)
        return trouble();
    double geotransform[6] = {grid.upperLeft.east, grid.pixelM, 0, grid.upperLeft.north, 0, -grid.pixelM};
    dataset->SetGeoTransform(geotransform);
    dataset->SetSpatialRef(&reference);
    dataset->SetMetadataItem("AREA_OR_POINT", "Area");
    if (!settings.laidFrom.empty())
        dataset->SetMetadataItem(LaidFromItem, settings.laidFrom.c_str());
    dataset->GetRasterBand(channels + 1)->SetColorInterpretation(GCI_AlphaBand);
    std::vector<int> factors = settings.overviews ? overviewFactors(grid) : std::vector<int>();
    CPLSetThreadLocalConfigOption("GDAL_TIFF_OVR_BLOCKSIZE", std::to_string(LaidTilePx).c_str());
    if (!factors.empty())
        dataset->BuildOverviews("NONE", static_cast<int>(factors.size()), factors.data(), 0, nullptr,
                                nullptr, nullptr);
    dataset.reset();
    CPLSetThreadLocalConfigOption("GDAL_TIFF_OVR_BLOCKSIZE", nullptr);
    vsi_l_offset size = 0;
    GByte* bytes = session.failed() ? nullptr : VSIGetMemFileBuffer(name.c_str(), &size, FALSE);
    if (bytes == nullptr)
        return trouble();
    std::vector<std::uint8_t> content(bytes, bytes + size);
    VSIUnlink(name.c_str());
    return content;
}

} // namespace

Result<void> TiffSkeleton::place(std::size_t level, std::size_t tile, std::uint64_t offset,
                                 std::uint64_t count)
{
    const TiffLevel& at = levels[level];
    const auto fits = [](std::uint64_t value, std::size_t size) {
        return size >= 8 || value >> (8 * size) == 0;
    };
    if (!fits(offset, at.offsetBytes) || !fits(count, at.countBytes))
        return Error{ErrorCode::System, "the laid film has grown beyond what its kind of TIFF can hold"};
    std::memcpy(bytes.data() + at.offsetsAt + tile * at.offsetBytes, &offset, at.offsetBytes);
    std::memcpy(bytes.data() + at.countsAt + tile * at.countBytes, &count, at.countBytes);
    return {};
}

Result<TiffSkeleton> makeSkeleton(const LayGrid& grid, int channels, const std::string& crs,
                                  const LaySettings& settings)
{
    const Result<OGRSpatialReference> reference = readCrs(crs);
    if (!reference)
        return reference.error();
    Result<std::vector<std::uint8_t>> content = begunByGdal(grid, channels, *reference, settings);
    if (!content)
        return content.error();
    const Kind& kind = content->size() > 2 && (*content)[2] == 43 ? Big : Classic;
    if (settings.cloudOptimised)
        insertAfterHeader(*content, kind, layoutWords());
    Result<std::vector<TiffLevel>> levels = levelsOf(*content, kind);
    if (!levels)
        return levels.error();
    return TiffSkeleton{std::move(*content), std::move(*levels)};
}

} // namespace inkpeg
