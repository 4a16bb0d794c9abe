// SPDX-License-Identifier: GPL-3.0-or-later
// The registers as the project holds them, line by line, and written as CSV.
#pragma once

#include <string>
#include <vector>

#include "core/records/RegisterFields.h"
#include "core/records/RegisterTable.h"
#include "core/store/Project.h"

namespace inkpeg {

/// The lines of a register in the order of their rows. Line as for registerFields.
template<typename Line>
std::vector<Line> registerLines(const Project& project);

/// A register as a file that importRegister takes: UTF-8, commas, CR LF; scans from the project's folder.
/// Cells that a spreadsheet would run as a formula are written as csvField says.
std::string registerCsv(const Project& project, RegisterKind kind);

/// A register as text, in the order of its numbers; columns as in its CSV.
RegisterTable registerTable(const Project& project, RegisterKind kind);

} // namespace inkpeg
