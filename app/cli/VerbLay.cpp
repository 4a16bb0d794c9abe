// SPDX-License-Identifier: GPL-3.0-or-later
#include <filesystem>
#include <ostream>
#include <set>

#include <nlohmann/json.hpp>

#include "app/cli/Verb.h"
#include "core/base/Text.h"
#include "core/film/Lay.h"
#include "core/store/DrawingFit.h"
#include "core/store/Project.h"

namespace inkpeg {

namespace {

Result<LaySettings> settingsOf(const Call& call)
{
    LaySettings settings;
    const std::string kernel = call.value("kernel", "bilinear"), packing = call.value("packing", "deflate");
    if (kernel != "nearest" && kernel != "bilinear" && kernel != "cubic")
        return Error{ErrorCode::BadInput,
                     "--kernel \"" + kernel + "\" is none of nearest, bilinear, cubic"};
    if (packing != "none" && packing != "deflate" && packing != "zstd")
        return Error{ErrorCode::BadInput, "--packing \"" + packing + "\" is none of none, deflate, zstd"};
    settings.kernel = kernel == "nearest" ? Kernel::Nearest
                      : kernel == "cubic" ? Kernel::Cubic
                                          : Kernel::Bilinear;
    settings.packing = packing == "none"   ? Packing::None
                       : packing == "zstd" ? Packing::Zstd
                                           : Packing::Deflate;
    const Result<std::optional<double>> pixelM = call.number("pixel");
    if (!pixelM)
        return pixelM.error();
    if (pixelM->has_value() && **pixelM <= 0)
        return Error{ErrorCode::BadInput, "--pixel: must be larger than 0 metres"};
    settings.pixelM = *pixelM;
    settings.cloudOptimised = call.has("cloud-optimised");
    settings.worldFile = call.has("world-file");
    return settings;
}

/// A name for a file: letters, digits, hyphen and dot of the drawing's number, anything else a low line.
std::string fileNameFor(const std::string& number)
{
    std::string name;
    for (const char c : number) {
        const bool plain = (c >= '0' && c <= '9') || (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') ||
                           c == '-' || c == '.';
        name += plain ? c : '_';
    }
    return name.empty() || name.front() == '.' ? "_" + name : name.substr(0, 100);
}

Result<LayReport> layDrawing(const Call& call, const Project& project, const Drawing& drawing,
                             LaySettings settings, const std::filesystem::path& output)
{
    const Result<DrawingGround> ground = groundOfDrawing(project, drawing);
    if (!ground)
        return ground.error();
    const std::optional<Sheet> sheet = project.byKey<Sheet>(drawing.sheet);
    const Result<Scan> scan = Scan::open(scanPath(project, *sheet)); // groundOfDrawing has found the sheet
    if (!scan)
        return scan.error();
    settings.frame = drawing.frame;
    return lay(*scan, ground->film, ground->fit.transform, project.facts().crs, output, settings,
               call.progress());
}

nlohmann::ordered_json reportJson(const std::string& drawing, const LayReport& report)
{
    return {{"drawing", drawing},
            {"file", report.file.string()},
            {"width_px", report.widthPx},
            {"height_px", report.heightPx},
            {"pixel_m", report.pixelM},
            {"west_m", report.upperLeft.east},
            {"north_m", report.upperLeft.north},
            {"worst_approximation_px", report.worstApproximationPx},
            {"damage", report.damage}};
}

Result<std::vector<Drawing>> drawingsAsked(const Call& call, const Project& project)
{
    std::vector<Drawing> drawings;
    if (call.has("all")) {
        // A section has no place in plan; its picture stands in the report, not on the ground.
        for (Drawing& drawing : project.all<Drawing>())
            if (!isUpright(drawing.kind))
                drawings.push_back(std::move(drawing));
        return drawings;
    }
    for (const std::string& number : call.values("drawing")) {
        std::optional<Drawing> drawing = project.byKey<Drawing>(number);
        if (!drawing)
            return Error{ErrorCode::NotFound, "drawing \"" + number + "\" is not in the register"};
        if (isUpright(drawing->kind))
            return Error{ErrorCode::BadInput,
                         "drawing " + number + " shows a face, not the ground: only plans are laid"};
        drawings.push_back(std::move(*drawing));
    }
    return drawings;
}

Result<VerbEnd> run(const Call& call)
{
    if (!call.has("to"))
        return Error{ErrorCode::BadInput, "say where: --to FOLDER"};
    if (call.has("all") == call.has("drawing"))
        return Error{ErrorCode::BadInput,
                     "say which: --drawing NUMBER (may be given more than once), or --all"};
    const Result<LaySettings> settings = settingsOf(call);
    if (!settings)
        return settings.error();
    const Result<Project> project = Project::open(call.files[0], Access::Read);
    if (!project)
        return project.error();
    const Result<std::vector<Drawing>> drawings = drawingsAsked(call, *project);
    if (!drawings)
        return drawings.error();
    std::error_code failed;
    std::filesystem::create_directories(call.value("to"), failed);
    if (failed)
        return Error{ErrorCode::System, call.value("to") + ": cannot be made: " + failed.message()};
    VerbEnd end = VerbEnd::Done;
    std::set<std::string> taken;
    nlohmann::ordered_json json = nlohmann::ordered_json::array();
    for (const Drawing& drawing : *drawings) {
        std::string name = fileNameFor(drawing.number);
        while (!taken.insert(name).second)
            name += "_";
        const Result<LayReport> report = layDrawing(
            call, *project, drawing, *settings, std::filesystem::path(call.value("to")) / (name + ".tif"));
        if (!report && (call.has("drawing") || report.error().code != ErrorCode::Unsolvable))
            return report.error();
        if (!report) { // among all drawings, one without a fit is told and passed over
            call.say(report.error().message);
            end = VerbEnd::Faults;
            continue;
        }
        for (const std::string& damage : report->damage)
            call.say(drawing.number + ": " + damage);
        end = report->damage.empty() ? end : VerbEnd::Faults;
        json.push_back(reportJson(drawing.number, *report));
        if (!call.json)
            *call.out << drawing.number << ": " << report->file.string() << ", " << report->widthPx << " x "
                      << report->heightPx << " px of " << fixed(report->pixelM * 1000, 2) << " mm\n";
    }
    if (call.json)
        *call.out << json.dump(2, ' ', false, nlohmann::json::error_handler_t::replace) << "\n";
    return end;
}

} // namespace

Verb layVerb()
{
    return {"lay",
            "PROJECT",
            1,
            1,
            "lays pinned plans into the site grid as GeoTIFF",
            {{"drawing", "NUMBER", "the plan (may be given more than once)"},
             {"all", "", "every plan"},
             {"to", "FOLDER", "where to write NUMBER.tif"},
             {"kernel", "NAME", "nearest, bilinear (the default) or cubic"},
             {"packing", "NAME", "none, deflate (the default) or zstd"},
             {"pixel", "M", "size of a pixel on the ground; the scan's own unless said"},
             {"cloud-optimised", "", "as a cloud-optimised GeoTIFF"},
             {"world-file", "", "a world file beside it"}},
            run};
}

} // namespace inkpeg
