// SPDX-License-Identifier: GPL-3.0-or-later
#include <cmath>
#include <map>
#include <ostream>

#include <nlohmann/json.hpp>

#include "app/cli/Interrupt.h"
#include "app/cli/Verb.h"
#include "core/base/Text.h"
#include "core/handover/LayDrawings.h"

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

Result<std::vector<Drawing>> drawingsAsked(const Call& call, const Project& project)
{
    if (call.has("all"))
        return layableDrawings(project);
    std::vector<Drawing> drawings;
    for (const std::string& number : call.values("drawing")) {
        std::optional<Drawing> drawing = project.byKey<Drawing>(number);
        if (!drawing)
            return Error{ErrorCode::NotFound, "drawing \"" + number + "\" is not in the register"};
        drawings.push_back(std::move(*drawing));
    }
    return drawings;
}

Result<int> workersOf(const Call& call)
{
    const Result<std::optional<double>> workers = call.number("workers");
    if (!workers)
        return workers.error();
    const double number = workers->value_or(0);
    if (workers->has_value() && !(number >= 1 && number <= 64 && number == std::floor(number)))
        return Error{ErrorCode::BadInput, "--workers: must be a whole number from 1 to 64"};
    return static_cast<int>(number);
}

bool faulty(const DrawingLaid& laid)
{
    return laid.outcome == LaidOutcome::Failed || laid.outcome == LaidOutcome::Stopped || !laid.pinsHold ||
           !laid.report.damage.empty();
}

/// The line of one drawing on stdout; what is wrong with it on stderr.
void tell(const Call& call, const DrawingLaid& laid)
{
    if (laid.outcome == LaidOutcome::Failed)
        return call.say(laid.error.message);
    if (laid.outcome == LaidOutcome::Stopped)
        return;
    for (const std::string& damage : laid.report.damage)
        call.say(laid.drawing + ": " + damage);
    if (!laid.pinsHold)
        call.say(laid.drawing +
                 ": its pins do not hold (out of tolerance, or none to spare); the picture lies "
                 "no better than they do");
    if (call.json)
        return;
    *call.out << laid.drawing << ": ";
    if (laid.outcome == LaidOutcome::UpToDate)
        *call.out << "up to date, " << laid.file.string() << std::endl;
    else
        *call.out << laid.file.string() << ", " << laid.report.widthPx << " x " << laid.report.heightPx
                  << " px of " << fixed(laid.report.pixelM * 1000, 2) << " mm" << std::endl;
}

nlohmann::ordered_json jsonOf(const DrawingLaid& laid)
{
    nlohmann::ordered_json json = {{"drawing", laid.drawing},
                                   {"outcome", laidOutcomeName(laid.outcome)},
                                   {"file", laid.file.string()},
                                   {"pins_hold", laid.pinsHold}};
    const LayReport& report = laid.report;
    if (laid.outcome == LaidOutcome::Laid)
        json.update({{"width_px", report.widthPx},
                     {"height_px", report.heightPx},
                     {"pixel_m", report.pixelM},
                     {"west_m", report.upperLeft.east},
                     {"north_m", report.upperLeft.north},
                     {"worst_approximation_px", report.worstApproximationPx},
                     {"damage", report.damage}});
    if (laid.outcome == LaidOutcome::Failed)
        json["error"] = {{"kind", errorCodeName(laid.error.code)}, {"message", laid.error.message}};
    return json;
}

VerbEnd summarise(const Call& call, const std::vector<DrawingLaid>& results)
{
    std::map<LaidOutcome, int> counts;
    bool faults = false;
    nlohmann::ordered_json drawings = nlohmann::ordered_json::array();
    for (const DrawingLaid& laid : results) {
        ++counts[laid.outcome];
        faults = faults || faulty(laid);
        drawings.push_back(jsonOf(laid));
    }
    if (call.json) {
        const nlohmann::ordered_json json = {{"drawings", drawings},
                                             {"laid", counts[LaidOutcome::Laid]},
                                             {"up_to_date", counts[LaidOutcome::UpToDate]},
                                             {"failed", counts[LaidOutcome::Failed]},
                                             {"stopped", counts[LaidOutcome::Stopped]}};
        *call.out << json.dump(2, ' ', false, nlohmann::json::error_handler_t::replace) << "\n";
    } else if (results.size() > 1) {
        *call.out << counts[LaidOutcome::Laid] << " laid, " << counts[LaidOutcome::UpToDate]
                  << " up to date, " << counts[LaidOutcome::Failed] << " failed\n";
    }
    if (counts[LaidOutcome::Stopped] > 0)
        call.say(std::to_string(counts[LaidOutcome::Stopped]) + " of " + std::to_string(results.size()) +
                 " not laid; the same call goes on from here");
    return faults ? VerbEnd::Faults : VerbEnd::Done;
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
    const Result<int> workers = workersOf(call);
    if (!workers)
        return workers.error();
    const Result<Project> project = Project::open(call.files[0], Access::Read);
    if (!project)
        return project.error();
    const Result<std::vector<Drawing>> drawings = drawingsAsked(call, *project);
    if (!drawings)
        return drawings.error();
    const Result<LayPlan> plan = planLaying(*project, *drawings, call.value("to"), *settings);
    if (!plan)
        return plan.error();
    const Interrupt interrupt;
    const Progress shown = call.progress();
    const LayWatch watch{[&](double share) { return report(shown, share) && !Interrupt::asked(); },
                         [&](const DrawingLaid& laid) {
                             if (shown)
                                 *call.err << "\r\033[K"
                                           << std::flush; // the progress makes way for the line
                             tell(call, laid);
                         }};
    const std::vector<DrawingLaid> results = layDrawings(*plan, *workers, call.has("again"), watch);
    // A drawing asked for by its number must be laid; among all, one that cannot be is told and passed
    // over.
    if (call.has("drawing") && results.size() == 1 && results[0].outcome == LaidOutcome::Failed)
        return results[0].error;
    return summarise(call, results);
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
             {"all", "", "every plan; what is up to date is passed over, so a stopped call goes on"},
             {"again", "", "lays what is up to date as well"},
             {"workers", "N", "drawings at a time; one for each core unless said"},
             {"to", "FOLDER", "where to write NUMBER.tif"},
             {"kernel", "NAME", "nearest, bilinear (the default) or cubic"},
             {"packing", "NAME", "none, deflate (the default) or zstd"},
             {"pixel", "M", "size of a pixel on the ground; the scan's own unless said"},
             {"cloud-optimised", "", "as a cloud-optimised GeoTIFF"},
             {"world-file", "", "a world file beside it"}},
            run};
}

} // namespace inkpeg
