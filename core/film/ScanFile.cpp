// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/ScanFile.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <cstdint>
#include <cstring>
#include <fstream>
#include <string>
#include <vector>

#include "core/base/Units.h"

namespace inkpeg {
namespace {

using Bytes = std::vector<unsigned char>;

Bytes readAt(std::ifstream& in, std::uint64_t offset, std::size_t count)
{
    Bytes bytes(count);
    in.clear();
    in.seekg(static_cast<std::streamoff>(offset));
    in.read(reinterpret_cast<char*>(bytes.data()), static_cast<std::streamsize>(count));
    bytes.resize(static_cast<std::size_t>(in.gcount()));
    return bytes;
}

std::uint32_t bigEndian16(const unsigned char* p)
{
    return (std::uint32_t{p[0]} << 8) | p[1];
}

std::uint32_t bigEndian32(const unsigned char* p)
{
    return (bigEndian16(p) << 16) | bigEndian16(p + 2);
}

bool startsWith(const Bytes& bytes, std::initializer_list<unsigned char> signature)
{
    return bytes.size() >= signature.size() &&
           std::equal(signature.begin(), signature.end(), bytes.begin());
}

bool isTiff(const Bytes& b)
{
    return startsWith(b, {'I', 'I', 42, 0}) || startsWith(b, {'M', 'M', 0, 42}) ||
           startsWith(b, {'I', 'I', 43, 0}) || startsWith(b, {'M', 'M', 0, 43});
}

std::string whatItLooksLike(const Bytes& bytes)
{
    if (bytes.empty())
        return "the file is empty";
    if (startsWith(bytes, {'%', 'P', 'D', 'F'}))
        return "its content is a PDF";
    if (startsWith(bytes, {'P', 'K', 3, 4}))
        return "its content is a ZIP archive";
    const bool text = std::all_of(bytes.begin(), bytes.end(), [](unsigned char c) {
        return c >= 0x20 ? c != 0x7f : std::isspace(c) != 0;
    });
    return text ? "its content is text" : "its content is of an unknown kind";
}

Error cutShort(const std::filesystem::path& file, const char* format, const char* missing)
{
    return {ErrorCode::BadInput, file.string() + ": this " + format + " file is cut short (" + missing +
                                     "); copy it again or scan the sheet again"};
}

/// Chunks in turn: length, name, data, check sum.
Result<ScanFileFacts> walkPng(std::ifstream& in, std::uint64_t size, const std::filesystem::path& file)
{
    ScanFileFacts facts{ScanFormat::Png, 0, 0};
    for (std::uint64_t at = 8; at + 12 <= size;) {
        const Bytes head = readAt(in, at, 17);
        const std::uint64_t length = bigEndian32(head.data());
        if (at + 12 + length > size)
            break;
        if (std::memcmp(&head[4], "IEND", 4) == 0)
            return facts;
        if (std::memcmp(&head[4], "pHYs", 4) == 0 && length == 9) {
            const Bytes data = readAt(in, at + 8, 9);
            if (data[8] == 1) { // pixels per metre
                facts.dpiX = bigEndian32(&data[0]) * MillimetresPerInch / 1000.0;
                facts.dpiY = bigEndian32(&data[4]) * MillimetresPerInch / 1000.0;
            }
        }
        at += 12 + length;
    }
    return cutShort(file, "PNG", "its end chunk is missing");
}

void takeJfifDensity(const Bytes& segment, ScanFileFacts& facts)
{
    if (segment.size() < 12 || std::memcmp(segment.data(), "JFIF", 5) != 0)
        return;
    const double perInch = segment[7] == 1 ? 1.0 : segment[7] == 2 ? MillimetresPerInch / 10.0 : 0.0;
    facts.dpiX = bigEndian16(&segment[8]) * perInch;
    facts.dpiY = bigEndian16(&segment[10]) * perInch;
}

/// Segments up to the start of the scan data, then the end marker near the end of the file. The search
/// stays behind the start of the data, because an embedded thumbnail has an end marker of its own.
Result<ScanFileFacts> walkJpeg(std::ifstream& in, std::uint64_t size, const std::filesystem::path& file)
{
    ScanFileFacts facts{ScanFormat::Jpeg, 0, 0};
    std::uint64_t at = 2;
    while (at + 4 <= size) {
        const Bytes head = readAt(in, at, 4);
        if (head[0] != 0xff)
            return cutShort(file, "JPEG", "a marker is missing where one is due");
        if (head[1] == 0xff) { // fill byte
            ++at;
            continue;
        }
        const std::uint64_t length = bigEndian16(&head[2]);
        if (head[1] == 0xe0)
            takeJfifDensity(
                readAt(in, at + 4, static_cast<std::size_t>(std::max<std::uint64_t>(length, 2) - 2)),
                facts);
        at += 2 + length;
        if (head[1] == 0xda)
            break;
    }
    constexpr std::uint64_t TailLength = 65536; // room for what some scanners append after the picture
    const std::uint64_t tailStart = std::max(at, size > TailLength ? size - TailLength : 0);
    if (tailStart < size) {
        const Bytes tail = readAt(in, tailStart, static_cast<std::size_t>(size - tailStart));
        constexpr std::array<unsigned char, 2> EndOfImage{0xff, 0xd9};
        if (std::search(tail.begin(), tail.end(), EndOfImage.begin(), EndOfImage.end()) != tail.end())
            return facts;
    }
    return cutShort(file, "JPEG", "its end marker is missing");
}

} // namespace

Result<ScanFileFacts> inspectScanFile(const std::filesystem::path& file)
{
    std::error_code trouble;
    if (!std::filesystem::exists(file, trouble))
        return Error{ErrorCode::NotFound, file.string() + ": there is no such scan"};
    if (!std::filesystem::is_regular_file(file, trouble))
        return Error{ErrorCode::BadInput,
                     file.string() + ": this is not a file; a scan is a TIFF, JPEG or PNG file"};
    std::ifstream in(file, std::ios::binary);
    if (!in)
        return Error{ErrorCode::System,
                     file.string() + ": the scan cannot be read (" + std::strerror(errno) + ")"};
    const std::uint64_t size = std::filesystem::file_size(file, trouble);
    const Bytes start = readAt(in, 0, 512);
    if (isTiff(start))
        return ScanFileFacts{ScanFormat::Tiff, 0, 0};
    if (startsWith(start, {0xff, 0xd8, 0xff}))
        return walkJpeg(in, size, file);
    if (startsWith(start, {0x89, 'P', 'N', 'G', 0x0d, 0x0a, 0x1a, 0x0a}))
        return walkPng(in, size, file);
    return Error{ErrorCode::BadInput, file.string() + ": " + whatItLooksLike(start) +
                                          "; a scan must be a TIFF, JPEG or PNG file"};
}

} // namespace inkpeg
