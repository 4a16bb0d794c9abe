// SPDX-License-Identifier: GPL-3.0-or-later
// What stands around the ground on a print-ready page: grid or level ticks, scale bar, north, key, title
// block.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "app/print/PlanField.h"

namespace inkpeg {

/// One line of the key: draws its sample into a box of KeySampleMm x KeyRowMm.
struct KeyRow {
    std::string words;
    std::optional<ArtPen> line;
    std::optional<PointKind> point;
    bool level = false;
    std::string label; ///< of a context's number, e.g. "[n]"
};

inline constexpr double KeySampleMm = 11, KeyRowMm = 4.4;

/// Of what is shown and nothing else.
std::vector<KeyRow> keyRows(const UsedConventions& used);

/// A length of 1, 2 or 5 times a power of ten: the largest that is at most `length`.
double roundLengthBelow(double length);

/// Crosses and coordinates of the site grid; for a section, levels on both sides, distances below, and the
/// datum.
void drawGrid(const SheetContent& content, const FieldMap& map, PlanSheet& sheet);

/// The strip below the field.
/// Shape:  `band` as wide as the frame.
void drawBand(const SheetContent& content, const SheetWords& words, const SheetSettings& settings,
              const std::vector<KeyRow>& key, const PageBox& band, PlanSheet& sheet);

/// Width of the title block in a band of this width.
double titleBlockWidthMm(double bandWidthMm);
/// Columns of the key in a band of this width, and the height that `rows` lines of key ask for.
int keyColumns(double bandWidthMm);
double bandHeightMm(double bandWidthMm, std::size_t rows);

} // namespace inkpeg
