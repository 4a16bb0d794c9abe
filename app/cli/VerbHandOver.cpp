// SPDX-License-Identifier: GPL-3.0-or-later
#include <iostream>

#include <termios.h>
#include <unistd.h>

#include <nlohmann/json.hpp>

#include "app/cli/PlansOptions.h"
#include "app/cli/Verb.h"
#include "core/handover/SiteDatabase.h"
#include "core/records/Names.h"
#include "core/store/OneState.h"

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

} // namespace

Result<PlansOrder> plansOrderOf(const Call& call)
{
    PlansOrder order;
    const Result<PaperSize> paper = paperNamed(call.value("paper", "A3"));
    if (!paper)
        return Error{ErrorCode::BadInput, "--paper: " + paper.error().message};
    order.sheet.paper = *paper;
    order.sheet.standing = call.has("standing");
    for (const auto& [option, scale] : {std::pair{"scale", &order.sheet.scaleDenominator},
                                        {"vertical-scale", &order.sheet.verticalScaleDenominator}}) {
        const Result<std::optional<double>> number = call.number(option);
        if (!number)
            return number.error();
        *scale = *number;
    }
    order.choice.drawings = call.values("drawing");
    order.choice.contexts = call.values("context");
    order.choice.trench = call.value("trench");
    order.choice.period = call.value("period");
    order.choice.surveyedFinds = call.has("finds");
    order.eachContext = call.has("each-context");
    order.eachPeriod = call.has("each-period");
    return order;
}

const std::vector<OptionWords>& plansOptions()
{
    static const std::vector<OptionWords> options = {
        {"paper", "SIZE", "plans: A4, A3 (the default), A2, A1 or A0"},
        {"standing", "", "plans: the paper upright"},
        {"scale", "N", "plans: 1:N exactly; unless said, the largest customary scale that fits"},
        {"vertical-scale", "N", "sections: 1:N upward, where it is not the scale across"},
        {"trench", "NAME", "plans: only this trench"},
        {"period", "NAME", "plans: only contexts of this period (a phase composite)"},
        {"context", "NUMBER", "plans: only this context (may be given more than once)"},
        {"each-context", "", "plans: one of each single context as well"},
        {"each-period", "", "plans: one of each trench and period as well"},
        {"finds", "", "plans: surveyed finds, samples and timbers as well"}};
    return options;
}

