// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/LaidFile.h"

#include <cerrno>
#include <csignal>
#include <cstring>
#include <fstream>

#include <fcntl.h>
#include <unistd.h>

#include "core/base/Text.h"

namespace inkpeg {
namespace fs = std::filesystem;
namespace {

Result<void> syncFolder(const fs::path& folder)
{
    const int descriptor = ::open(folder.c_str(), O_RDONLY | O_CLOEXEC);
    const int failed = descriptor < 0 || ::fsync(descriptor) != 0 ? errno : 0;
    if (descriptor >= 0)
        ::close(descriptor);
    if (failed)
        return Error{ErrorCode::System,
                     folder.string() + ": cannot be synced (" + std::strerror(failed) + ")"};
    return {};
}

/// Takes away what a process that is gone has left of the same output.
void removeRemainsOf(const fs::path& output)
{
    const std::string begin = "." + output.filename().string() + ".";
    std::error_code ignored;
    for (const auto& entry : fs::directory_iterator(output.parent_path(), ignored)) {
        const std::string name = entry.path().filename().string();
        if (!name.starts_with(begin) || !name.ends_with(".part"))
            continue;
        const auto process =
            parseWhole(std::string_view(name).substr(begin.size(), name.size() - begin.size() - 5));
        if (process && *process > 0 && ::kill(static_cast<pid_t>(*process), 0) != 0 && errno == ESRCH)
            fs::remove(entry.path(), ignored);
    }
}

Error cancelled(const fs::path& output)
{
    return {ErrorCode::Cancelled, output.string() + ": laying was stopped"};
}

/// Directories and arrays begin at even places; tiles may as well.
std::uint64_t even(std::uint64_t value)
{
    return value + value % 2;
}

} // namespace

LaidFile::LaidFile(const fs::path& output, const LayGrid& grid, const LaySettings& settings,
                   TiffSkeleton skeleton)
    : m_output(fs::absolute(output)),
      m_temporary(m_output.parent_path() /
                  ("." + m_output.filename().string() + "." + std::to_string(::getpid()) + ".part")),
      m_grid(grid), m_cloud(settings.cloudOptimised), m_worldFile(settings.worldFile),
      m_skeleton(std::move(skeleton)), m_end(m_cloud ? 0 : even(m_skeleton.bytes.size()))
{
    for (const TiffLevel& level : m_skeleton.levels)
        m_places.emplace_back(level.tiles());
}

LaidFile::~LaidFile()
{
    std::error_code ignored;
    if (!m_renamed)
        fs::remove(m_temporary, ignored);
}

Error LaidFile::trouble(const Error& error) const
{
    if (error.code == ErrorCode::OutOfSpace)
        return {ErrorCode::OutOfSpace, m_output.string() +
                                           ": there is no room to write the laid film; free some space or "
                                           "choose another folder"};
    return {error.code, m_output.string() + ": the laid film cannot be written (" + error.message + ")"};
}

Result<std::unique_ptr<LaidFile>> LaidFile::create(const fs::path& output, const LayGrid& grid,
                                                   int channels, const std::string& crs,
                                                   const LaySettings& settings)
{
    Result<TiffSkeleton> skeleton = makeSkeleton(grid, channels, crs, settings);
    if (!skeleton)
        return skeleton.error();
    std::unique_ptr<LaidFile> file(new LaidFile(output, grid, settings, std::move(*skeleton)));
    removeRemainsOf(file->m_output);
    Result<void> made = file->m_file.create(file->m_temporary);
    if (made && file->m_cloud)
        made = file->m_unordered.createNameless(file->m_temporary.parent_path());
    if (made && !file->m_cloud) // the room for the directory is taken at once
        made = file->m_file.write(0, file->m_skeleton.bytes.data(), file->m_skeleton.bytes.size());
    if (!made)
        return file->trouble(made.error());
    return file;
}

Result<void> LaidFile::write(std::size_t level, std::size_t tile, std::span<const std::uint8_t> packed)
{
    if (packed.empty())
        return Error{ErrorCode::System,
                     m_output.string() + ": a tile could not be packed; is there memory?"};
    const std::uint64_t offset = m_end.fetch_add(even(packed.size()));
    m_places[level][tile] = {offset, static_cast<std::uint32_t>(packed.size())};
    RawFile& file = m_cloud ? m_unordered : m_file;
    if (Result<void> written = file.write(offset, packed.data(), packed.size()); !written)
        return trouble(written.error());
    return {};
}

/// The smallest overview first, the picture last, rows from the top; before each tile its size, after it
/// its last four bytes again, as the header says (layoutWords).
Result<void> LaidFile::arrange(const Progress& progress)
{
    constexpr std::size_t Around = 4;
    std::uint64_t end = even(m_skeleton.bytes.size());
    std::vector<std::uint8_t> block;
    for (std::size_t level = m_places.size(); level-- > 0;)
        for (std::size_t i = 0; i < m_places[level].size(); ++i) {
            Place& place = m_places[level][i];
            if (i % 256 == 0 && !report(progress, double(i) / double(m_places[level].size())))
                return cancelled(m_output);
            const std::size_t size = place.bytes;
            block.resize(size + 2 * Around);
            if (size < Around || !m_unordered.read(place.offset, block.data() + Around, size))
                return trouble({ErrorCode::System, "a tile cannot be read back"});
            std::memcpy(block.data(), &place.bytes, Around);
            std::memcpy(block.data() + Around + size, block.data() + size, Around);
            if (Result<void> written = m_file.write(end, block.data(), block.size()); !written)
                return trouble(written.error());
            place.offset = end + Around;
            end += even(block.size());
        }
    return {};
}

Result<void> LaidFile::writeDirectory()
{
    for (std::size_t level = 0; level < m_places.size(); ++level)
        for (std::size_t tile = 0; tile < m_places[level].size(); ++tile) {
            const Place& place = m_places[level][tile];
            if (place.offset == 0)
                return trouble({ErrorCode::System, "a tile has not been laid"});
            if (Result<void> placed = m_skeleton.place(level, tile, place.offset, place.bytes); !placed)
                return trouble(placed.error());
        }
    Result<void> written = m_file.write(0, m_skeleton.bytes.data(), m_skeleton.bytes.size());
    if (written)
        written = m_file.sync();
    if (!written)
        return trouble(written.error());
    return {};
}

/// Six lines: pixel size and rotation, then the centre of the upper left pixel.
Result<void> LaidFile::writeWorldFile()
{
    fs::path file = m_output;
    file.replace_extension(".tfw");
    const fs::path temporary = m_temporary.string() + "-world";
    std::ofstream out(temporary);
    out << exact(m_grid.pixelM) << "\n0\n0\n"
        << exact(-m_grid.pixelM) << '\n'
        << exact(m_grid.upperLeft.east + m_grid.pixelM / 2) << '\n'
        << exact(m_grid.upperLeft.north - m_grid.pixelM / 2) << '\n';
    out.close();
    std::error_code failed;
    if (out)
        fs::rename(temporary, file, failed);
    if (!out || failed) {
        const Error error{!out && errno == ENOSPC ? ErrorCode::OutOfSpace : ErrorCode::System,
                          file.string() + ": " + (out ? failed.message() : std::strerror(errno))};
        fs::remove(temporary, failed);
        return trouble(error);
    }
    return {};
}

Result<void> LaidFile::finish(const Progress& progress)
{
    if (m_cloud)
        if (Result<void> arranged = arrange(progress); !arranged)
            return arranged;
    if (Result<void> written = writeDirectory(); !written)
        return written;
    if (!report(progress, 1))
        return cancelled(m_output);
    if (m_worldFile)
        if (Result<void> written = writeWorldFile(); !written)
            return written;
    std::error_code failed;
    fs::rename(m_temporary, m_output, failed);
    if (failed)
        return trouble({ErrorCode::System, failed.message()});
    m_renamed = true;
    if (Result<void> synced = syncFolder(m_output.parent_path()); !synced)
        return trouble(synced.error());
    return {};
}

} // namespace inkpeg
