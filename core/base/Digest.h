// SPDX-License-Identifier: GPL-3.0-or-later
// SHA-2 digests (FIPS 180-4) of bytes and files, computed by OpenSSL.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>

#include "core/base/Result.h"

namespace inkpeg {

enum class DigestKind { Sha256, Sha512 };

/// Lower-case hexadecimal digest of `bytes`.
std::string digestOf(std::string_view bytes, DigestKind kind = DigestKind::Sha256);

/// Lower-case hexadecimal digest of a file's content, read in blocks.
/// Errors: NotFound, System.
Result<std::string> digestOfFile(const std::filesystem::path& file, DigestKind kind = DigestKind::Sha256);

} // namespace inkpeg