namespace {

/// Rights and depositor are asked for once: given here, they are kept in the project, as an act of its own.
Result<void> keepDepositWords(const Call& call)
{
    if (!call.has("rights") && !call.has("depositor"))
        return {};
    Result<Project> project = Project::open(call.files[0], Access::Write);
    if (!project)
        return project.error();
    ProjectFacts facts = project->facts();
    facts.rights = call.value("rights", facts.rights);
    facts.depositor = call.value("depositor", facts.depositor);
    const Result<Change> kept = project->act("state the rights and the depositor",
                                             [&](Editor& edit) { return edit.putFacts(facts); });
    return kept ? Result<void>() : Result<void>(kept.error());
}

Result<HandOverOrder> orderOf(const Call& call)
{
    HandOverOrder order;
    order.folder = call.value("to");
    const Result<GeodataSettings> geodata = settingsOf(call);
    if (!geodata)
        return geodata.error();
    order.geodata = *geodata;
    order.replace = order.geodata.replace;
    order.bag = call.has("bag");
    order.scans = !call.has("without-scans");
    order.reports = order.bag || call.has("reports");
    if (call.has("laid"))
        order.laid = LaidOrder{call.has("cloud-optimised"), call.has("world-file")};
    else if (call.has("cloud-optimised") || call.has("world-file"))
        return Error{ErrorCode::BadInput, "--cloud-optimised and --world-file are said of --laid"};
    const Result<PlansOrder> plans = plansOrderOf(call);
    if (!plans)
        return plans.error();
    if (call.has("plans"))
        order.plans = *plans;
    else
        for (const OptionWords& option : plansOptions())
            if (call.has(option.name))
                return Error{ErrorCode::BadInput, "--" + option.name + " is said of --plans"};
    return order;
}

/// Without an echo. Nothing when there is no terminal to ask at.
std::optional<std::string> askPassword(const Call& call)
{
    termios before{};
    if (call.err != &std::cerr || ::isatty(STDIN_FILENO) == 0 || ::tcgetattr(STDIN_FILENO, &before) != 0)
        return {};
    termios silent = before;
    silent.c_lflag &= ~static_cast<tcflag_t>(ECHO);
    std::cerr << "Password: " << std::flush;
    ::tcsetattr(STDIN_FILENO, TCSAFLUSH, &silent);
    std::string password;
    std::getline(std::cin, password);
    ::tcsetattr(STDIN_FILENO, TCSAFLUSH, &before);
    std::cerr << "\n";
    return password;
}

nlohmann::ordered_json pushJson(const PushReport& report)
{
    nlohmann::ordered_json json{{"committed", report.committed}};
    for (const TablePush& table : report.tables)
        json["tables"][table.table] = {{"added", table.added},
                                       {"changed", table.changed},
                                       {"same", table.same},
                                       {"conflicting", table.conflicting},
                                       {"gone", table.gone}};
    json["conflicts"] = nlohmann::ordered_json::array();
    for (const PushConflict& conflict : report.conflicts)
        json["conflicts"].push_back(
            {{"table", conflict.table}, {"record", conflict.record}, {"fields", conflict.fields}});
    json["remarks"] = report.remarks;
    return json;
}

void sayPush(const Call& call, const PushReport& report, bool overwrite)
{
    for (const std::string& remark : report.remarks)
        call.say(remark);
    for (const TablePush& table : report.tables)
        if (table.added + table.changed + table.conflicting + table.gone > 0)
            *call.out << table.table << ": " << table.added << " added, " << table.changed << " changed, "
                      << table.same << " as they were, " << table.conflicting << " in conflict, "
                      << table.gone << " no longer in the project\n";
    for (const PushConflict& conflict : report.conflicts)
        *call.out << (!overwrite         ? "conflict: "
                      : report.committed ? "written over: "
                                         : "would be written over: ")
                  << conflict.table << " " << conflict.record
                  << " was changed in the database: " << conflict.fields << "\n";
    *call.out << (report.committed ? "pushed\n" : "dry run: the database is as it was\n");
}

Result<VerbEnd> runPush(const Call& call)
{
    DatabaseSettings settings;
    settings.service = call.value("database");
    settings.schema = call.value("schema", settings.schema);
    settings.dryRun = call.has("dry-run");
    settings.overwrite = call.has("overwrite");
    if (call.has("stage")) {
        const std::optional<Stage> stage = named<Stage>(call.value("stage"));
        if (!stage)
            return Error{ErrorCode::BadInput,
                         "--stage \"" + call.value("stage") + "\" is none of " + allNames<Stage>()};
        settings.leastStage = *stage;
    }
    const Result<Project> project = Project::open(call.files[0], Access::Read);
    if (!project)
        return project.error();
    const auto push = [&]() -> Result<PushReport> {
        const Result<OneState> state = OneState::hold(*project);
        return state ? pushToDatabase(*project, settings, call.progress()) : state.error();
    };
    Result<PushReport> report = push();
    if (!report && wantsPassword(report.error()))
        if (const std::optional<std::string> password = askPassword(call)) {
            settings.password = *password;
            report = push();
        }
    if (!report && wantsPassword(report.error()))
        return Error{report.error().code, report.error().message +
                                              "; put it into the password file (~/.pgpass, or the one that "
                                              "PGPASSFILE names), or call at a terminal and be asked"};
    if (!report)
        return report.error();
    if (call.json)
        *call.out << pushJson(*report).dump(2, ' ', false, nlohmann::json::error_handler_t::replace)
                  << "\n";
    else
        sayPush(call, *report, settings.overwrite);
    return report->conflicts.empty() || settings.overwrite ? VerbEnd::Done : VerbEnd::Faults;
}

Result<VerbEnd> run(const Call& call)
{
    if (call.has("to") == call.has("database"))
        return Error{ErrorCode::BadInput, "say where: --to FOLDER, or --database SERVICE"};
    if (call.has("database"))
        return runPush(call);
    const Result<HandOverOrder> order = orderOf(call);
    if (!order)
        return order.error();
    if (const Result<void> kept = keepDepositWords(call); !kept)
        return kept.error();
    const Result<Project> project = Project::open(call.files[0], Access::Read);
    if (!project)
        return project.error();
    const Result<OneState> state = OneState::hold(*project);
    if (!state)
        return state.error();
    const Result<HandedOver> done = handOver(*project, *order, call.progress());
    if (!done)
        return done.error();
    for (const std::string& remark : done->remarks)
        call.say(remark);
    if (call.json) {
        *call.out << done->json;
        return VerbEnd::Done;
    }
    for (const auto& [layer, count] : done->counts)
        if (count > 0)
            *call.out << count << " " << layer << "\n";
    *call.out << done->files.size() << " files, " << done->bytes << " bytes "
              << (order->bag ? "bagged in " : "written to ") << done->folder.string() << "\n";
    return VerbEnd::Done;
}

std::vector<OptionWords> handOverOptions()
{
    std::vector<OptionWords> options = {
        {"to", "FOLDER", "where; must not exist, unless --replace"},
        {"format", "NAME",
         "geopackage, geojson, csv, gml, shapefile (may be given more than once); the first three unless "
         "said"},
        {"stage", "STAGE", "only outlines that have come so far: " + allNames<Stage>()},
        {"decimals", "N", "decimals of a degree in GeoJSON; 8 (1.1 mm) unless said"},
        {"reports", "", "residuals and the project report, PDF and HTML; always part of a bag"},
        {"laid", "", "the plans' scans laid into the site grid (GeoTIFF)"},
        {"cloud-optimised", "", "laid scans as cloud-optimised GeoTIFF"},
        {"world-file", "", "laid scans with a world file beside each"},
        {"plans", "", "print-ready plans and sections, PDF and SVG"},
        {"bag", "", "as an archive bag (RFC 8493) with scans and reports; inkpeg verify checks it"},
        {"without-scans", "", "leave the scans out of the bag"},
        {"rights", "TEXT", "for the deposit; kept in the project"},
        {"depositor", "TEXT", "for the deposit; kept in the project"},
        {"replace", "", "replace a former hand-over in the same folder"},
        {"database", "SERVICE",
         "instead of a folder, into the site database (PostgreSQL with PostGIS): a name in the connection "
         "service file; only what is signed off, unless --stage"},
        {"schema", "NAME", "of the database; \"excavation\" unless said"},
        {"dry-run", "", "says what would go into the database, and leaves it as it is"},
        {"overwrite", "", "also rows that were changed in the database"}};
    options.push_back(
        {"drawing", "NUMBER", "plans and sections: only this drawing (may be given more than once)"});
    options.insert(options.end(), plansOptions().begin(), plansOptions().end());
    return options;
}

} // namespace

Verb handOverVerb()
{
    return {"hand-over",
            "PROJECT",
            1,
            1,
            "hands over: open geodata, plans, reports, an archive bag; or into the site database",
            handOverOptions(),
            run};
}

} // namespace inkpeg
