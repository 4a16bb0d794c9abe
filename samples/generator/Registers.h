// SPDX-License-Identifier: GPL-3.0-or-later
// The registers of the demo as CSV, and the truth as JSON.
#pragma once

#include <filesystem>

#include "samples/generator/Demo.h"

namespace inkpeg::demo {

/// Writes registers/*.csv (RFC 4180, UTF-8, comma, header row). Returns an empty text, or what went wrong.
std::string writeRegisters(const Demo& demo, const std::filesystem::path& folder);

/// Writes truth/<drawing>.json and truth/faults.json. Returns an empty text, or what went wrong.
std::string writeTruth(const Demo& demo, const std::filesystem::path& folder);

} // namespace inkpeg::demo
