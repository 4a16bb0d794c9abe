// SPDX-License-Identifier: GPL-3.0-or-later
#include "samples/generator/Registers.h"

#include <fstream>

#include "core/base/Text.h"

namespace inkpeg::demo {

namespace {

using Row = std::vector<std::string>;

std::string cell(const std::string& text)
{
    if (text.find_first_of(",\"\r\n") == std::string::npos)
        return text;
    std::string quoted = "\"";
    for (const char letter : text)
        quoted += letter == '"' ? std::string("\"\"") : std::string(1, letter);
    return quoted + "\"";
}

std::string number(std::optional<double> value, int decimals)
{
    return value ? fixed(*value, decimals) : "";
}

/// Opens, writes a header and rows with CRLF line ends (RFC 4180, section 2), and remembers the first
/// failure.
class Register {
public:
    Register(const std::filesystem::path& file, const Row& header)
        : m_file(file), m_stream(file, std::ios::binary)
    {
        add(header);
    }
    void add(const Row& row)
    {
        for (std::size_t i = 0; i < row.size(); ++i)
            m_stream << (i ? "," : "") << cell(row[i]);
        m_stream << "\r\n";
    }
    std::string close()
    {
        m_stream.close();
        return m_stream ? "" : "cannot write " + m_file.string();
    }

private:
    std::filesystem::path m_file;
    std::ofstream m_stream;
};

/// WKT of a ring given as pairs.
std::string polygonText(const std::vector<std::pair<double, double>>& corners, int decimals)
{
    std::string text = "POLYGON ((";
    for (const auto& [x, y] : corners)
        text += fixed(x, decimals) + " " + fixed(y, decimals) + ", ";
    return text + fixed(corners.front().first, decimals) + " " + fixed(corners.front().second, decimals) +
           "))";
}

std::string related(const ContextRecord& context, const std::string& word)
{
    const auto found = context.relations.find(word);
    std::string text;
    if (found != context.relations.end())
        for (const std::string& other : found->second)
            text += (text.empty() ? "" : " ") + other;
    return text;
}

std::string frameOf(const DrawingPlan& drawing, const SheetPlan& sheet)
{
    if (!sheet.framed)
        return "";
    std::vector<std::pair<double, double>> corners;
    for (const FilmMm corner : drawing.frameOnFilm()) {
        const ScanPx px = sheet.map.toScan(corner);
        corners.emplace_back(px.column, px.row);
    }
    return polygonText(corners, 1);
}

std::string writePeopleAndTrenches(const Demo& demo, const std::filesystem::path& folder)
{
    Register people(folder / "people.csv", {"initials", "name", "role"});
    for (const PersonRecord& person : demo.people)
        people.add({person.initials, person.name, person.role});
    Register trenches(folder / "trenches.csv", {"name", "kind", "limit_wkt"});
    for (const TrenchRecord& trench : demo.trenches) {
        std::vector<std::pair<double, double>> corners;
        for (const Metres corner : trench.limit)
            corners.emplace_back(groundOfSite(corner).east, groundOfSite(corner).north);
        trenches.add({trench.name, trench.kind, polygonText(corners, 3)});
    }
    return people.close() + trenches.close();
}

std::string writeSurvey(const Demo& demo, const std::filesystem::path& folder)
{
    Register pegs(folder / "pegs.csv",
                  {"name", "frame", "east", "north", "level", "se_east", "se_north", "se_level", "note"});
    for (const PegRecord& peg : demo.pegs)
        pegs.add({peg.name, peg.inSiteFrame ? "site" : "crs", fixed(peg.east, 3), fixed(peg.north, 3),
                  number(peg.levelM, 3), fixed(peg.standardErrorM, 4), fixed(peg.standardErrorM, 4),
                  number(peg.standardErrorLevelM, 4), peg.note});
    Register pins(folder / "pins.csv", {"drawing", "peg", "column", "row", "use"});
    for (const PinRecord& pin : demo.pins)
        pins.add({pin.drawing, pin.peg, fixed(pin.clicked.column, 2), fixed(pin.clicked.row, 2), pin.use});
    return pegs.close() + pins.close();
}

std::string writeDrawings(const Demo& demo, const std::filesystem::path& folder)
{
    Register sheets(folder / "sheets.csv", {"number", "film_size", "scan", "dpi", "face_down"});
    for (const SheetPlan& sheet : demo.sheets)
        sheets.add({sheet.number, sheet.filmSize, sheet.file, fixed(sheet.map.dpi, 0),
                    sheet.map.faceDown ? "yes" : "no"});
    Register drawings(folder / "drawings.csv", {"number", "kind", "title", "trench", "sheet", "scale",
                                                "drawn_by", "drawn_on", "facing", "datum", "frame"});
    for (const DrawingPlan& drawing : demo.drawings)
        drawings.add({drawing.number, drawing.kind, drawing.title, drawing.trench, drawing.sheet,
                      fixed(drawing.scale, 0), drawing.drawnBy, drawing.drawnOn, drawing.facing,
                      number(drawing.datumM, 2), frameOf(drawing, demo.sheetOf(drawing))});
    return sheets.close() + drawings.close();
}

std::string writeContexts(const Demo& demo, const std::filesystem::path& folder)
{
    Row header = {"number",      "kind",        "trench", "description", "period",
                  "recorded_by", "recorded_on", "top",    "bottom"};
    const Row words = {"above", "below", "cuts", "cut_by", "fills", "filled_by", "same_as", "abuts"};
    header.insert(header.end(), words.begin(), words.end());
    Register contexts(folder / "contexts.csv", header);
    for (const ContextRecord& context : demo.contexts) {
        Row row = {context.number,
                   context.kind,
                   context.trench,
                   context.description,
                   context.period,
                   context.recordedBy,
                   context.recordedOn,
                   number(context.topM, 2),
                   number(context.bottomM, 2)};
        for (const std::string& word : words)
            row.push_back(related(context, word));
        contexts.add(row);
    }
    return contexts.close();
}

std::string writePlaced(const Demo& demo, const std::filesystem::path& folder)
{
    const auto east = [](const PlacedRecord& record) { return fixed(groundOfSite(record.place).east, 3); };
    const auto north = [](const PlacedRecord& record) {
        return fixed(groundOfSite(record.place).north, 3);
    };
    Register finds(folder / "finds.csv", {"number", "context", "trench", "material", "description", "east",
                                          "north", "level", "se"});
    for (const PlacedRecord& find : demo.finds)
        finds.add({find.number, find.context, find.trench, find.kind, find.description, east(find),
                   north(find), fixed(find.topM, 3), fixed(find.standardErrorM, 3)});
    Register samples(folder / "samples.csv", {"number", "context", "trench", "kind", "description", "east",
                                              "north", "level", "se"});
    for (const PlacedRecord& sample : demo.samples)
        samples.add({sample.number, sample.context, sample.trench, sample.kind, sample.description,
                     east(sample), north(sample), fixed(sample.topM, 3), fixed(sample.standardErrorM, 3)});
    Register timbers(folder / "timbers.csv",
                     {"number", "context", "trench", "kind", "east", "north", "top", "bottom", "length",
                      "diameter", "lean", "lean_bearing", "se"});
    for (const PlacedRecord& timber : demo.timbers)
        timbers.add({timber.number, timber.context, timber.trench, timber.kind, east(timber), north(timber),
                     fixed(timber.topM, 2), number(timber.bottomM, 2), number(timber.lengthM, 3),
                     number(timber.diameterM, 2), number(timber.leanDegrees, 0),
                     number(timber.leanBearingDegrees, 0), fixed(timber.standardErrorM, 3)});
    return finds.close() + samples.close() + timbers.close();
}

/// A line of levels from the bench mark over the datums of the sections and back; misclosure 3 mm.
std::string writeOthers(const Demo& demo, const std::filesystem::path& folder)
{
    Register photographs(folder / "photographs.csv", {"number", "subject", "taken_on"});
    int n = 0;
    for (const DrawingPlan& drawing : demo.drawings) {
        ++n;
        photographs.add(
            {"PH-" + std::string(n < 10 ? "0" : "") + std::to_string(n), drawing.title, drawing.drawnOn});
    }
    Register levels(folder / "levels.csv",
                    {"point", "backsight", "intermediate", "foresight", "benchmark", "note"});
    for (const Row& row : {Row{"BM1", "1.482", "", "", "43.118", "bench mark"},
                           {"S-01 A", "", "2.099", "", "", "datum nail"},
                           {"S-01 B", "", "2.099", "", "", "datum nail"},
                           {"CP1", "1.391", "", "1.655", "", "change point"},
                           {"S-02 A", "", "1.834", "", "", "datum nail"},
                           {"S-04 A", "", "1.835", "", "", "datum nail"},
                           {"CP2", "1.520", "", "1.402", "", "change point"},
                           {"S-03 A", "", "1.951", "", "", "datum nail"},
                           {"BM1", "", "", "1.333", "43.118", "bench mark"}})
        levels.add(row);
    return photographs.close() + levels.close();
}

} // namespace

std::string writeRegisters(const Demo& demo, const std::filesystem::path& folder)
{
    std::error_code failed;
    std::filesystem::create_directories(folder, failed);
    return writePeopleAndTrenches(demo, folder) + writeSurvey(demo, folder) + writeDrawings(demo, folder) +
           writeContexts(demo, folder) + writePlaced(demo, folder) + writeOthers(demo, folder);
}

} // namespace inkpeg::demo
