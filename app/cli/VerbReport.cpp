// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <ostream>

#include <nlohmann/json.hpp>

#include "app/cli/PlansOptions.h"
#include "app/cli/Verb.h"
#include "app/print/CloseOfDay.h"
#include "app/print/ProjectReport.h"
#include "app/print/ResidualReport.h"
#include "app/print/SequencePainting.h"
#include "app/print/WholeFile.h"
#include "core/base/Csv.h"
#include "core/checks/Checks.h"
#include "core/store/LoadRecords.h"

namespace inkpeg {

namespace {

using nlohmann::ordered_json;

/// What was written, and whether the work shows faults.
struct Written {
    std::vector<std::filesystem::path> files;
    ordered_json json;
    bool faults = false;
};

std::string stateOf(const Project& project)
{
    const std::vector<JournalEntry> journal = project.journal();
    return journal.empty() ? std::string("nothing in it") : journal.back().at;
}

Result<void> write(Written& written, const std::filesystem::path& file, const std::string& bytes)
{
    if (const auto done = writeWhole(file, bytes); !done)
        return done;
    written.files.push_back(file);
    return {};
}

Result<Written> writeResiduals(const Call& call, const Project& project)
{
    const Result<ProjectFigures> figures = residualFigures(project, call.values("drawing"));
    if (!figures)
        return figures.error();
    Result<std::vector<std::filesystem::path>> files =
        writeResidualReport(*figures, call.value("to"), call.progress());
    if (!files)
        return files.error();
    if (call.has("each")) {
        const auto each = writeEachResidualReport(*figures, call.value("to"), call.progress());
        if (!each)
            return each.error();
        files->insert(files->end(), each->begin(), each->end());
    }
    for (const UnfittedDrawing& unfitted : figures->unfitted)
        call.say(unfitted.why);
    const bool out =
        std::any_of(figures->drawings.begin(), figures->drawings.end(),
                    [](const DrawingFigures& drawing) { return drawing.verdict == FitVerdict::Out; });
    // A drawing that was asked for by its number and has no fit is a fault too.
    return Written{std::move(*files), ordered_json::parse(residualJson(*figures)),
                   out || (call.has("drawing") && !figures->unfitted.empty())};
}

Result<void> knownTrench(const Call& call, const Project& project)
{
    if (!call.has("trench") || project.byKey<Trench>(call.value("trench")))
        return {};
    std::string names;
    for (const Trench& trench : project.all<Trench>())
        names += (names.empty() ? "" : ", ") + trench.name;
    return Error{ErrorCode::BadInput,
                 "--trench " + call.value("trench") + ": the project has the trenches " + names};
}

Result<Written> writeCloseOfDay(const Call& call, const Project& project)
{
    const Result<GroupBy> by = groupByNamed(call.value("by", "trench"));
    if (!by)
        return Error{ErrorCode::BadInput, "--by: " + by.error().message};
    const Result<ProjectRecords> records = loadRecords(project, call.progress());
    if (!records)
        return records.error();
    Result<std::vector<Matter>> matters = runChecks(*records, call.progress());
    if (!matters)
        return matters.error();
    const Tally tally = tallyOf(std::move(matters).value(), records->waivers);
    const CloseOfDaySettings settings{call.value("trench"), *by, Severity::Should};
    const Tally listed = listedOnSheet(tally, settings);
    Written written;
    const CloseOfDayHead head{records->facts.siteCode, records->facts.title, call.value("person"),
                              stateOf(project)};
    if (const auto done = write(written, std::filesystem::path(call.value("to")) / "close-of-day.pdf",
                                closeOfDayPdf(tally, head, settings));
        !done)
        return done.error();
    written.json = {
        {"must", listed.count.must}, {"should", listed.count.should}, {"note", listed.count.note}};
    written.faults = listed.count.must > 0;
    return written;
}

Result<Written> writeSequence(const Call& call, const Project& project)
{
    const std::vector<Context> contexts = project.all<Context>();
    const std::vector<Relation> relations = project.all<Relation>();
    if (const auto trouble = project.takeReadingTrouble())
        return *trouble;
    const Result<SequenceDiagram> diagram =
        drawSequence(contexts, relations, {call.value("trench")}, call.progress());
    if (!diagram)
        return diagram.error();
    const ProjectFacts facts = project.facts();
    const SequenceTitle title{facts.siteCode, facts.title, call.value("trench"), stateOf(project)};
    Written written;
    const std::filesystem::path folder = call.value("to");
    if (const auto done = write(written, folder / "sequence.pdf", sequencePdf(*diagram, title)); !done)
        return done.error();
    if (const auto done = write(written, folder / "sequence.svg", sequenceSvg(*diagram, title)); !done)
        return done.error();
    ordered_json loops = ordered_json::array();
    for (const std::vector<std::size_t>& loop : diagram->loops) {
        ordered_json& list = loops.emplace_back(ordered_json::array());
        for (const std::size_t unit : loop)
            list.push_back(diagram->units[unit].contexts);
    }
    for (const std::string& remark : sequenceRemarks(*diagram))
        call.say(remark);
    written.json = {{"units", diagram->units.size()},
                    {"lines", diagram->lines.size()},
                    {"leftOut", diagram->leftOut},
                    {"crossings", diagram->crossings},
                    {"loops", loops}};
    written.faults = !diagram->loops.empty();
    return written;
}

Result<Written> writeJournal(const Call& call, const Project& project)
{
    std::string csv = csvLine({"entry", "at", "person", "what", "why", "undoes"});
    Written written;
    written.json = ordered_json::array();
    const std::vector<JournalEntry> journal = project.journal();
    if (const auto trouble = project.takeReadingTrouble())
        return *trouble;
    for (const JournalEntry& entry : journal) {
        const std::string undoes = entry.undoes ? std::to_string(*entry.undoes) : std::string();
        csv += csvLine({std::to_string(entry.id), entry.at, entry.person, entry.what, entry.why, undoes});
        written.json.push_back({{"entry", entry.id},
                                {"at", entry.at},
                                {"person", entry.person},
                                {"what", entry.what},
                                {"why", entry.why}});
        if (entry.undoes)
            written.json.back()["undoes"] = *entry.undoes;
    }
    if (const auto done = write(written, std::filesystem::path(call.value("to")) / "journal.csv", csv);
        !done)
        return done.error();
    return written;
}

/// Print-ready plans and sections.
Result<Written> writeSheets(const Call& call, const Project& project)
{
    const Result<PlansOrder> order = plansOrderOf(call);
    if (!order)
        return order.error();
    std::vector<std::string> remarks;
    const Result<std::vector<std::string>> files =
        writePlans(project, *order, call.value("to"), remarks, call.progress());
    if (!files)
        return files.error();
    for (const std::string& remark : remarks)
        call.say(remark);
    Written written;
    for (const std::string& file : *files)
        written.files.push_back(std::filesystem::path(call.value("to")) / file);
    written.json = {{"files", *files}, {"remarks", remarks}};
    written.faults = files->empty(); // nothing that was asked for could be drawn
    return written;
}

/// Summary, residuals, finds, checks, sign-offs, deposit statement, data dictionary.
Result<Written> writeProjectReport(const Call& call, const Project& project)
{
    const Result<Document> document = projectReport(project, allReportParts(), call.progress());
    if (!document)
        return document.error();
    Written written;
    const std::filesystem::path folder = call.value("to");
    for (const auto& [name, bytes] : {std::pair{"project-report.pdf", documentPdf(*document)},
                                      {"project-report.html", documentHtml(*document)}})
        if (const auto done = write(written, folder / name, bytes); !done)
            return done.error();
    written.json = {{"chapters", document->chapters.size()}};
    return written;
}

struct ReportKind {
    const char* name;
    Result<Written> (*write)(const Call&, const Project&);
};
constexpr ReportKind Kinds[] = {{"residuals", writeResiduals}, {"close-of-day", writeCloseOfDay},
                                {"sequence", writeSequence},   {"journal", writeJournal},
                                {"plans", writeSheets},        {"project", writeProjectReport}};

Result<std::vector<ReportKind>> kindsAsked(const Call& call)
{
    std::vector<ReportKind> kinds;
    for (const std::string& name : call.values("kind")) {
        const auto kind = std::find_if(std::begin(Kinds), std::end(Kinds),
                                       [&](const ReportKind& each) { return each.name == name; });
        if (kind == std::end(Kinds))
            return Error{ErrorCode::BadInput,
                         "--kind " + name +
                             ": use residuals, close-of-day, sequence, journal, plans or project"};
        kinds.push_back(*kind);
    }
    if (kinds.empty())
        kinds.push_back(Kinds[0]);
    return kinds;
}

Result<VerbEnd> run(const Call& call)
{
    if (!call.has("to"))
        return Error{ErrorCode::BadInput, "say where: --to FOLDER"};
    const Result<std::vector<ReportKind>> kinds = kindsAsked(call);
    if (!kinds)
        return kinds.error();
    const Result<Project> project = Project::open(call.files[0], Access::Read);
    if (!project)
        return project.error();
    if (const auto known = knownTrench(call, *project); !known)
        return known.error();
    bool faults = false;
    ordered_json json;
    for (const ReportKind& kind : *kinds) {
        const Result<Written> written = kind.write(call, *project);
        if (!written)
            return written.error();
        faults = faults || written->faults;
        json[kind.name] = written->json;
        if (!call.json)
            for (const std::filesystem::path& file : written->files)
                *call.out << file.string() << "\n";
    }
    if (call.json)
        // One kind alone stands by itself.
        *call.out << (kinds->size() == 1 ? json.front() : json)
                         .dump(2, ' ', false, ordered_json::error_handler_t::replace)
                  << "\n";
    return faults ? VerbEnd::Faults : VerbEnd::Done;
}

std::vector<OptionWords> reportOptions()
{
    std::vector<OptionWords> options = {
        {"to", "FOLDER", "where to write"},
        {"kind", "NAME",
         "residuals (the default: PDF, HTML, CSV, JSON), close-of-day (PDF; exit code 1 while anything "
         "must be "
         "done), sequence (PDF, SVG; exit code 1 if it runs in a circle), journal (CSV), plans "
         "(print-ready: "
         "PDF, SVG) or project (summary, residuals, finds, checks, sign-offs, deposit statement, data "
         "dictionary: PDF, HTML); may be given more than once"},
        {"each", "", "residuals: also one report for each drawing, in a folder named after it"},
        {"drawing", "NUMBER", "residuals and plans: only this drawing (may be given more than once)"},
        {"by", "WORD", "close-of-day: group by trench (the default), drawing, person or severity"},
        {"person", "INITIALS", "close-of-day: who printed it"}};
    for (OptionWords option : plansOptions()) {
        if (option.name == "trench")
            option.meaning = "close-of-day, sequence and plans: only this trench";
        options.push_back(std::move(option));
    }
    return options;
}

} // namespace

Verb reportVerb()
{
    return {"report",
            "PROJECT",
            1,
            1,
            "writes reports: residuals, the close-of-day sheet, the stratigraphic diagram, the journal, "
            "print-ready plans, the project report",
            reportOptions(),
            run};
}

} // namespace inkpeg
