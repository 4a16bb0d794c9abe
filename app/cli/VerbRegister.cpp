// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <ostream>

#include <nlohmann/json.hpp>

#include "app/cli/Verb.h"
#include "app/print/WholeFile.h"
#include "core/base/Csv.h"
#include "core/store/RegisterImport.h"
#include "core/store/RegisterLines.h"

namespace inkpeg {

namespace {

std::string registerList()
{
    std::string list;
    for (const RegisterKind kind : allRegisters())
        list += (list.empty() ? "" : ", ") + registerName(kind);
    return list;
}

Result<ImportSettings> settingsOf(const Call& call)
{
    ImportSettings settings;
    settings.dryRun = call.has("dry-run");
    settings.skipRefused = call.has("skip-refused");
    settings.why = call.value("why");
    settings.progress = call.progress();
    if (call.has("kind")) {
        for (const RegisterKind kind : allRegisters())
            if (registerName(kind) == call.value("kind"))
                settings.kind = kind;
        if (!settings.kind)
            return Error{ErrorCode::BadInput,
                         "--kind \"" + call.value("kind") + "\" is none of " + registerList()};
    }
    for (const std::string& mapping : call.values("column")) {
        const std::size_t equals = mapping.find('=');
        if (equals == std::string::npos)
            return Error{ErrorCode::BadInput,
                         "--column \"" + mapping + "\": write OURS=THEIRS, e.g. \"number=Ctx no\""};
        settings.columns[mapping.substr(0, equals)] = mapping.substr(equals + 1);
    }
    for (const std::string& column : call.values("pass-over"))
        settings.passOver.insert(column);
    return settings;
}

const char* outcomeName(ImportOutcome outcome)
{
    switch (outcome) {
    case ImportOutcome::Added:
        return "added";
    case ImportOutcome::Changed:
        return "changed";
    case ImportOutcome::Unchanged:
        return "unchanged";
    case ImportOutcome::Refused:
        break;
    }
    return "refused";
}

nlohmann::ordered_json reportJson(const std::string& file, const ImportReport& report)
{
    nlohmann::ordered_json json = {{"file", file},
                                   {"register", registerName(report.kind)},
                                   {"reading", report.reading},
                                   {"added", report.added},
                                   {"changed", report.changed},
                                   {"unchanged", report.unchanged},
                                   {"refused", report.refused},
                                   {"applied", report.applied},
                                   {"remarks", report.remarks}};
    json["lines"] = nlohmann::ordered_json::array();
    for (const ImportLine& line : report.lines)
        json["lines"].push_back({{"line", line.line},
                                 {"number", line.number},
                                 {"outcome", outcomeName(line.outcome)},
                                 {"message", line.message}});
    return json;
}

void tell(const Call& call, const std::string& file, const ImportReport& report)
{
    for (const std::string& remark : report.remarks)
        call.say(file + ": " + remark);
    for (const ImportLine& line : report.lines)
        if (line.outcome == ImportOutcome::Refused ||
            (call.has("dry-run") && line.outcome == ImportOutcome::Changed))
            call.say(file + ", line " + std::to_string(line.line) + ": " + line.number + " " +
                     outcomeName(line.outcome) + (line.message.empty() ? "" : ": " + line.message));
    if (!call.json)
        *call.out << registerName(report.kind) << ": " << report.added << " added, " << report.changed
                  << " changed, " << report.unchanged << " unchanged, " << report.refused << " refused ("
                  << report.reading << ")" << (call.has("dry-run") ? ", dry run" : "") << "\n";
}

Error refusedLines(const std::string& file, const ImportReport& report)
{
    constexpr int Most = 5;
    std::string message = file + ": " + std::to_string(report.refused) + " of " +
                          std::to_string(report.lines.size()) + " lines cannot be taken in, so nothing was";
    int told = 0;
    for (const ImportLine& line : report.lines)
        if (line.outcome == ImportOutcome::Refused && told++ < Most)
            message += "\n  line " + std::to_string(line.line) + " (" + line.number + "): " + line.message;
    if (report.refused > Most)
        message += "\n  ... and " + std::to_string(report.refused - Most) + " more; --dry-run tells all";
    return {ErrorCode::BadInput, message};
}

/// Tried on the project opened for reading first: a file that is refused leaves the project untouched to
/// the byte.
Result<ImportReport> take(const Call& call, const std::string& file, ImportSettings settings)
{
    Result<Project> project = Project::open(call.files[0], Access::Read);
    if (!project)
        return project.error();
    ImportSettings trial = settings;
    trial.dryRun = true;
    if (!settings.dryRun)
        trial.progress = {}; // the taking in is what one waits for
    Result<ImportReport> tried = importRegister(*project, file, trial);
    if (!tried || settings.dryRun)
        return tried;
    if (tried->refused > 0 && !settings.skipRefused)
        return refusedLines(file, *tried);
    project = Project::open(call.files[0], Access::Write);
    if (!project)
        return project.error();
    project->setPerson(call.value("person"));
    return importRegister(*project, file, settings);
}

/// The registers as files that can be taken in again.
Result<void> writeOut(const Call& call, const Project& project, std::optional<RegisterKind> only)
{
    for (const RegisterKind kind : allRegisters()) {
        if (only && kind != *only)
            continue;
        const std::filesystem::path file =
            std::filesystem::path(call.value("write")) / (registerName(kind) + ".csv");
        if (const auto written = writeWhole(file, registerCsv(project, kind)); !written)
            return written;
        if (!call.json)
            *call.out << file.string() << "\n";
    }
    return {};
}

/// The records that hold the words, as CSV or JSON.
void listFound(const Call& call, const RegisterTable& table)
{
    nlohmann::ordered_json list = nlohmann::ordered_json::array();
    if (!call.json)
        *call.out << csvLine(table.columns());
    for (const std::uint32_t row : table.matching(call.value("find"))) {
        std::vector<std::string> cells;
        nlohmann::ordered_json record;
        for (std::size_t column = 0; column < table.columns().size(); ++column) {
            cells.emplace_back(table.cell(row, column));
            record[table.columns()[column]] = cells.back();
        }
        if (call.json)
            list.push_back(record);
        else
            *call.out << csvLine(cells);
    }
    if (call.json)
        *call.out << list.dump(2, ' ', false, nlohmann::json::error_handler_t::replace) << "\n";
}

Result<VerbEnd> runWithoutFiles(const Call& call, const ImportSettings& settings)
{
    if (!call.has("write") && !call.has("find"))
        return Error{ErrorCode::BadInput, "name the CSV files to take in, or say --write FOLDER or --find "
                                          "WORDS"};
    const Result<Project> project = Project::open(call.files[0], Access::Read);
    if (!project)
        return project.error();
    if (call.has("write")) {
        if (const auto written = writeOut(call, *project, settings.kind); !written)
            return written.error();
        return VerbEnd::Done;
    }
    if (!settings.kind)
        return Error{ErrorCode::BadInput, "--find needs to know where: --kind, one of " + registerList()};
    listFound(call, registerTable(*project, *settings.kind));
    return VerbEnd::Done;
}

Result<VerbEnd> run(const Call& call)
{
    const Result<ImportSettings> settings = settingsOf(call);
    if (!settings)
        return settings.error();
    if (call.files.size() == 1)
        return runWithoutFiles(call, *settings);
    nlohmann::ordered_json json = nlohmann::ordered_json::array();
    bool refused = false;
    for (std::size_t i = 1; i < call.files.size(); ++i) {
        const Result<ImportReport> report = take(call, call.files[i], *settings);
        if (!report)
            return report.error();
        tell(call, call.files[i], *report);
        json.push_back(reportJson(call.files[i], *report));
        refused = refused || report->refused > 0;
    }
    if (call.json)
        *call.out << json.dump(2, ' ', false, nlohmann::json::error_handler_t::replace) << "\n";
    return refused ? VerbEnd::Faults : VerbEnd::Done;
}

} // namespace

Verb registerVerb()
{
    return {
        "register",
        "PROJECT [CSV...]",
        1,
        1000,
        "takes registers in: merged by number, each file all or nothing; or writes them, or finds records",
        {{"kind", "NAME", "which register, when the file's name does not tell: " + registerList()},
         {"column", "OURS=THEIRS", "the file's own name for a column, e.g. \"number=Ctx no\""},
         {"pass-over", "COLUMN", "a column of the file that is not wanted"},
         {"write", "FOLDER", "write the registers (or that of --kind) as CSV instead"},
         {"find", "WORDS", "list the records of --kind that hold these words; context:1012 for a column"},
         {"dry-run", "", "only tell what would happen, line by line"},
         {"skip-refused", "", "take the good lines although others are refused (exit code 1)"},
         {"person", "INITIALS", "who, for the journal"},
         {"why", "TEXT", "why, for the journal"}},
        run};
}

} // namespace inkpeg
