// SPDX-License-Identifier: GPL-3.0-or-later
#include <iomanip>
#include <numbers>
#include <optional>
#include <ostream>

#include <nlohmann/json.hpp>

#include "app/cli/Verb.h"
#include "app/print/PostsReport.h"
#include "core/base/Text.h"
#include "core/store/SurveyedPosts.h"

namespace inkpeg {

namespace {

using nlohmann::ordered_json;

ordered_json placesJson(const std::vector<PostPlace>& places)
{
    ordered_json json = ordered_json::array();
    for (const PostPlace& place : places)
        json.push_back({{"timber", place.name},
                        {"along_m", place.alongM},
                        {"residual_m", place.residualM},
                        {"spacing_m", place.spacingM}});
    return json;
}

/// What was not checked is not nought.
ordered_json orNull(const std::optional<double>& value)
{
    return value ? ordered_json(*value) : ordered_json(nullptr);
}

void printPlaces(std::ostream& out, const std::vector<PostPlace>& places)
{
    out << std::left << std::setw(12) << "timber" << std::right << std::setw(10) << "along m"
        << std::setw(12) << "spacing m" << std::setw(13) << "off it mm"
        << "\n";
    for (const PostPlace& place : places)
        out << std::left << std::setw(12) << place.name << std::right << std::setw(10)
            << fixed(place.alongM, 3) << std::setw(12)
            << (place.spacingM > 0 ? fixed(place.spacingM, 3) : "") << std::setw(13)
            << fixed(place.residualM * 1000, 1) << "\n";
}

Result<VerbEnd> alongLine(const Call& call, const std::vector<AlignedPost>& posts)
{
    const Result<LineAlignment> line = alignOnLine(posts);
    if (!line)
        return line.error();
    const double bearing = line->directionRad * 180 / std::numbers::pi;
    if (call.json) {
        *call.out << ordered_json{{"shape", "line"},
                                  {"bearing_degrees", bearing},
                                  {"rmse_m", line->rmseM},
                                  {"standard_error_m", orNull(line->standardErrorM)},
                                  {"mean_spacing_m", line->meanSpacingM},
                                  {"spacing_deviation_m", orNull(line->spacingDeviationM)},
                                  {"posts", placesJson(line->posts)}}
                         .dump(2)
                  << "\n";
        return VerbEnd::Done;
    }
    *call.out << alignmentInWords(*line) << "\n";
    printPlaces(*call.out, line->posts);
    return VerbEnd::Done;
}

Result<VerbEnd> roundCircle(const Call& call, const std::vector<AlignedPost>& posts)
{
    const Result<CircleAlignment> circle = alignOnCircle(posts);
    if (!circle)
        return circle.error();
    const double covered = circle->coveredRad * 180 / std::numbers::pi;
    if (call.json) {
        *call.out << ordered_json{{"shape", "arc"},
                                  {"centre_east_m", circle->centre.east},
                                  {"centre_north_m", circle->centre.north},
                                  {"radius_m", circle->radiusM},
                                  {"covered_degrees", covered},
                                  {"rmse_m", circle->rmseM},
                                  {"standard_error_m", orNull(circle->standardErrorM)},
                                  {"mean_spacing_m", circle->meanSpacingM},
                                  {"spacing_deviation_m", orNull(circle->spacingDeviationM)},
                                  {"posts", placesJson(circle->posts)}}
                         .dump(2)
                  << "\n";
        return VerbEnd::Done;
    }
    *call.out << alignmentInWords(*circle) << "\n";
    printPlaces(*call.out, circle->posts);
    return VerbEnd::Done;
}

Result<VerbEnd> run(const Call& call)
{
    const std::string shape = call.value("shape", "line");
    if (shape != "line" && shape != "arc")
        return Error{ErrorCode::BadInput, "--shape " + shape + ": use line (the default) or arc"};
    const Result<Project> project = Project::open(call.files[0], Access::Read);
    if (!project)
        return project.error();
    const std::vector<std::string> numbers(call.files.begin() + 1, call.files.end());
    const auto posts = surveyedPosts(*project, numbers);
    if (!posts)
        return posts.error();
    if (call.has("to")) {
        const Result<TableReport> report =
            postsReport(*project, numbers, shape == "line" ? PostShape::Line : PostShape::Arc);
        if (!report)
            return report.error();
        const auto files = writeTableReport(*report, call.value("to"), "posts");
        if (!files)
            return files.error();
        for (const std::filesystem::path& file : *files)
            call.say("written: " + file.string());
    }
    return shape == "line" ? alongLine(call, *posts) : roundCircle(call, *posts);
}

} // namespace

Verb postsVerb()
{
    return {"posts",
            "PROJECT TIMBER...",
            3,
            10'000,
            "tests a supposed row or ring of timbers: the best line or arc, residuals and spacing",
            {{"shape", "WORD", "line (the default) or arc"},
             {"to", "FOLDER", "write the report: posts.pdf and posts.html"}},
            run};
}

} // namespace inkpeg
