// SPDX-License-Identifier: GPL-3.0-or-later
// Looks at the bytes of a scan before any library is asked to: what it is, and whether it is all there.
#pragma once

#include <filesystem>

#include "core/base/Result.h"

namespace inkpeg {

enum class ScanFormat { Tiff, Jpeg, Png };

struct ScanFileFacts {
    ScanFormat format = ScanFormat::Tiff;
    double dpiX = 0; ///< of JPEG and PNG, whose headers are walked here; 0 when the file does not say
    double dpiY = 0;
};

/// Tells the format by its first bytes, never by its name. JPEG and PNG files are walked to their end
/// marker; a TIFF's parts can lie in any order, so that its completeness is checked when its directory has
/// been read.
///
/// Errors: NotFound; BadInput (another kind of content, or cut short).
/// Source: TIFF 6.0, section 2; BigTIFF's version number 43; ISO/IEC 10918-1 annex B and JFIF 1.02 (JPEG);
///         W3C PNG second edition, clause 5 and 11.3.5.3 (pHYs).
Result<ScanFileFacts> inspectScanFile(const std::filesystem::path& file);

} // namespace inkpeg
