// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <ostream>

#include "app/cli/PinAids.h"
#include "app/cli/PinTables.h"
#include "app/cli/Verb.h"
#include "core/base/Csv.h"
#include "core/base/Text.h"
#include "core/handover/ResidualFigures.h"
#include "core/records/Names.h"

namespace inkpeg {

namespace {

Error atLine(const std::string& file, const CsvRow& row, const std::string& words)
{
    return {ErrorCode::BadInput, file + ", line " + std::to_string(row.line) + ": " + words};
}

struct PinColumns {
    std::size_t peg = 0, column = 0, row = 0;
    std::optional<std::size_t> use, drawing, onDatum, datum;
};

Result<PinColumns> pinColumns(const CsvTable& table, const std::string& file)
{
    PinColumns columns;
    for (const auto& [name, place] :
         {std::pair{"peg", &columns.peg}, {"column", &columns.column}, {"row", &columns.row}}) {
        const std::optional<std::size_t> found = table.column(name);
        if (!found) {
            std::string there;
            for (const std::string& column : table.columns)
                there += (there.empty() ? "" : ", ") + column;
            return Error{ErrorCode::BadInput,
                         file + ": there is no column \"" + name + "\"; the file has " + there +
                             "; pins want peg, column, row (pixels in the scan) and may have "
                             "use, drawing, on_datum, datum"};
        }
        *place = *found;
    }
    columns.use = table.column("use");
    columns.drawing = table.column("drawing");
    columns.onDatum = table.column("on_datum");
    columns.datum = table.column("datum");
    return columns;
}

/// Sections: whether the mark lies on the datum line, and the datum of its piece.
Result<void> readDatum(const CsvRow& row, const PinColumns& columns, const std::string& file, Pin& pin)
{
    if (columns.onDatum) {
        const std::string word = lowerAscii(trimmed(row.fields[*columns.onDatum]));
        if (!word.empty() && word != "yes" && word != "no")
            return atLine(file, row, "column on_datum: \"" + word + "\" is neither yes nor no");
        pin.onDatum = word == "yes";
    }
    if (columns.datum && !trimmed(row.fields[*columns.datum]).empty()) {
        const Result<double> datum = parseDatum(row.fields[*columns.datum], pin.peg);
        if (!datum)
            return atLine(file, row, "column datum: " + datum.error().message);
        pin.datumM = *datum;
    }
    return {};
}

Result<Pin> pinOf(const CsvRow& row, const PinColumns& columns, const std::string& file)
{
    Pin pin;
    pin.peg = cellAsMeant(row.fields[columns.peg]);
    pin.placedBy = "hand";
    if (trimmed(pin.peg).empty())
        return atLine(file, row, "column peg is empty; name the peg");
    for (const auto& [name, index, value] :
         {std::tuple{"column", columns.column, &pin.mark.column}, {"row", columns.row, &pin.mark.row}}) {
        const std::optional<double> number = parseNumber(row.fields[index]);
        if (!number)
            return atLine(file, row,
                          std::string("column ") + name + ": \"" + row.fields[index] +
                              "\" is not a number of pixels, e.g. 1204.5");
        *value = *number;
    }
    if (columns.use && !trimmed(row.fields[*columns.use]).empty()) {
        const std::optional<PinUse> use = named<PinUse>(row.fields[*columns.use]);
        if (!use)
            return atLine(file, row,
                          "column use: \"" + row.fields[*columns.use] + "\" is none of " +
                              allNames<PinUse>());
        pin.use = *use;
    }
    const Result<void> read = readDatum(row, columns, file, pin);
    return read ? Result<Pin>(std::move(pin)) : Result<Pin>(read.error());
}

/// The pins of the file by drawing, in the order of the file; a file that does not tell drawings apart
/// gives all its pins to `only`.
struct PinsOfDrawing {
    Drawing drawing;
    std::vector<Pin> pins;
};

PinsOfDrawing& entryFor(const Drawing& drawing, std::vector<PinsOfDrawing>& all)
{
    for (PinsOfDrawing& entry : all)
        if (entry.drawing.id == drawing.id)
            return entry;
    return all.emplace_back(PinsOfDrawing{drawing, {}});
}

Result<std::vector<PinsOfDrawing>> readPins(const std::string& file, const Project& project,
                                            const std::optional<Drawing>& only)
{
    const Result<CsvTable> table = readCsvFile(file);
    if (!table)
        return table.error();
    const Result<PinColumns> columns = pinColumns(*table, file);
    if (!columns)
        return columns.error();
    if (!only && !columns->drawing)
        return Error{ErrorCode::BadInput,
                     file + ": --all wants a column \"drawing\" that says whose pins they are"};
    std::vector<PinsOfDrawing> all;
    for (const CsvRow& row : table->rows) {
        std::optional<Drawing> drawing = only;
        if (columns->drawing) {
            const std::string number = cellAsMeant(trimmed(row.fields[*columns->drawing]));
            if (only && number != only->number)
                continue;
            drawing = project.byKey<Drawing>(number);
            if (!drawing)
                return atLine(file, row,
                              "drawing \"" + number + "\" is not in the register; register it first");
        }
        Result<Pin> pin = pinOf(row, *columns, file);
        if (!pin)
            return pin.error();
        pin->drawing = drawing->id;
        entryFor(*drawing, all).pins.push_back(std::move(pin).value());
    }
    if (all.empty())
        return Error{ErrorCode::BadInput,
                     file + ": holds no pins" + (only ? " for drawing " + only->number : "")};
    return all;
}

/// Without a file: the pins that the project holds.
std::vector<PinsOfDrawing> storedPins(const Project& project, const std::optional<Drawing>& only)
{
    if (only)
        return {{*only, project.ofDrawing<Pin>(only->id)}};
    std::vector<PinsOfDrawing> all;
    for (const Drawing& drawing : project.all<Drawing>())
        if (std::vector<Pin> pins = project.ofDrawing<Pin>(drawing.id); !pins.empty())
            all.push_back({drawing, std::move(pins)});
    return all;
}

Result<void> store(Project& project, Drawing drawing, const std::vector<Pin>& pins, bool replacePins,
                   const std::string& why)
{
    if (const Result<DrawingGround> ground = groundOfDrawing(project, drawing, pins);
        drawing.stage < Stage::Pinned && ground && pinsHold(ground->fit))
        drawing.stage = Stage::Pinned;
    const std::string what =
        pinningAct(drawing.number, std::to_string(pins.size()) + " pins, " + modelName(drawing.model));
    const Result<Change> change = project.act(
        what,
        [&](Editor& edit) -> Result<void> {
            if (replacePins) {
                for (const Pin& former : project.ofDrawing<Pin>(drawing.id)) {
                    const bool stays =
                        std::ranges::any_of(pins, [&](const Pin& pin) { return pin.id == former.id; });
                    if (const Result<void> removed = stays ? Result<void>() : edit.remove<Pin>(former.id);
                        !removed)
                        return removed;
                }
                for (Pin pin : pins)
                    if (const Result<void> put = edit.put(pin); !put)
                        return put;
            }
            return edit.put(drawing);
        },
        why);
    return change ? Result<void>() : Result<void>(change.error());
}

/// The drawings that their pins tie to the ground. One that was asked for by its number and cannot be
/// fitted is an error; among all, it is told and left as it was.
Result<std::vector<PinsOfDrawing>> thoseThatFit(const Call& call, const Project& project,
                                                std::vector<PinsOfDrawing> work)
{
    std::optional<Model> model;
    if (call.has("model")) {
        const Result<Model> asked = modelNamed(call.value("model"));
        if (!asked)
            return asked.error();
        model = *asked;
    }
    std::vector<PinsOfDrawing> fitted;
    for (PinsOfDrawing& entry : work) {
        if (model) {
            entry.drawing.model = *model;
            entry.drawing.modelReason = call.value("why");
        }
        const Result<DrawingGround> ground = groundOfDrawing(project, entry.drawing, entry.pins);
        if (!ground && !call.has("all"))
            return ground.error();
        if (ground)
            fitted.push_back(std::move(entry));
        else
            call.say(ground.error().message);
    }
    return fitted;
}

Result<VerbEnd> tell(const Call& call, const Project& project, const std::vector<PinsOfDrawing>& fitted)
{
    if (fitted.empty()) {
        call.say("no drawing could be fitted");
        return VerbEnd::Faults;
    }
    std::vector<std::string> numbers;
    for (const PinsOfDrawing& entry : fitted)
        numbers.push_back(entry.drawing.number);
    const Result<ProjectFigures> figures = residualFigures(project, numbers);
    if (!figures)
        return figures.error();
    if (call.json)
        *call.out << residualJson(*figures);
    VerbEnd end = VerbEnd::Done;
    for (const DrawingFigures& drawing : figures->drawings) {
        if (!call.json) {
            printResiduals(drawing, *call.out);
            printDiagnosis(drawing, *call.out);
            printModels(drawing, *call.out);
        }
        if (drawing.verdict == FitVerdict::Out)
            end = VerbEnd::Faults;
    }
    if (!call.json && figures->siteGrid)
        printSiteGrid(*figures->siteGrid, *call.out);
    return end;
}

/// Only lists the crosses; nothing is stored.
VerbEnd tellCrosses(const Call& call, const GridProposal& grid)
{
    if (call.json)
        *call.out << crossesJson(grid, call.value("drawing"));
    else
        printCrosses(grid, *call.out);
    return VerbEnd::Done;
}

Result<VerbEnd> run(const Call& call)
{
    if (call.has("drawing") == call.has("all"))
        return Error{ErrorCode::BadInput, "say which drawing: --drawing NUMBER, or --all"};
    if (const Result<void> checked = checkPinAids(call); !checked)
        return checked.error();
    // Read, fitted and judged before the project is opened for writing: bad pins leave it untouched.
    Result<Project> project = Project::open(call.files[0], Access::Read);
    if (!project)
        return project.error();
    std::optional<Drawing> only;
    if (call.has("drawing")) {
        only = project->byKey<Drawing>(call.value("drawing"));
        if (!only)
            return Error{ErrorCode::NotFound, "drawing \"" + call.value("drawing") +
                                                  "\" is not in the register of " + call.files[0]};
    }
    Result<std::vector<PinsOfDrawing>> work =
        call.has("pins") ? readPins(call.value("pins"), *project, only)
                         : Result<std::vector<PinsOfDrawing>>(storedPins(*project, only));
    if (!work)
        return work.error();
    if (only && !work->empty()) {
        std::optional<GridProposal> shown;
        if (const Result<void> aided = aidPins(call, *project, *only, work->front().pins, shown); !aided)
            return aided.error();
        if (shown)
            return tellCrosses(call, *shown);
    }
    const bool newPins = call.has("pins") || aidsChangePins(call);
    const std::size_t asked = work->size();
    const Result<std::vector<PinsOfDrawing>> fitted = thoseThatFit(call, *project, std::move(work).value());
    if (!fitted)
        return fitted.error();
    if ((newPins || call.has("model") || call.has("remedy")) && !fitted->empty()) {
        project = Project::open(call.files[0], Access::Write);
        if (!project)
            return project.error();
        project->setPerson(call.value("person"));
        for (const PinsOfDrawing& entry : *fitted)
            if (newPins || call.has("model"))
                if (const Result<void> stored =
                        store(*project, entry.drawing, entry.pins, newPins, call.value("why"));
                    !stored)
                    return stored.error();
        if (call.has("remedy"))
            if (const Result<void> taken = takeRemedyAsked(call, *project, fitted->front().drawing); !taken)
                return taken.error();
    }
    const Result<VerbEnd> end = tell(call, *project, *fitted);
    return end && fitted->size() < asked ? Result<VerbEnd>(VerbEnd::Faults) : end;
}

} // namespace

Verb pinVerb()
{
    Verb verb{
        "pin",
        "PROJECT",
        1,
        1,
        "gives a drawing its pins, fits it to the ground, prints residuals, likely causes of wrong pins "
        "and a comparison of models",
        {{"drawing", "NUMBER", "the drawing"},
         {"all", "", "every drawing that has pins; with --pins, those of its column drawing"},
         {"pins", "CSV",
          "its pins: peg, column, row (pixels), use (" + allNames<PinUse>() + "); former pins go"},
         {"model", "NAME", allNames<Model>() + " (blanks as hyphens)"},
         {"person", "INITIALS", "who pins, for the journal"},
         {"why", "TEXT", "why, for the journal; with --model kept as the reason for it"}},
        run};
    for (const OptionWords& option : pinAidOptions())
        verb.options.push_back(option);
    return verb;
}

} // namespace inkpeg
