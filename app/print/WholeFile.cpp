// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/print/WholeFile.h"

#include <system_error>

#include <unistd.h>

#include "core/handover/StagedFolder.h"

namespace inkpeg {

Result<void> writeWhole(const std::filesystem::path& file, const std::string& bytes)
{
    const std::filesystem::path part = file.string() + ".part-" + std::to_string(::getpid());
    std::error_code failed;
    const Result<void> written = writeFile(part, bytes);
    if (written)
        std::filesystem::rename(part, file, failed);
    if (!written || failed) {
        std::error_code ignored;
        std::filesystem::remove(part, ignored);
    }
    if (failed)
        return Error{ErrorCode::System, file.string() + ": cannot be put in place: " + failed.message()};
    return written;
}

} // namespace inkpeg
