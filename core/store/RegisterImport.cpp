// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/RegisterImport.h"

#include "core/base/Csv.h"
#include "core/base/ProgressShare.h"
#include "core/base/Text.h"
#include "core/store/RegisterRules.h"

namespace inkpeg {

namespace {

constexpr int RefusedLinesShown = 5;

/// Of the whole work, for whoever watches: looking at the lines, beside putting them.
constexpr double PlannedShare = 0.4;

std::string registerFileNames()
{
    std::string names;
    for (const RegisterKind kind : allRegisters())
        names += (names.empty() ? "" : ", ") + registerName(kind) + ".csv";
    return names;
}

void count(ImportReport& report)
{
    for (const ImportLine& line : report.lines) {
        report.added += line.outcome == ImportOutcome::Added ? 1 : 0;
        report.changed += line.outcome == ImportOutcome::Changed ? 1 : 0;
        report.unchanged += line.outcome == ImportOutcome::Unchanged ? 1 : 0;
        report.refused += line.outcome == ImportOutcome::Refused ? 1 : 0;
    }
}

Error refusal(const ImportReport& report, const std::string& file)
{
    std::string text = file + ": " + std::to_string(report.refused) + " of " +
                       std::to_string(report.lines.size()) + " lines cannot be taken in, so nothing was";
    int shown = 0;
    for (const ImportLine& line : report.lines) {
        if (line.outcome != ImportOutcome::Refused)
            continue;
        if (shown++ == RefusedLinesShown) {
            text += "\n  ... and " + std::to_string(report.refused - RefusedLinesShown) + " more";
            break;
        }
        text += "\n  " + file + ", line " + std::to_string(line.line) +
                (line.number.empty() ? "" : " (" + line.number + ")") + ": " + line.message;
    }
    return {ErrorCode::BadInput, text};
}

/// The short column heads that level books are written with, and those of readLevelBook.
void addShortHeads(const CsvTable& table, HeaderMapping& mapping)
{
    for (const auto& [column, heads] : {std::pair{"point", std::vector{"station"}},
                                        {"backsight", {"bs"}},
                                        {"intermediate", {"is"}},
                                        {"foresight", {"fs"}},
                                        {"benchmark", {"known"}},
                                        {"booked", {"rl"}}})
        for (const char* head : heads)
            if (!table.column(column) && table.column(head))
                mapping.columns.emplace(column, head);
}

/// The mapping to read a file by: the one given, or what is remembered and fits the file.
HeaderMapping mappingFor(const Project& project, RegisterKind kind, const CsvTable& table,
                         const ImportSettings& settings, std::vector<std::string>& remarks)
{
    HeaderMapping mapping{settings.columns, settings.passOver};
    if (kind == RegisterKind::Levels && mapping.columns.empty())
        addShortHeads(table, mapping);
    if (!mapping.columns.empty())
        return mapping;
    const HeaderMapping remembered = rememberedMapping(project, kind);
    for (const auto& [column, siteColumn] : remembered.columns)
        if (!table.column(column) && table.column(lowerAscii(trimmed(siteColumn)))) {
            mapping.columns[column] = siteColumn;
            remarks.push_back("the column \"" + siteColumn + "\" is taken for " + column + ", as before");
        }
    for (const std::string& siteColumn : remembered.passOver)
        if (table.column(lowerAscii(trimmed(siteColumn))) && mapping.passOver.insert(siteColumn).second)
            remarks.push_back("the column \"" + siteColumn + "\" is passed over, as before");
    return mapping;
}

/// Remembers the mapping given, in the act that takes the register in. A column of the file that is passed
/// over is kept under no column of ours.
Result<void> rememberMapping(Editor& edit, const Project& project, RegisterKind kind,
                             const ImportSettings& settings)
{
    const std::vector<ColumnMatch> held = project.all<ColumnMatch>();
    const auto put = [&](ColumnMatch match) -> Result<void> {
        for (const ColumnMatch& known : held) {
            const bool same =
                known.column.empty() ? known.siteColumn == match.siteColumn : known.column == match.column;
            if (known.registerName == match.registerName && known.column == match.column && same)
                match.id = known.id;
        }
        return edit.put(match);
    };
    for (const auto& [column, siteColumn] : settings.columns)
        if (const auto done = put({0, registerName(kind), column, siteColumn}); !done)
            return done;
    for (const std::string& siteColumn : settings.passOver)
        if (const auto done = put({0, registerName(kind), {}, siteColumn}); !done)
            return done;
    return {};
}

} // namespace

HeaderMapping rememberedMapping(const Project& project, RegisterKind kind)
{
    HeaderMapping mapping;
    for (const ColumnMatch& match : project.all<ColumnMatch>())
        if (match.registerName != registerName(kind))
            continue;
        else if (match.column.empty())
            mapping.passOver.insert(match.siteColumn);
        else
            mapping.columns[match.column] = match.siteColumn;
    return mapping;
}

Result<ImportReport> importRegister(Project& project, const std::filesystem::path& csv,
                                    const ImportSettings& settings)
{
    const std::string file = csv.string();
    const std::optional<RegisterKind> kind = settings.kind ? settings.kind : registerOfFileName(csv);
    if (!kind)
        return Error{ErrorCode::BadInput,
                     file + ": the name does not tell which register it is; name it one of " +
                         registerFileNames() + ", or say which"};
    const Result<CsvTable> table = readCsvFile(csv, UnevenRows::Kept);
    if (!table)
        return table.error();
    std::vector<std::string> remarks;
    const HeaderMapping mapping = mappingFor(project, *kind, *table, settings, remarks);
    const auto places = matchHeader(*kind, *table, file, mapping);
    if (!places)
        return places.error();
    if (table->rows.empty())
        return Error{ErrorCode::BadInput, file + ": names its columns but holds no lines"};

    const Error stopped{ErrorCode::Cancelled, file + ": taking it in was stopped; nothing of it was taken"};
    RegisterPlan plan = planOf(*kind, project, csv, *table, *places,
                               shareOf(settings.progress, 0, settings.dryRun ? 1 : PlannedShare));
    if (plan.stopped)
        return stopped;
    if (const auto trouble = project.takeReadingTrouble())
        return *trouble;
    ImportReport found;
    found.kind = *kind;
    found.reading = table->reading.words();
    found.lines = std::move(plan.lines);
    found.remarks = std::move(remarks);
    found.remarks.insert(found.remarks.end(), plan.remarks.begin(), plan.remarks.end());
    count(found);
    if (settings.dryRun) {
        report(settings.progress, 1);
        return found;
    }
    if (found.refused > 0 && !settings.skipRefused)
        return refusal(found, file);
    const Progress taking = shareOf(settings.progress, PlannedShare, 1);
    const std::string what = "register " + registerName(*kind) + ": " + std::to_string(found.added) +
                             " added, " + std::to_string(found.changed) + " changed";
    const Result<Change> change = project.act(
        what,
        [&](Editor& edit) -> Result<void> {
            for (std::size_t i = 0; i < plan.puts.size(); ++i) {
                if (!report(taking, double(i) / double(plan.puts.size())))
                    return stopped;
                if (const auto done = plan.puts[i](edit); !done)
                    return done;
            }
            return rememberMapping(edit, project, *kind, settings);
        },
        settings.why);
    if (!change)
        return change.error();
    report(settings.progress, 1);
    found.applied = change->journalId != 0;
    found.journalId = change->journalId;
    return found;
}

} // namespace inkpeg
