// SPDX-License-Identifier: GPL-3.0-or-later
#include <iomanip>
#include <ostream>
#include <sstream>

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
    std::optional<std::size_t> use, drawing;
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
                             "use, drawing"};
        }
        *place = *found;
    }
    columns.use = table.column("use");
    columns.drawing = table.column("drawing");
    return columns;
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
    return pin;
}

/// The pins of one drawing from the file: all lines, or those of the drawing where the file tells them
/// apart.
Result<std::vector<Pin>> readPins(const std::string& file, const Drawing& drawing)
{
    const Result<CsvTable> table = readCsvFile(file);
    if (!table)
        return table.error();
    const Result<PinColumns> columns = pinColumns(*table, file);
    if (!columns)
        return columns.error();
    std::vector<Pin> pins;
    for (const CsvRow& row : table->rows) {
        if (columns->drawing && trimmed(row.fields[*columns->drawing]) != drawing.number)
            continue;
        Result<Pin> pin = pinOf(row, *columns, file);
        if (!pin)
            return pin.error();
        pin->drawing = drawing.id;
        pins.push_back(std::move(pin).value());
    }
    if (pins.empty())
        return Error{ErrorCode::BadInput, file + ": holds no pins for drawing " + drawing.number};
    return pins;
}

Result<void> store(Project& project, Drawing drawing, const std::vector<Pin>& pins, bool replacePins,
                   const std::string& why)
{
    if (drawing.stage < Stage::Pinned)
        drawing.stage = Stage::Pinned;
    const std::string what =
        pinningAct(drawing.number, std::to_string(pins.size()) + " pins, " + modelName(drawing.model));
    const Result<Change> change = project.act(
        what,
        [&](Editor& edit) -> Result<void> {
            if (replacePins) {
                for (const Pin& former : project.ofDrawing<Pin>(drawing.id))
                    if (const Result<void> removed = edit.remove<Pin>(former.id); !removed)
                        return removed;
                for (Pin pin : pins)
                    if (const Result<void> put = edit.put(pin); !put)
                        return put;
            }
            return edit.put(drawing);
        },
        why);
    return change ? Result<void>() : Result<void>(change.error());
}

/// `text` in so many columns on the screen; UTF-8 letters count once.
std::string padded(const std::string& text, std::size_t width)
{
    std::size_t letters = 0;
    for (const char c : text)
        letters += (static_cast<unsigned char>(c) & 0xC0U) != 0x80U ? 1 : 0;
    return letters < width ? text + std::string(width - letters, ' ') : text;
}

void printTable(const DrawingFigures& figures, std::ostream& out)
{
    const ControlFit& fit = figures.ground.fit;
    const bool upright = figures.ground.section.has_value();
    out << figures.drawing.number << ": " << modelName(fit.settings.model)
        << " at 1:" << exact(fit.settings.scaleDenominator) << ", " << fit.pinsUsed << " pins, redundancy "
        << fit.redundancy << "\n\n";
    out << padded("peg", 12) << padded("use", 7) << std::setw(12) << (upright ? "along mm" : "east mm")
        << std::setw(12) << (upright ? "level mm" : "north mm") << std::setw(12) << "film mm"
        << "  tolerance\n";
    for (const PinResidual& residual : fit.residuals) {
        const std::string verdict = residual.use == PinUse::LeftOut ? ""
                                    : residual.withinTolerance      ? "within"
                                                                    : "OUT";
        out << padded(residual.peg, 12) << padded(nameOf(residual.use), 7) << std::setw(12)
            << fixed(residual.eastM * 1000, 1) << std::setw(12) << fixed(residual.northM * 1000, 1)
            << std::setw(12) << fixed(residual.filmMm, 3) << "  " << verdict << "\n";
    }
    out << "\nRMSE " << fixed(fit.rmseM * 1000, 1) << " mm on the ground, " << fixed(fit.rmseMm, 3)
        << " mm on the film; standard error of unit weight "
        << (fit.redundancy > 0 ? fixed(fit.standardErrorOfUnitWeight, 2) : std::string("-")) << "\n"
        << "standard error at the middle " << fixed(figures.atCentre.totalM() * 1000, 1)
        << " mm, at the worst corner " << fixed(figures.atWorstCorner.totalM() * 1000, 1)
        << " mm on the ground\n"
        << fitVerdictName(figures.verdict) << " (" << fixed(fit.settings.toleranceMm, 2)
        << " mm on the film)\n";
}

Result<VerbEnd> run(const Call& call)
{
    if (!call.has("drawing"))
        return Error{ErrorCode::BadInput, "say which drawing: --drawing NUMBER"};
    Result<Project> project = Project::open(call.files[0], Access::Write);
    if (!project)
        return project.error();
    project->setPerson(call.value("person"));
    std::optional<Drawing> drawing = project->byKey<Drawing>(call.value("drawing"));
    if (!drawing)
        return Error{ErrorCode::NotFound, "drawing \"" + call.value("drawing") +
                                              "\" is not in the register of " + call.files[0]};
    if (call.has("model")) {
        const Result<Model> model = modelNamed(call.value("model"));
        if (!model)
            return model.error();
        drawing->model = *model;
    }
    Result<std::vector<Pin>> pins = call.has("pins")
                                        ? readPins(call.value("pins"), *drawing)
                                        : Result<std::vector<Pin>>(project->ofDrawing<Pin>(drawing->id));
    if (!pins)
        return pins.error();
    // Fitted before anything is stored: pins that determine nothing leave the project as it was.
    const Result<DrawingGround> ground = groundOfDrawing(*project, *drawing, *pins);
    if (!ground)
        return ground.error();
    if (call.has("pins") || call.has("model"))
        if (const Result<void> stored =
                store(*project, *drawing, *pins, call.has("pins"), call.value("why"));
            !stored)
            return stored.error();
    const Result<ProjectFigures> figures = residualFigures(*project, {drawing->number});
    if (!figures)
        return figures.error();
    if (call.json)
        *call.out << residualJson(*figures);
    else
        printTable(figures->drawings.front(), *call.out);
    return figures->drawings.front().verdict == FitVerdict::Out ? VerbEnd::Faults : VerbEnd::Done;
}

} // namespace

Verb pinVerb()
{
    return {"pin",
            "PROJECT",
            1,
            1,
            "gives a drawing its pins, fits it to the ground and prints the residuals",
            {{"drawing", "NUMBER", "the drawing"},
             {"pins", "CSV",
              "its pins: peg, column, row (pixels), use (" + allNames<PinUse>() + "); former pins go"},
             {"model", "NAME", allNames<Model>() + " (blanks as hyphens)"},
             {"person", "INITIALS", "who pins, for the journal"},
             {"why", "TEXT", "why, for the journal"}},
            run};
}

} // namespace inkpeg
