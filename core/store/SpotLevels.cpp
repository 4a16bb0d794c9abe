// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/SpotLevels.h"

#include <algorithm>
#include <cmath>

#include "core/base/Text.h"
#include "core/store/LevelFlow.h"

namespace inkpeg {

namespace {

/// The level that a point has in the first book that reduces and holds it.
std::optional<double> levelInBooks(const Project& project, const std::string& point)
{
    for (const auto& [book, reduced] : reducedBooks(project))
        if (reduced)
            if (const auto level = reduced->levelOfM(point))
                return level;
    return std::nullopt;
}

Error unknownPoint(const std::string& point)
{
    return {ErrorCode::NotFound, "no level book that can be reduced has a point \"" + point +
                                     "\"; take the book in first, or write the level alone"};
}

} // namespace

Result<WrittenLevel> readWrittenLevel(const Project& project, const std::string& text)
{
    const std::string written(trimmed(text));
    const std::size_t gap = written.find_first_of(" \t");
    if (const auto level = gap != std::string::npos ? levelInBooks(project, written) : std::nullopt)
        return WrittenLevel{*level, written}; // a name may begin with a number: "12 a"
    if (const auto level = parseNumber(written.substr(0, gap))) {
        const std::string point(gap == std::string::npos ? std::string_view()
                                                         : trimmed(std::string_view(written).substr(gap)));
        if (point.empty() || point == "m")
            return WrittenLevel{*level, {}};
        if (!levelInBooks(project, point))
            return unknownPoint(point);
        return WrittenLevel{*level, point};
    }
    if (const auto level = levelInBooks(project, written); level && !written.empty())
        return WrittenLevel{*level, written};
    return Error{ErrorCode::BadInput,
                 "\"" + written +
                     "\" is no level and no point of a level book; write metres above the "
                     "datum, e.g. 41.25, or the name of a levelled point"};
}

std::string writtenLevelText(const SpotLevel& level)
{
    std::string figures = fixed(level.levelM, 4);
    for (int dropped = 0; dropped < 2 && figures.back() == '0'; ++dropped)
        figures.pop_back();
    return level.point.empty() ? figures : figures + " " + level.point;
}

std::vector<std::string> levelledPoints(const Project& project)
{
    std::vector<std::string> points;
    for (const auto& [book, reduced] : reducedBooks(project))
        if (reduced)
            for (const ReducedLevel& row : reduced->rows)
                if (std::ranges::find(points, row.booked.point) == points.end())
                    points.push_back(row.booked.point);
    return points;
}

Result<Change> nameSpotLevel(Project& project, const std::string& drawingNumber, double levelM,
                             const std::string& point, const std::string& why)
{
    const std::optional<Drawing> drawing = project.byKey<Drawing>(drawingNumber);
    if (!drawing)
        return Error{ErrorCode::NotFound, "drawing \"" + drawingNumber + "\" is not in the register"};
    if (!levelInBooks(project, point))
        return unknownPoint(point);
    constexpr double HalfCentimetreM = 0.005 + 1e-9;
    std::vector<SpotLevel> there = project.ofDrawing<SpotLevel>(drawing->id);
    std::erase_if(there,
                  [&](const SpotLevel& spot) { return std::abs(spot.levelM - levelM) > HalfCentimetreM; });
    const std::string written = fixed(levelM, 2) + " on drawing " + drawingNumber;
    if (there.empty())
        return Error{ErrorCode::NotFound, "there is no level " + written};
    if (there.size() > 1)
        return Error{ErrorCode::Conflict, "there are " + std::to_string(there.size()) + " levels " +
                                              written +
                                              "; say in the window which of them is meant (double click)"};
    there.front().point = point;
    return project.act(
        "level " + written + " is point " + point, [&](Editor& edit) { return edit.put(there.front()); },
        why);
}

} // namespace inkpeg
