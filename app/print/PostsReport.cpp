// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/print/PostsReport.h"

#include <algorithm>
#include <numbers>

#include "core/base/Text.h"
#include "core/checks/UprightTimbers.h"
#include "core/handover/Geodata.h"
#include "core/store/SurveyedPosts.h"

namespace inkpeg {

namespace {

ReportTable placesTable(const std::vector<PostPlace>& places, const std::string& words, bool onLine)
{
    ReportTable table;
    table.heading = onLine ? "Along the best line" : "Round the best arc";
    table.notes = {words + ".",
                   onLine
                       ? "Off it: to the left of the line's direction positive. Total least squares; both "
                         "coordinates count alike."
                       : "Off it: outside positive. Geometric least squares; both coordinates count alike.",
                   "Whether posts belong together is for the excavator to judge: any two posts make a row, "
                   "any three a ring."};
    table.columns = {{"timber", 2}, {"along m", 1, true}, {"spacing m", 1, true}, {"off it mm", 1, true}};
    for (const PostPlace& place : places)
        table.rows.push_back({{place.name, fixed(place.alongM, 3),
                               place.spacingM > 0 ? fixed(place.spacingM, 3) : std::string(),
                               fixed(place.residualM * 1000, 1)},
                              false});
    return table;
}

/// How each stands, or why that is not known.
ReportTable standingTable(const Project& project, const std::vector<PostPlace>& places)
{
    ReportTable table;
    table.heading = "How they stand";
    table.notes = {"Levels and length in metres, diameter in millimetres. Misfit: the recorded length less "
                   "that of the levels and the lean, in millimetres."};
    table.columns = {{"timber", 1.2},         {"context", 1},        {"top", 1, true},
                     {"bottom", 1, true},     {"length", 0.9, true}, {"misfit", 0.9, true},
                     {"diameter", 1.1, true}, {"lean", 2.2}};
    for (const PostPlace& place : places) {
        const auto timber = project.byKey<Timber>(place.name);
        ReportRow row{{place.name, timber ? timber->context : "", "", "", "", "", "", ""}, false};
        const Result<UprightTimber> post =
            timber ? standing(*timber) : Error{ErrorCode::NotFound, "not in the register"};
        if (post) {
            constexpr double Degrees = 180 / std::numbers::pi;
            row.cells[2] = fixed(post->top.levelM, 3);
            row.cells[3] = fixed(post->bottom.levelM, 3);
            row.cells[4] = fixed(post->lengthM, 2);
            row.cells[5] = post->lengthMisfitM ? fixed(*post->lengthMisfitM * 1000, 0) : "";
            row.cells[6] = post->diameterM > 0 ? fixed(post->diameterM * 1000, 0) : "";
            row.cells[7] = post->leanRad > 0 ? fixed(post->leanRad * Degrees, 0) + " degrees towards " +
                                                   fixed(post->leanBearingRad * Degrees, 0)
                                             : "upright";
        } else {
            table.notes.push_back(post.error().message + ".");
        }
        table.rows.push_back(std::move(row));
    }
    return table;
}

} // namespace

Result<TableReport> postsReport(const Project& project, const std::vector<std::string>& numbers,
                                PostShape shape)
{
    const Result<std::vector<AlignedPost>> posts = surveyedPosts(project, numbers);
    if (!posts)
        return posts.error();
    const ProjectFacts facts = project.facts();
    TableReport report{"Posts " + facts.siteCode,
                       facts.title.empty() ? facts.siteCode : facts.title,
                       handOverTime(project),
                       {}};
    const auto add = [&](const auto& fitted) {
        report.tables = {placesTable(fitted.posts, alignmentInWords(fitted), shape == PostShape::Line),
                         standingTable(project, fitted.posts)};
    };
    if (shape == PostShape::Line) {
        const Result<LineAlignment> line = alignOnLine(*posts);
        if (!line)
            return line.error();
        add(*line);
    } else {
        const Result<CircleAlignment> circle = alignOnCircle(*posts);
        if (!circle)
            return circle.error();
        add(*circle);
    }
    return report;
}

} // namespace inkpeg
