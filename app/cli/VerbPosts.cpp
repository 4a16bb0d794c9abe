// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <iomanip>
#include <numbers>
#include <ostream>

#include <nlohmann/json.hpp>

#include "app/cli/Verb.h"
#include "core/base/Text.h"
#include "core/section/Alignment.h"
#include "core/store/Project.h"

namespace inkpeg {

namespace {

using nlohmann::ordered_json;

Result<std::vector<AlignedPost>> postsOf(const Project& project, const std::vector<std::string>& numbers)
{
    std::vector<AlignedPost> posts;
    for (const std::string& number : numbers) {
        const auto timber = project.byKey<Timber>(number);
        if (!timber)
            return Error{ErrorCode::NotFound, "timber \"" + number + "\" is not in the register"};
        if (!timber->position)
            return Error{ErrorCode::BadInput, "timber " + number + " has no place; survey it first"};
        if (std::any_of(posts.begin(), posts.end(),
                        [&](const AlignedPost& post) { return post.name == number; }))
            return Error{ErrorCode::BadInput, "timber " + number + " is named twice"};
        posts.push_back({number, *timber->position});
    }
    return posts;
}

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
                                  {"standard_error_m", line->standardErrorM},
                                  {"mean_spacing_m", line->meanSpacingM},
                                  {"spacing_deviation_m", line->spacingDeviationM},
                                  {"posts", placesJson(line->posts)}}
                         .dump(2)
                  << "\n";
        return VerbEnd::Done;
    }
    *call.out << "line at " << fixed(bearing, 2) << " degrees from grid north; RMSE "
              << fixed(line->rmseM * 1000, 1) << " mm; spacing " << fixed(line->meanSpacingM, 3) << " m, "
              << "deviation " << fixed(line->spacingDeviationM * 1000, 0) << " mm\n";
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
                                  {"standard_error_m", circle->standardErrorM},
                                  {"mean_spacing_m", circle->meanSpacingM},
                                  {"spacing_deviation_m", circle->spacingDeviationM},
                                  {"posts", placesJson(circle->posts)}}
                         .dump(2)
                  << "\n";
        return VerbEnd::Done;
    }
    *call.out << "arc of radius " << fixed(circle->radiusM, 3) << " m about E "
              << fixed(circle->centre.east, 3) << " N " << fixed(circle->centre.north, 3) << ", "
              << fixed(covered, 0) << " degrees of it; RMSE " << fixed(circle->rmseM * 1000, 1)
              << " mm; spacing " << fixed(circle->meanSpacingM, 3) << " m, deviation "
              << fixed(circle->spacingDeviationM * 1000, 0) << " mm\n";
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
    const auto posts = postsOf(*project, {call.files.begin() + 1, call.files.end()});
    if (!posts)
        return posts.error();
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
            {{"shape", "WORD", "line (the default) or arc"}},
            run};
}

} // namespace inkpeg
