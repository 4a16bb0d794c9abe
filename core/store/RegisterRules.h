// SPDX-License-Identifier: GPL-3.0-or-later
// The rules of each register: what the project holds, what makes a line good, how it is put.
#pragma once

#include <filesystem>

#include "core/store/RegisterPlan.h"

namespace inkpeg {

/// The plan for a table read from `csv`. Keeps `project` for as long as the plan lives.
RegisterPlan planOf(RegisterKind kind, const Project& project, const std::filesystem::path& csv,
                    const CsvTable& table, const std::vector<std::optional<std::size_t>>& places,
                    const Progress& progress);

/// The plan for level books: each is taken as a whole.
RegisterPlan planLevels(const Project& project, const std::filesystem::path& csv, const CsvTable& table,
                        const std::vector<std::optional<std::size_t>>& places, const Progress& progress);

} // namespace inkpeg
