// SPDX-License-Identifier: GPL-3.0-or-later
#include <iomanip>
#include <ostream>

#include <nlohmann/json.hpp>

#include "app/cli/Verb.h"
#include "app/print/LevelReport.h"
#include "core/base/Text.h"
#include "core/store/SpotLevels.h"

namespace inkpeg {

namespace {

using nlohmann::ordered_json;

ordered_json optional(const std::optional<double>& value)
{
    return value ? ordered_json(*value) : ordered_json(nullptr);
}

ordered_json bookJson(const LevelBook& book, const Result<ReducedBook>& reduced)
{
    ordered_json json{{"book", book.name}, {"tolerance_k", book.toleranceK}};
    if (!reduced) {
        json["error"] = reduced.error().message;
        return json;
    }
    const auto m = [](TenthMm tenths) { return metresFromTenthMm(tenths); };
    json["set_ups"] = reduced->setUps;
    json["arithmetic_check"] = {{"holds", reduced->check.holds()},
                                {"backsights_m", m(reduced->check.backsights)},
                                {"foresights_m", m(reduced->check.foresights)},
                                {"rises_m", m(reduced->check.rises)},
                                {"falls_m", m(reduced->check.falls)},
                                {"last_less_first_m", m(reduced->check.lastMinusFirst)}};
    json["within_tolerance"] = reduced->withinTolerance();
    json["legs"] = ordered_json::array();
    for (const LevelLeg& leg : reduced->legs)
        json["legs"].push_back({{"from", leg.from},
                                {"to", leg.to},
                                {"set_ups", leg.setUps},
                                {"misclosure_mm", static_cast<double>(leg.misclosure) / 10},
                                {"allowed_mm", leg.allowedMm},
                                {"within", leg.withinTolerance}});
    json["points"] = ordered_json::array();
    for (const ReducedLevel& row : reduced->rows)
        json["points"].push_back({{"point", row.booked.point},
                                  {"set_up", row.setUp},
                                  {"by_collimation_m", m(row.byCollimation)},
                                  {"by_rise_and_fall_m", m(row.byRiseAndFall)},
                                  {"correction_mm", static_cast<double>(row.correction) / 10},
                                  {"level_m", row.adjustedM()}});
    json["conflicts"] = ordered_json::array();
    for (const LevelConflict& conflict : reduced->conflicts)
        json["conflicts"].push_back(conflict.message);
    return json;
}

ordered_json useJson(const LevelUse& use)
{
    return {{"record", levelTargetName(use.target)},
            {"number", use.number},
            {"book", use.book},
            {"point", use.point},
            {"level_m", use.reducedM},
            {"held_m", optional(use.heldM)},
            {"allowed_m", use.allowedM}};
}

void printBook(std::ostream& out, const LevelBook& book, const Result<ReducedBook>& reduced)
{
    out << "level book " << book.name << ": " << (reduced ? bookInWords(*reduced) : reduced.error().message)
        << "\n";
    if (!reduced)
        return;
    out << "\n" << std::left << std::setw(14) << "point" << std::right;
    for (const char* head :
         {"back", "inter", "fore", "rise", "fall", "height", "by height", "by r/f", "corr mm", "level"})
        out << std::setw(11) << head;
    out << "\n";
    for (const LevelLineWords& line : levelLines(*reduced)) {
        out << std::left << std::setw(14) << line.point << std::right;
        for (const std::string& cell :
             {line.back, line.intermediate, line.fore, line.rise, line.fall, line.collimation,
              line.byCollimation, line.byRiseAndFall, line.correction, line.level})
            out << std::setw(11) << cell;
        out << "\n";
    }
    out << "\n";
    for (const LevelConflict& conflict : reduced->conflicts)
        out << "! " << conflict.message << "\n";
}

/// Changes what the book allows, if asked, and keeps it.
Result<void> keepTolerance(const Call& call, Project& project)
{
    const Result<std::optional<double>> k = call.number("k");
    if (!k)
        return k.error();
    if (!*k)
        return {};
    if (!(**k > 0))
        return Error{ErrorCode::BadInput, "--k " + call.value("k") + ": give a number above 0, e.g. --k 5"};
    const Result<Change> done = project.act(
        "level books allow " + exact(**k) + " mm times the root of the set-ups",
        [&](Editor& edit) -> Result<void> {
            for (LevelBook& book : project.all<LevelBook>()) {
                if (call.has("book") && book.name != call.value("book"))
                    continue;
                book.toleranceK = **k;
                if (const Result<void> put = edit.put(book); !put)
                    return put;
            }
            return {};
        },
        call.value("why"));
    return done ? Result<void>() : Result<void>(done.error());
}

/// Says which levelled point a level on a drawing is, if asked.
Result<void> nameSpot(const Call& call, Project& project)
{
    if (!call.has("spot"))
        return {};
    if (!call.has("drawing") || !call.has("point"))
        return Error{ErrorCode::BadInput, "--spot METRES goes with --drawing NUMBER and --point NAME"};
    const Result<std::optional<double>> level = call.number("spot");
    if (!level)
        return level.error();
    const Result<Change> named =
        nameSpotLevel(project, call.value("drawing"), **level, call.value("point"), call.value("why"));
    if (!named)
        return named.error();
    call.say(named->what);
    return {};
}

Result<LevelFlow> flowOf(const Call& call, Project& project)
{
    LevelFlowSettings settings;
    settings.book = call.value("book");
    settings.overwrite = call.has("overwrite");
    settings.dryRun = !call.has("carry");
    settings.why = call.value("why");
    return carryLevels(project, settings);
}

Result<VerbEnd> run(const Call& call)
{
    const bool writes = call.has("carry") || call.has("k") || call.has("spot");
    if (call.has("overwrite") && !call.has("carry"))
        return Error{ErrorCode::BadInput, "--overwrite goes with --carry"};
    if ((call.has("drawing") || call.has("point")) && !call.has("spot"))
        return Error{ErrorCode::BadInput, "--drawing and --point go with --spot METRES"};
    Result<Project> project = Project::open(call.files[0], writes ? Access::Write : Access::Read);
    if (!project)
        return project.error();
    if (call.has("book") && !project->byKey<LevelBook>(call.value("book")))
        return Error{ErrorCode::NotFound,
                     "level book \"" + call.value("book") + "\" is not in the project"};
    if (writes)
        project->setPerson(call.value("person"));
    if (const Result<void> kept = keepTolerance(call, *project); !kept)
        return kept.error();
    if (const Result<void> named = nameSpot(call, *project); !named)
        return named.error();
    const auto books = reducedBooks(*project);
    if (books.empty())
        return Error{ErrorCode::NotFound,
                     call.files[0] +
                         ": holds no level book; inkpeg register PROJECT levels.csv takes one in"};
    bool faults = false;
    ordered_json json{{"books", ordered_json::array()}};
    for (const auto& [book, reduced] : books) {
        if (call.has("book") && book.name != call.value("book"))
            continue;
        json["books"].push_back(bookJson(book, reduced));
        if (!call.json)
            printBook(*call.out, book, reduced);
        faults = faults || !reduced || !reduced->check.holds() || !reduced->conflicts.empty();
    }
    const Result<LevelFlow> flow = flowOf(call, *project);
    if (!flow)
        return flow.error();
    const char* verb = call.has("carry") ? "carried" : "would_carry";
    json[verb] = ordered_json::array();
    for (const LevelUse& use : flow->carried)
        json[verb].push_back(useJson(use));
    json["disagreeing"] = ordered_json::array();
    for (const LevelUse& use : flow->conflicts) {
        json["disagreeing"].push_back(useJson(use));
        call.say(use.inWords());
    }
    json["agreeing"] = flow->agreeing;
    if (call.has("to")) {
        const Result<TableReport> report = levelReport(*project, call.value("book"));
        if (!report)
            return report.error();
        const auto files = writeTableReport(*report, call.value("to"), "levels");
        if (!files)
            return files.error();
        for (const std::filesystem::path& file : *files)
            call.say("written: " + file.string());
    }
    if (call.json)
        *call.out << json.dump(2, ' ', false, ordered_json::error_handler_t::replace) << "\n";
    else
        *call.out << flow->agreeing << " records agree, " << flow->carried.size()
                  << (call.has("carry") ? " were given a level, " : " would be given a level, ")
                  << flow->conflicts.size() << " disagree\n";
    return faults || !flow->conflicts.empty() ? VerbEnd::Faults : VerbEnd::Done;
}

} // namespace

Verb levelsVerb()
{
    return {
        "levels",
        "PROJECT",
        1,
        1,
        "reduces the level books both ways and carries their levels to pegs, datums, spot heights and "
        "finds",
        {{"book", "NAME", "only this book"},
         {"carry", "", "give the levels to the records named like a point, as one act"},
         {"overwrite", "", "with --carry: records that disagree take the reduced level too"},
         {"k", "NUMBER", "allow a misclosure of k mm times the root of the set-ups, from now on"},
         {"spot", "METRES", "with --drawing and --point: this level on the drawing is that levelled point"},
         {"drawing", "NUMBER", "the drawing that --spot stands on"},
         {"point", "NAME", "the point of a level book that --spot is"},
         {"to", "FOLDER", "write the level book page: levels.pdf and levels.html"},
         {"person", "INITIALS", "who, for the journal"},
         {"why", "TEXT", "why, for the journal"}},
        run};
}

} // namespace inkpeg
