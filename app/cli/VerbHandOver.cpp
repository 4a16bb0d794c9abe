// SPDX-License-Identifier: GPL-3.0-or-later
#include <ostream>

#include <nlohmann/json.hpp>

#include "app/cli/Verb.h"
#include "app/print/ResidualReport.h"
#include "core/handover/Bag.h"
#include "core/handover/Geodata.h"
#include "core/records/Names.h"

namespace inkpeg {

namespace {

/// The switches of the formats that were asked for; GeoPackage, GeoJSON and CSV when none was named.
Result<GeodataSettings> settingsOf(const Call& call)
{
    GeodataSettings settings;
    settings.replace = call.has("replace");
    const std::vector<std::string> formats = call.values("format");
    if (!formats.empty())
        settings.geoPackage = settings.geoJson = settings.csv = false;
    for (const std::string& format : formats) {
        bool* asked = format == "geopackage"  ? &settings.geoPackage
                      : format == "geojson"   ? &settings.geoJson
                      : format == "csv"       ? &settings.csv
                      : format == "gml"       ? &settings.gml
                      : format == "shapefile" ? &settings.shapefile
                                              : nullptr;
        if (asked == nullptr)
            return Error{ErrorCode::BadInput,
                         "--format \"" + format + "\" is none of geopackage, geojson, csv, gml, shapefile"};
        *asked = true;
    }
    if (call.has("stage")) {
        const std::optional<Stage> stage = named<Stage>(call.value("stage"));
        if (!stage)
            return Error{ErrorCode::BadInput,
                         "--stage \"" + call.value("stage") + "\" is none of " + allNames<Stage>()};
        settings.gather.leastStage = *stage;
    }
    const Result<std::optional<double>> decimals = call.number("decimals");
    if (!decimals)
        return decimals.error();
    if (decimals->has_value() && !(**decimals >= 7 && **decimals <= 12))
        return Error{ErrorCode::BadInput, "--decimals: 7 (about 1 cm) to 12 make sense"};
    settings.lonLatDecimals = static_cast<int>(decimals->value_or(settings.lonLatDecimals));
    return settings;
}

/// The archive bag, with the residual report in it.
Result<VerbEnd> runBag(const Call& call, const Project& project, const GeodataSettings& geodata)
{
    const Result<ProjectFigures> figures = residualFigures(project);
    if (!figures)
        return figures.error();
    const BagExtras reports = {{"reports/residuals.pdf", residualPdf(*figures)},
                               {"reports/residuals.html", residualHtml(*figures)},
                               {"reports/residuals.csv", residualCsv(*figures)},
                               {"reports/residuals.json", residualJson(*figures)}};
    BagSettings settings;
    settings.geodata = geodata;
    settings.scans = !call.has("without-scans");
    settings.replace = call.has("replace");
    const Result<BagReport> bag = writeBag(project, call.value("to"), settings, reports, call.progress());
    if (!bag)
        return bag.error();
    for (const std::string& remark : bag->remarks)
        call.say(remark);
    if (call.json)
        *call.out << nlohmann::ordered_json{{"bag", bag->folder.string()},
                                            {"files", bag->payloadFiles},
                                            {"bytes", bag->payloadBytes}}
                         .dump(2)
                  << "\n";
    else
        *call.out << bag->payloadFiles << " files, " << bag->payloadBytes << " bytes bagged in "
                  << bag->folder.string() << "\n";
    return VerbEnd::Done;
}

Result<VerbEnd> run(const Call& call)
{
    if (!call.has("to"))
        return Error{ErrorCode::BadInput, "say where: --to FOLDER"};
    const Result<GeodataSettings> settings = settingsOf(call);
    if (!settings)
        return settings.error();
    const Result<Project> project = Project::open(call.files[0], Access::Read);
    if (!project)
        return project.error();
    if (call.has("bag"))
        return runBag(call, *project, *settings);
    const Result<HandOverReport> report =
        handOverGeodata(*project, call.value("to"), *settings, call.progress());
    if (!report)
        return report.error();
    for (const std::string& remark : report->remarks)
        call.say(remark);
    if (call.json) {
        *call.out << handOverJson(*report);
    } else {
        for (const auto& [layer, count] : report->counts)
            if (count > 0)
                *call.out << count << " " << layer << "\n";
        *call.out << "written to " << report->folder.string() << "\n";
    }
    return VerbEnd::Done;
}

} // namespace

Verb handOverVerb()
{
    return {"hand-over",
            "PROJECT",
            1,
            1,
            "writes open geodata with stated error into a new folder",
            {{"to", "FOLDER", "where; must not exist, unless --replace"},
             {"format", "NAME",
              "geopackage, geojson, csv, gml, shapefile (may be given more than once); the first three "
              "unless said"},
             {"stage", "STAGE", "only outlines that have come so far: " + allNames<Stage>()},
             {"decimals", "N", "decimals of a degree in GeoJSON; 8 (1.1 mm) unless said"},
             {"bag", "", "as an archive bag (RFC 8493) with scans and reports; inkpeg verify checks it"},
             {"without-scans", "", "leave the scans out of the bag"},
             {"replace", "", "replace a former hand-over in the same folder"}},
            run};
}

} // namespace inkpeg
