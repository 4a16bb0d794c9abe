// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/RegisterRules.h"

#include <algorithm>
#include <memory>
#include <set>

#include "core/records/Names.h"
#include "core/store/DrawingFit.h"
#include "core/store/RegisterLines.h"
#include "core/store/SheetScan.h"

namespace inkpeg {

namespace {

using Problem = std::optional<std::string>;

constexpr const char* SignedOff =
    "is signed off and is not changed by a register; take the sign-off back first, with "
    "a reason";

template<typename Record>
const std::string& keyOf(const Record& record)
{
    if constexpr (requires { record.number; })
        return record.number;
    else if constexpr (requires { record.initials; })
        return record.initials;
    else
        return record.name;
}

/// Rules for a register whose lines are records without more to say.
template<typename Record>
RegisterRules<Record> plainRules(const Project& project)
{
    RegisterRules<Record> rules;
    for (Record& record : registerLines<Record>(project))
        rules.held.emplace(keyOf(record), std::move(record));
    rules.key = [](const Record& record) { return keyOf(record); };
    rules.complete = [](Record& record, const Record*, std::vector<std::string>&) -> Problem {
        if constexpr (requires { record.position.has_value(); })
            return wrongAsAWhole(record.position);
        return std::nullopt;
    };
    rules.put = [](Editor& edit, Record& record) { return edit.put(record); };
    return rules;
}

/// A peg may be given once in each frame: that is how the site grid is related to the CRS.
RegisterRules<Peg> pegRules(const Project& project)
{
    const auto key = [](const Peg& peg) {
        return peg.frame == PegFrame::Site ? peg.name + " in the site grid" : peg.name;
    };
    RegisterRules<Peg> rules = plainRules<Peg>(project);
    rules.held.clear();
    for (const Peg& peg : project.all<Peg>())
        rules.held.emplace(key(peg), peg);
    rules.key = key;
    return rules;
}

RegisterRules<Drawing> drawingRules(const Project& project)
{
    RegisterRules<Drawing> rules = plainRules<Drawing>(project);
    auto scanned = std::make_shared<std::set<std::string>>();
    for (const Sheet& sheet : project.all<Sheet>())
        if (!sheet.scanFile.empty())
            scanned->insert(sheet.number);
    rules.complete = [scanned](Drawing& drawing, const Drawing* before,
                               std::vector<std::string>&) -> Problem {
        if (before && before->stage == Stage::SignedOff && drawing != *before)
            return SignedOff;
        if (drawing.stage == Stage::Listed && scanned->contains(drawing.sheet))
            drawing.stage = Stage::Scanned;
        return std::nullopt;
    };
    return rules;
}

RegisterRules<ContextLine> contextRules(const Project& project)
{
    RegisterRules<ContextLine> rules;
    const auto written = std::make_shared<std::unordered_map<std::string, std::vector<Relation>>>();
    for (Relation& relation : project.all<Relation>())
        (*written)[relation.context].push_back(std::move(relation));
    for (ContextLine& line : registerLines<ContextLine>(project))
        rules.held.emplace(line.context.number, std::move(line));
    rules.key = [](const ContextLine& line) { return line.context.number; };
    rules.complete = [](ContextLine& line, const ContextLine* before,
                        std::vector<std::string>&) -> Problem {
        if (before && before->context.stage == Stage::SignedOff && line != *before)
            return SignedOff;
        return std::nullopt;
    };
    rules.put = [written](Editor& edit, ContextLine& line) -> Result<void> {
        if (const auto put = edit.put(line.context); !put)
            return put;
        std::set<std::pair<RelationKind, std::string>> missing;
        for (const auto& [kind, others] : line.relations)
            for (const std::string& other : others)
                missing.emplace(kind, other);
        if (const auto held = written->find(line.context.number); held != written->end())
            for (const Relation& relation : held->second)
                if (missing.erase({relation.kind, relation.other}) == 0)
                    if (const auto removed = edit.remove<Relation>(relation.id); !removed)
                        return removed;
        for (const auto& [kind, other] : missing) {
            Relation relation{0, line.context.number, kind, other};
            if (const auto put = edit.put(relation); !put)
                return put;
        }
        return {};
    };
    return rules;
}

RegisterRules<SheetLine> sheetRules(const Project& project, const std::filesystem::path& csv)
{
    RegisterRules<SheetLine> rules;
    for (SheetLine& line : registerLines<SheetLine>(project))
        rules.held.emplace(line.sheet.number, std::move(line));
    const std::filesystem::path projectFolder = std::filesystem::absolute(project.file()).parent_path();
    const std::filesystem::path csvFolder = std::filesystem::absolute(csv).parent_path();
    const std::vector<std::filesystem::path> folders = {projectFolder, csvFolder, csvFolder.parent_path()};
    rules.key = [](const SheetLine& line) { return line.sheet.number; };
    rules.complete = [=](SheetLine& line, const SheetLine*, std::vector<std::string>& remarks) -> Problem {
        if (!line.scan.empty()) {
            const auto read =
                readSheetScan(line.sheet, line.scan, line.dpi, projectFolder, folders, remarks);
            if (!read)
                return "scan: " + read.error().message;
        } else if (line.dpi) {
            line.sheet.frame.dpiX = line.sheet.frame.dpiY = *line.dpi;
        }
        // What was written has done its work; the sheet alone is compared and kept.
        line.scan.clear();
        line.dpi.reset();
        return std::nullopt;
    };
    rules.put = [&project](Editor& edit, SheetLine& line) -> Result<void> {
        if (const auto put = edit.put(line.sheet); !put)
            return put;
        if (line.sheet.scanFile.empty())
            return {};
        for (Drawing& drawing : project.all<Drawing>()) {
            if (drawing.sheet != line.sheet.number || drawing.stage != Stage::Listed)
                continue;
            drawing.stage = Stage::Scanned;
            if (const auto put = edit.put(drawing); !put)
                return put;
        }
        return {};
    };
    return rules;
}

std::string pinKey(const std::string& drawing, const std::string& peg)
{
    return drawing + " " + peg;
}

/// What pins may refer to.
struct PinTargets {
    std::unordered_map<std::string, Drawing> drawings;
    std::unordered_map<std::string, Sheet> sheets;
    std::set<std::string> pegs;
};

Problem completePin(PinLine& line, const PinLine* before, const PinTargets& targets)
{
    const auto drawing = targets.drawings.find(line.drawing);
    if (drawing == targets.drawings.end())
        return "drawing: there is no drawing \"" + line.drawing +
               "\" in the project; take in the drawing register first";
    if (!targets.pegs.contains(line.pin.peg))
        return "peg: there is no peg \"" + line.pin.peg +
               "\" in the project; take in the peg register first";
    line.pin.drawing = drawing->second.id;
    if (line.pin.placedBy.empty())
        line.pin.placedBy = "hand";
    if (drawing->second.stage == Stage::SignedOff && (!before || *before != line))
        return "drawing " + line.drawing + " " + SignedOff;
    const auto sheet = targets.sheets.find(drawing->second.sheet);
    if (sheet == targets.sheets.end() || sheet->second.scanFile.empty())
        return std::nullopt;
    const FilmFrame& frame = sheet->second.frame;
    const ScanPx mark = line.pin.mark;
    if (mark.column < 0 || mark.row < 0 || mark.column > frame.widthPx || mark.row > frame.heightPx)
        return "column, row: " + exact(mark.column) + ", " + exact(mark.row) +
               " is off the scan, which has " + exact(frame.widthPx) + " columns and " +
               exact(frame.heightPx) + " rows";
    return std::nullopt;
}

RegisterRules<PinLine> pinRules(const Project& project)
{
    RegisterRules<PinLine> rules;
    const auto targets = std::make_shared<PinTargets>();
    for (Drawing& drawing : project.all<Drawing>())
        targets->drawings.emplace(drawing.number, std::move(drawing));
    for (Sheet& sheet : project.all<Sheet>())
        targets->sheets.emplace(sheet.number, std::move(sheet));
    for (const Peg& peg : project.all<Peg>())
        targets->pegs.insert(peg.name);
    for (PinLine& line : registerLines<PinLine>(project)) {
        std::string key = pinKey(line.drawing, line.pin.peg);
        rules.held.emplace(std::move(key), std::move(line));
    }
    rules.key = [](const PinLine& line) { return pinKey(line.drawing, line.pin.peg); };
    rules.complete = [targets](PinLine& line, const PinLine* before, std::vector<std::string>&) {
        return completePin(line, before, *targets);
    };
    rules.put = [](Editor& edit, PinLine& line) { return edit.put(line.pin); };
    return rules;
}

/// Drawings that their pins now tie down become "pinned".
Result<void> markPinned(Editor& edit, const Project& project)
{
    for (Drawing& drawing : project.all<Drawing>()) {
        if (drawing.stage > Stage::Scanned || project.ofDrawing<Pin>(drawing.id).empty())
            continue;
        const Result<DrawingGround> ground = groundOfDrawing(project, drawing);
        if (!ground || !pinsHold(ground->fit))
            continue;
        drawing.stage = Stage::Pinned;
        if (const auto put = edit.put(drawing); !put)
            return put;
    }
    return {};
}

} // namespace

RegisterPlan planOf(RegisterKind kind, const Project& project, const std::filesystem::path& csv,
                    const CsvTable& table, const std::vector<std::optional<std::size_t>>& places,
                    const Progress& progress)
{
    switch (kind) {
    case RegisterKind::People:
        return planRegister(table, places, plainRules<Person>(project), progress);
    case RegisterKind::Trenches:
        return planRegister(table, places, plainRules<Trench>(project), progress);
    case RegisterKind::Pegs:
        return planRegister(table, places, pegRules(project), progress);
    case RegisterKind::Sheets:
        return planRegister(table, places, sheetRules(project, csv), progress);
    case RegisterKind::Drawings:
        return planRegister(table, places, drawingRules(project), progress);
    case RegisterKind::Contexts:
        return planRegister(table, places, contextRules(project), progress);
    case RegisterKind::Finds:
        return planRegister(table, places, plainRules<Find>(project), progress);
    case RegisterKind::Samples:
        return planRegister(table, places, plainRules<Sample>(project), progress);
    case RegisterKind::Timbers:
        return planRegister(table, places, plainRules<Timber>(project), progress);
    case RegisterKind::Photographs:
        return planRegister(table, places, plainRules<Photograph>(project), progress);
    case RegisterKind::Pins: {
        RegisterPlan plan = planRegister(table, places, pinRules(project), progress);
        if (!plan.puts.empty())
            plan.puts.push_back([&project](Editor& edit) { return markPinned(edit, project); });
        return plan;
    }
    case RegisterKind::Levels:
        return planLevels(project, csv, table, places, progress);
    }
    return {};
}

} // namespace inkpeg
