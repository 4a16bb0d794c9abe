// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/print/HandOver.h"

#include <algorithm>
#include <map>
#include <set>

#include <nlohmann/json.hpp>

#include "app/print/ProjectReport.h"
#include "app/print/ResidualReport.h"
#include "core/base/Digest.h"
#include "core/base/ProgressShare.h"
#include "core/base/Text.h"
#include "core/handover/Bag.h"
#include "core/handover/FeatureLayers.h"
#include "core/handover/LayDrawings.h"
#include "core/handover/StagedFolder.h"
#include "core/records/Names.h"
#include "core/store/SheetScan.h"

namespace inkpeg {

namespace fs = std::filesystem;

namespace {

Error cancelled()
{
    return {ErrorCode::Cancelled, "the hand-over was stopped"};
}

/// Reports as path and bytes.
Result<std::map<std::string, std::string>> reportsOf(const Project& project, const Progress& progress)
{
    const Result<ProjectFigures> figures = residualFigures(project);
    if (!figures)
        return figures.error();
    std::map<std::string, std::string> files;
    files["reports/residuals.pdf"] = residualPdf(*figures, shareOf(progress, 0, 0.3));
    if (files["reports/residuals.pdf"].empty())
        return cancelled();
    files["reports/residuals.html"] = residualHtml(*figures);
    files["reports/residuals.csv"] = residualCsv(*figures);
    files["reports/residuals.json"] = residualJson(*figures);
    const Result<Document> document = projectReport(project, allReportParts(), shareOf(progress, 0.3, 0.8));
    if (!document)
        return document.error();
    files["reports/project-report.pdf"] = documentPdf(*document, shareOf(progress, 0.8, 1));
    if (files["reports/project-report.pdf"].empty())
        return cancelled();
    files["reports/project-report.html"] = documentHtml(*document);
    return files;
}

/// What a laid picture shows, for those who find the file alone.
std::string filmMetadata(const Project& project, const LayTask& task, const LayReport& laid,
                         const std::string& crs)
{
    const std::optional<Drawing> drawing = project.byKey<Drawing>(task.drawing);
    const std::optional<Sheet> sheet = drawing ? project.byKey<Sheet>(drawing->sheet) : std::nullopt;
    nlohmann::ordered_json json;
    json["site_code"] = project.facts().siteCode;
    json["drawing"] = task.drawing;
    if (drawing) {
        json["title"] = drawing->title;
        json["trench"] = drawing->trench;
        json["stated_scale"] = "1:" + exact(drawing->scaleDenominator);
        json["drawn_by"] = drawing->drawnBy;
        json["drawn_on"] = drawing->drawnOn;
    }
    if (sheet) {
        json["sheet"] = sheet->number;
        json["film_size"] = sheet->filmSize;
        json["scan_dpi"] = {sheet->frame.dpiX, sheet->frame.dpiY};
        json["scan_sha256"] = sheet->scanSha256;
        json["face_down"] = sheet->frame.faceDown;
    }
    if (task.ground) {
        const ControlFit& fit = task.ground->fit;
        json["model"] = modelName(fit.settings.model);
        json["pins_used"] = fit.pinsUsed;
        json["redundancy"] = fit.redundancy;
        json["rmse_m"] = fit.rmseM;
        json["within_tolerance"] = pinsHold(fit);
    }
    json["crs"] = crs;
    json["pixel_m"] = laid.pixelM;
    json["upper_left_m"] = {laid.upperLeft.east, laid.upperLeft.north};
    return json.dump(2, ' ', false, nlohmann::json::error_handler_t::replace) + "\n";
}

Result<void> writeLaid(const Project& project, const LaidOrder& order, const fs::path& folder,
                       std::vector<std::string>& remarks, const Progress& progress)
{
    LaySettings settings;
    settings.cloudOptimised = order.cloudOptimised;
    settings.worldFile = order.worldFile;
    const Result<LayPlan> plan = planLaying(project, layableDrawings(project), folder, settings);
    if (!plan)
        return plan.error();
    const std::vector<DrawingLaid> laid = layDrawings(*plan, 0, true, {progress, {}});
    for (std::size_t i = 0; i < laid.size(); ++i) {
        if (laid[i].outcome == LaidOutcome::Stopped)
            return cancelled();
        if (laid[i].outcome == LaidOutcome::Failed) {
            if (laid[i].error.code == ErrorCode::OutOfSpace)
                return laid[i].error;
            remarks.push_back("not laid: " + laid[i].error.message);
            continue;
        }
        for (const std::string& damage : laid[i].report.damage)
            remarks.push_back(laid[i].drawing + ": " + damage);
        if (!laid[i].pinsHold)
            remarks.push_back(laid[i].drawing +
                              ": laid, though its pins are out of tolerance or unchecked");
        const fs::path beside = fs::path(laid[i].file).replace_extension(".json");
        if (const Result<void> written =
                writeFile(beside, filmMetadata(project, plan->tasks[i], laid[i].report, plan->crs));
            !written)
            return written;
    }
    return {};
}

/// Laid scans and plans, into whichever folder the hand-over grows in.
Result<void> writePictures(const Project& project, const HandOverOrder& order, const fs::path& folder,
                           std::vector<std::string>& remarks, const Progress& progress)
{
    if (order.laid)
        if (const Result<void> written =
                writeLaid(project, *order.laid, folder / "laid", remarks, shareOf(progress, 0, 0.7));
            !written)
            return written;
    if (order.plans) {
        const auto written =
            writePlans(project, *order.plans, folder / "plans", remarks, shareOf(progress, 0.7, 1));
        if (!written)
            return written.error();
    }
    return {};
}

HandedOver told(const fs::path& folder, std::vector<std::string> remarks)
{
    HandedOver done;
    done.folder = folder;
    done.remarks = std::move(remarks);
    for (const fs::directory_entry& entry : fs::recursive_directory_iterator(folder))
        if (entry.is_regular_file()) {
            done.files.push_back(entry.path().lexically_relative(folder).generic_string());
            done.bytes += entry.file_size();
        }
    std::sort(done.files.begin(), done.files.end());
    return done;
}

Result<HandedOver> handOverBag(const Project& project, const HandOverOrder& order, const Progress& progress)
{
    BagSettings settings;
    settings.geodata = order.geodata;
    settings.scans = order.scans;
    settings.replace = order.replace;
    settings.fill = [&](const fs::path& data, std::vector<std::string>& remarks, const Progress& watch) {
        return writePictures(project, order, data, remarks, watch);
    };
    BagExtras extras;
    if (order.reports) {
        Result<std::map<std::string, std::string>> reports = reportsOf(project, shareOf(progress, 0, 0.2));
        if (!reports)
            return reports.error();
        extras = std::move(reports).value();
    }
    const Result<BagReport> bag =
        writeBag(project, order.folder, settings, extras, shareOf(progress, 0.2, 1));
    if (!bag)
        return bag.error();
    HandedOver done = told(order.folder, bag->remarks);
    done.json = nlohmann::ordered_json{{"bag", bag->folder.string()},
                                       {"files", bag->payloadFiles},
                                       {"bytes", bag->payloadBytes},
                                       {"remarks", bag->remarks}}
                    .dump(2, ' ', false, nlohmann::json::error_handler_t::replace) +
                "\n";
    return done;
}

} // namespace

Result<HandedOver> handOver(const Project& project, const HandOverOrder& order, const Progress& progress)
{
    if (order.bag)
        return handOverBag(project, order, progress);
    Result<StagedFolder> staged = StagedFolder::beside(order.folder, order.replace, "hand-over.json");
    if (!staged)
        return staged.error();
    std::vector<std::string> remarks;
    if (const Result<void> written =
            writePictures(project, order, staged->path(), remarks, shareOf(progress, 0, 0.5));
        !written)
        return written.error();
    if (order.reports) {
        const auto reports = reportsOf(project, shareOf(progress, 0.5, 0.7));
        if (!reports)
            return reports.error();
        for (const auto& [name, bytes] : *reports)
            if (const Result<void> written = writeFile(staged->path() / name, bytes); !written)
                return written.error();
    }
    // Last, because hand-over.json lists every file with its digest.
    Result<HandOverReport> report =
        writeGeodata(project, staged->path(), order.geodata, shareOf(progress, 0.7, 1), remarks);
    if (!report)
        return report.error();
    if (const Result<void> kept = staged->keep(); !kept)
        return kept.error();
    HandedOver done = told(order.folder, report->remarks);
    done.counts = report->counts;
    done.json = handOverJson(*report);
    return done;
}

} // namespace inkpeg
