// SPDX-License-Identifier: GPL-3.0-or-later
// A level book as the project holds it: one record, and a row for each of its lines.
#pragma once

#include <string>
#include <vector>

#include "core/store/Project.h"

namespace inkpeg {

/// The readings of a book, in the order of their lines.
std::vector<LevelReading> readingsOf(const Project& project, const std::string& book);

/// Within an act: puts a book, and its readings in the place of those held.
Result<void> replaceReadings(Editor& edit, LevelBook book, const std::vector<LevelReading>& held,
                             std::vector<LevelReading> readings);

} // namespace inkpeg
