// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/SheetScan.h"

#include <algorithm>
#include <cmath>

#include "core/base/Digest.h"
#include "core/base/Text.h"
#include "core/film/Scan.h"

namespace inkpeg {

namespace {

constexpr double DpiDisagreement = 0.01;

Result<std::filesystem::path> findScan(const std::string& written,
                                       const std::vector<std::filesystem::path>& folders)
{
    std::string plain = written;
    std::replace(plain.begin(), plain.end(), '\\', '/');
    std::string looked;
    for (const std::filesystem::path& folder : folders)
        for (const std::string& name : {written, plain}) {
            const std::filesystem::path candidate = folder / name;
            std::error_code code;
            if (std::filesystem::is_regular_file(candidate, code))
                return std::filesystem::weakly_canonical(candidate);
            if (name == written)
                looked += (looked.empty() ? "" : ", ") + folder.string();
        }
    return Error{ErrorCode::NotFound, "there is no scan " + written + " in " + looked};
}

} // namespace

Result<void> readSheetScan(Sheet& sheet, const std::string& written, std::optional<double> dpi,
                           const std::filesystem::path& projectFolder,
                           const std::vector<std::filesystem::path>& folders,
                           std::vector<std::string>& remarks)
{
    const Result<std::filesystem::path> file = findScan(written, folders);
    if (!file)
        return file.error();
    const Result<Scan> scan = Scan::open(*file);
    if (!scan)
        return scan.error();
    const ScanFacts& facts = scan->facts();
    const bool fileSays = facts.dpiX > 0 && facts.dpiY > 0;
    if (!fileSays && !dpi)
        return Error{ErrorCode::BadInput,
                     "neither " + written + " nor the column dpi says the resolution of the scan"};
    const bool agree = fileSays && (!dpi || (std::abs(*dpi / facts.dpiX - 1) <= DpiDisagreement &&
                                             std::abs(*dpi / facts.dpiY - 1) <= DpiDisagreement));
    if (fileSays && !agree)
        remarks.push_back("sheet " + sheet.number + ": the scan says " + fixed(facts.dpiX, 1) +
                          " dpi, the register " + fixed(*dpi, 1) + "; the register's is taken");
    const Result<std::string> digest = digestOfFile(*file);
    if (!digest)
        return digest.error();
    sheet.scanFile =
        file->lexically_proximate(std::filesystem::weakly_canonical(projectFolder)).generic_string();
    sheet.scanSha256 = *digest;
    sheet.frame.widthPx = facts.widthPx;
    sheet.frame.heightPx = facts.heightPx;
    sheet.frame.dpiX = agree ? facts.dpiX : *dpi;
    sheet.frame.dpiY = agree ? facts.dpiY : *dpi;
    return {};
}

} // namespace inkpeg
