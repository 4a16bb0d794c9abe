// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/FileHeader.h"

#include <algorithm>
#include <fstream>
#include <string>

#include <unistd.h>

#include "core/base/Text.h"
#include "core/store/Database.h"

namespace inkpeg {

namespace {

/// What a file that is no SQLite database looks like, in words.
std::string looksLike(const std::string& head)
{
    const auto begins = [&](std::string_view mark) { return std::string_view(head).starts_with(mark); };
    if (head.empty())
        return "an empty file";
    if (begins("II*") || begins(std::string_view("MM\0*", 4)))
        return "a TIFF image";
    if (begins("\xFF\xD8"))
        return "a JPEG image";
    if (begins("\x89PNG"))
        return "a PNG image";
    if (begins("%PDF"))
        return "a PDF document";
    if (begins("PK"))
        return "a ZIP file";
    return isUtf8(head.substr(0, head.size() - std::min<std::size_t>(head.size(), 3))) &&
                   head.find('\0') == std::string::npos
               ? "a text file"
               : "some other file";
}

/// Asked of SQLite, for to close a file that was opened past it would let go of every lock that this process
/// has on it (POSIX), and another program's reader could then take the log away from under a writer here.
/// Source: SQLite, How To Corrupt An SQLite Database File, section 2.2.
bool mayBeDatabase(const std::filesystem::path& file)
{
    const Result<Database> database = Database::open(file, SQLITE_OPEN_READONLY);
    if (!database)
        return true; // what is wrong with it is told when it is opened in earnest
    (void)database->ask("SELECT count(*) FROM sqlite_master");
    return (sqlite3_errcode(database->handle()) & 0xFF) != SQLITE_NOTADB;
}

} // namespace

Result<void> checkHeader(const std::filesystem::path& file)
{
    std::error_code code;
    if (!std::filesystem::exists(file, code))
        return Error{ErrorCode::NotFound, file.string() + ": there is no such file"};
    if (std::filesystem::is_directory(file, code))
        return Error{ErrorCode::BadInput, file.string() + ": is a folder, not a project file"};
    if (::access(file.c_str(), R_OK) != 0)
        return Error{ErrorCode::System, file.string() + ": cannot be opened for reading"};
    if (std::filesystem::file_size(file, code) != 0 && !code && mayBeDatabase(file))
        return {};
    std::ifstream stream(file, std::ios::binary);
    std::string head(100, '\0');
    stream.read(head.data(), static_cast<std::streamsize>(head.size()));
    head.resize(static_cast<std::size_t>(stream.gcount()));
    if (!head.starts_with(std::string("SQLite format 3\0", 16)))
        return Error{ErrorCode::BadInput,
                     file.string() + ": is " + looksLike(head) +
                         ", not a project file; a project file is a GeoPackage made with "
                         "\"inkpeg new\""};
    return {};
}

} // namespace inkpeg
