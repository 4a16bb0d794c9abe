// SPDX-License-Identifier: GPL-3.0-or-later
// Levels on drawings and the points of the level books whose levels they are.
//
//   const Result<WrittenLevel> level = readWrittenLevel(project, "41.25 L12");
#pragma once

#include <string>
#include <vector>

#include "core/store/Project.h"

namespace inkpeg {

/// Metres above the datum, and the name of the levelled point; none = only written.
struct WrittenLevel {
    double levelM = 0;
    std::string point;
};

/// "41.25"; "41.25 L12", the level as written of a levelled point, which the check then holds against its
/// book; or "L12" alone, whose level the books give. "m" after the figures is read over.
/// Errors: BadInput (neither a number nor a levelled point), NotFound (a point that no book has).
Result<WrittenLevel> readWrittenLevel(const Project& project, const std::string& text);

/// As readWrittenLevel reads it, to the tenth of a millimetre, with two decimals at least.
std::string writtenLevelText(const SpotLevel& level);

/// Names of the points that the level books give a level, each once, in the order of the books.
std::vector<std::string> levelledPoints(const Project& project);

/// Says which levelled point a level on a drawing is: the one written as `levelM` to the centimetre.
/// Errors: NotFound (drawing; no such level on it; no book has the point); Conflict (several such levels).
Result<Change> nameSpotLevel(Project& project, const std::string& drawing, double levelM,
                             const std::string& point, const std::string& why = {});

} // namespace inkpeg
