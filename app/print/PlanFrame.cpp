// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/print/PlanFrame.h"

#include <algorithm>
#include <cmath>

#include "core/base/Text.h"
#include "core/handover/Geodata.h"

namespace inkpeg {

namespace {

constexpr ArtPen HairPen{.widthMm = 0.13, .ink = InkGrey};
constexpr double TickTextMm = 1.8;
constexpr double KeyTextMm = 2.1;
constexpr double BarRoomMm = 15; ///< height of scale bar and north arrow above the key
constexpr double KeyColumnMm = 47;

double gridStepM(double mmPerM)
{
    double step = roundLengthBelow(60 / mmPerM);
    return step > 0 ? step : 1;
}

int decimalsOf(double stepM)
{
    return stepM >= 1 ? 0 : stepM >= 0.1 ? 1 : 2;
}

/// The multiples of `step` from `from` to `to`.
std::vector<double> multiples(double from, double to, double step)
{
    std::vector<double> values;
    for (double i = std::ceil(from / step - 1e-9); i * step <= to + 1e-9; ++i)
        values.push_back(i * step);
    return values;
}

std::vector<std::string> wrapped(const std::string& words, double sizeMm, double roomMm, std::size_t lines)
{
    std::vector<std::string> rows;
    std::string row;
    std::size_t at = 0;
    while (at < words.size()) {
        const std::size_t blank = std::min(words.find(' ', at), words.size());
        const std::string word = words.substr(at, blank - at);
        const std::string longer = row.empty() ? word : row + " " + word;
        if (!row.empty() && artTextWidthMm(longer, sizeMm) > roomMm) {
            if (rows.size() + 1 == lines) { // no line left: what remains is cut on this one
                rows.push_back(artTextWithin(row + " " + words.substr(at), sizeMm, roomMm));
                return rows;
            }
            rows.push_back(row);
            row = word;
        } else {
            row = longer;
        }
        at = blank + 1;
    }
    rows.push_back(artTextWithin(row, sizeMm, roomMm));
    return rows;
}

void drawPlanGrid(const FieldMap& map, PlanSheet& sheet)
{
    const PageBox& field = sheet.field;
    const GroundM low = map.ground({field.x, field.y + field.height}),
                  high = map.ground({field.x + field.width, field.y});
    const double step = gridStepM(map.mmPerM);
    const std::vector<double> easts = multiples(low.east, high.east, step),
                              norths = multiples(low.north, high.north, step);
    for (const double east : easts)
        for (const double north : norths) {
            const PageMm at = map({east, north});
            const auto arm = [&](double dx, double dy) {
                for (std::vector<PageMm>& piece :
                     clipped({{at.x - dx, at.y - dy}, {at.x + dx, at.y + dy}}, false, field))
                    sheet.art.line(std::move(piece), HairPen);
            };
            arm(2, 0);
            arm(0, 2);
        }
    const int decimals = decimalsOf(step);
    for (const double east : easts) {
        const double x = map({east, low.north}).x;
        for (const auto& [from, to] :
             {std::pair{field.y, field.y - 1.5}, {field.y + field.height, field.y + field.height + 1.5}})
            sheet.art.line({{x, from}, {x, to}}, {.widthMm = 0.25});
        sheet.art.text({.at = {x, field.y - 2},
                        .words = fixed(east, decimals) + " E",
                        .sizeMm = TickTextMm,
                        .anchor = ArtText::Anchor::Middle});
    }
    for (const double north : norths) {
        const double y = map({low.east, north}).y;
        for (const auto& [from, to] :
             {std::pair{field.x, field.x - 1.5}, {field.x + field.width, field.x + field.width + 1.5}})
            sheet.art.line({{from, y}, {to, y}}, {.widthMm = 0.25});
        sheet.art.text({.at = {field.x - 2, y},
                        .words = fixed(north, decimals) + " N",
                        .sizeMm = TickTextMm,
                        .anchor = ArtText::Anchor::Middle,
                        .turnDegrees = 90});
    }
}

/// Where the ends of a section lie from each other: "SW" and "NE".
std::string compassName(double east, double north)
{
    static constexpr const char* Names[] = {"N", "NE", "E", "SE", "S", "SW", "W", "NW"};
    const double turns = std::atan2(east, north) / (2 * 3.14159265358979323846);
    return Names[static_cast<std::size_t>(std::lround(turns * 8) + 8) % 8];
}

void drawSectionGrid(const SheetContent& content, const FieldMap& map, PlanSheet& sheet)
{
    const PageBox& field = sheet.field;
    const GroundM low = map.ground({field.x, field.y + field.height}),
                  high = map.ground({field.x + field.width, field.y});
    const double levelStep = gridStepM(map.verticalMmPerM * 2), step = gridStepM(map.mmPerM);
    const double right = field.x + field.width, bottom = field.y + field.height;
    for (const double level : multiples(low.north, high.north, levelStep)) {
        const double y = map({0, level}).y;
        for (const auto& [from, to] : {std::pair{field.x, field.x - 1.5}, {right, right + 1.5}})
            sheet.art.line({{from, y}, {to, y}}, {.widthMm = 0.25});
        sheet.art.text({.at = {field.x - 2, y + 0.7},
                        .words = fixed(level, 2),
                        .sizeMm = TickTextMm,
                        .anchor = ArtText::Anchor::End});
    }
    for (const double along : multiples(low.east, high.east, step)) {
        const double x = map({along, 0}).x;
        sheet.art.line({{x, bottom}, {x, bottom + 1.5}}, {.widthMm = 0.25});
        sheet.art.text({.at = {x, bottom + 3.6},
                        .words = fixed(along, decimalsOf(step)) + " m",
                        .sizeMm = TickTextMm,
                        .anchor = ArtText::Anchor::Middle});
    }
    const SectionLineRow& section = content.section.front();
    const double east = section.to.east - section.from.east, north = section.to.north - section.from.north;
    for (const auto& [x, name, anchor] :
         {std::tuple{field.x, compassName(-east, -north), ArtText::Anchor::Start},
          {right, compassName(east, north), ArtText::Anchor::End}})
        sheet.art.text(
            {.at = {x, field.y - 1.6}, .words = name, .sizeMm = 3, .bold = true, .anchor = anchor});
}

/// Boxes of turn and turn about, without an edge: their ends are exactly where the scale puts them.
void drawScaleBar(const PageBox& band, double groundMPerMm, double roomMm, PlanSheet& sheet)
{
    sheet.scaleBarM = roundLengthBelow(std::min(70.0, roomMm) * groundMPerMm);
    const double length = sheet.scaleBarM / groundMPerMm;
    const double first = sheet.scaleBarM / std::pow(10, std::floor(std::log10(sheet.scaleBarM) + 1e-9));
    const int parts = first > 1.5 && first < 2.5 ? 4 : 5;
    sheet.scaleBar = {band.x, band.y + 4.4, length, 2};
    for (int i = 0; i < parts; ++i)
        sheet.art.box({sheet.scaleBar.x + length * i / parts, sheet.scaleBar.y + (i % 2 == 0 ? 0 : 1)},
                      length / parts, 1, InkBlack);
    const double step = sheet.scaleBarM / parts;
    const int decimals = decimalsOf(step * 1.0000001);
    for (const int i : {0, parts})
        sheet.art.text({.at = {sheet.scaleBar.x + length * i / parts, band.y + 3.4},
                        .words = i == 0 ? std::string("0") : exact(sheet.scaleBarM) + " m",
                        .sizeMm = KeyTextMm,
                        .anchor = ArtText::Anchor::Middle});
    sheet.art.text({.at = {sheet.scaleBar.x, band.y + 9.4},
                    .words = "parts of " + fixed(step, decimals) + " m",
                    .sizeMm = TickTextMm,
                    .ink = InkGrey});
}

void drawNorth(PageMm foot, PlanSheet& sheet)
{
    sheet.art.line({foot, {foot.x, foot.y - 11}}, {.widthMm = 0.25});
    sheet.art.area({{{foot.x, foot.y - 11}, {foot.x + 1.8, foot.y - 5}, {foot.x, foot.y - 6.4}}}, InkBlack);
    sheet.art.line({{foot.x, foot.y - 11}, {foot.x - 1.8, foot.y - 5}, {foot.x, foot.y - 6.4}},
                   {.widthMm = 0.2}, true);
    sheet.art.text({.at = {foot.x + 2.4, foot.y - 8.4}, .words = "N", .sizeMm = 3, .bold = true});
    sheet.art.text(
        {.at = {foot.x + 2.4, foot.y - 0.4}, .words = "grid north", .sizeMm = TickTextMm, .ink = InkGrey});
}

void drawKey(const std::vector<KeyRow>& key, const PageBox& room, PlanSheet& sheet)
{
    const int columns = std::max(1, static_cast<int>(room.width / KeyColumnMm));
    const auto rows =
        (key.size() + static_cast<std::size_t>(columns) - 1) / static_cast<std::size_t>(columns);
    for (std::size_t i = 0; i < key.size(); ++i) {
        const double x = room.x + static_cast<double>(i / rows) * KeyColumnMm;
        const double y = room.y + (static_cast<double>(i % rows) + 0.5) * KeyRowMm;
        const KeyRow& row = key[i];
        if (row.line)
            sheet.art.line({{x, y}, {x + KeySampleMm - 1.5, y}}, *row.line);
        if (row.point)
            drawPointMark(sheet.art, *row.point, {x + KeySampleMm / 2 - 1, y});
        if (row.level)
            drawLevelMark(sheet.art, {x + KeySampleMm / 2 - 1, y + 0.8});
        if (!row.label.empty())
            sheet.art.text({.at = {x + KeySampleMm / 2 - 1, y + 0.9},
                            .words = row.label,
                            .sizeMm = 2.4,
                            .bold = true,
                            .anchor = ArtText::Anchor::Middle});
        sheet.art.text({.at = {x + KeySampleMm, y + 0.75}, .words = row.words, .sizeMm = KeyTextMm});
        sheet.key.push_back(row.words);
    }
}

std::string scaleWords(const PlanSheet& sheet, const SheetSettings& settings)
{
    std::string words = "1:" + exact(sheet.scaleDenominator) + " on " + paperName(settings.paper);
    if (sheet.verticalScaleDenominator != sheet.scaleDenominator)
        words += "; upright 1:" + exact(sheet.verticalScaleDenominator) + ", raised " +
                 fixed(sheet.scaleDenominator / sheet.verticalScaleDenominator, 2) + " times";
    return words;
}

std::vector<std::pair<std::string, std::string>> titleRows(const SheetContent& content,
                                                           const SheetWords& words,
                                                           const SheetSettings& settings,
                                                           const PlanSheet& sheet)
{
    std::string drawings;
    for (const std::string& drawing : content.drawings)
        drawings += (drawings.empty() ? "" : ", ") + drawing;
    const std::string levels = words.datum.empty() ? std::string("project datum") : words.datum;
    std::vector<std::pair<std::string, std::string>> rows = {{"Scale", scaleWords(sheet, settings)}};
    if (content.section.empty()) {
        rows.emplace_back("Grid", words.crs + ", levels in m above " + levels);
    } else {
        const SectionLineRow& section = content.section.front();
        rows.emplace_back(
            "Levels",
            "m above " + levels +
                (section.datumM ? "; datum line at " + fixed(*section.datumM, 2) + " m" : std::string()));
        rows.emplace_back("Line", "from " + fixed(section.from.east, 2) + " E " +
                                      fixed(section.from.north, 2) + " N to " + fixed(section.to.east, 2) +
                                      " E " + fixed(section.to.north, 2) + " N (" + words.crs + ")" +
                                      (section.facing.empty() ? "" : ", facing " + section.facing));
    }
    rows.emplace_back("From", (content.drawings.size() == 1 ? "drawing " : "drawings ") + drawings);
    rows.emplace_back("Accuracy", "standard error at most " + fixed(content.largestErrorM * 1000, 0) +
                                      " mm on the ground");
    rows.emplace_back("Stage", content.outlines.empty()
                                   ? std::string("no outlines")
                                   : std::to_string(content.signedOff) + " of " +
                                         std::to_string(content.outlines.size()) + " outlines signed off");
    if (!sheet.noRoom.empty()) {
        std::string numbers;
        for (const std::string& number : sheet.noRoom)
            numbers += (numbers.empty() ? "" : ", ") + number;
        rows.emplace_back("No room", "for the numbers " + numbers);
    }
    return rows;
}

void drawTitleBlock(const SheetContent& content, const SheetWords& words, const SheetSettings& settings,
                    const PageBox& block, PlanSheet& sheet)
{
    sheet.art.line({{block.x, block.y}, {block.x, block.y + block.height}}, {.widthMm = 0.35});
    const double left = block.x + 2.5, room = block.width - 4;
    double y = block.y + 4.6;
    sheet.art.text({.at = {left, y},
                    .words = artTextWithin(words.siteCode + "  " + words.project, 2.6, room, true),
                    .sizeMm = 2.6,
                    .bold = true,
                    .ink = InkGrey});
    y += 5.4;
    sheet.art.text(
        {.at = {left, y}, .words = artTextWithin(content.title, 4, room, true), .sizeMm = 4, .bold = true});
    y += 4.2;
    for (const auto& [label, value] : titleRows(content, words, settings, sheet)) {
        sheet.art.text({.at = {left, y}, .words = label, .sizeMm = KeyTextMm, .ink = InkGrey});
        const std::size_t lines = label == "From" || label == "Line" || label == "No room" ? 2 : 1;
        for (const std::string& line : wrapped(value, KeyTextMm, room - 15, lines)) {
            sheet.art.text({.at = {left + 15, y}, .words = line, .sizeMm = KeyTextMm});
            y += 3;
        }
    }
    // Cautions and state stand at the foot, whatever is above them.
    const double foot = block.y + block.height - 1.6;
    sheet.art.text({.at = {left, foot},
                    .words = artTextWithin("State of the project: " + words.at.substr(0, 10) +
                                               ". Not for setting out, services or boundaries.",
                                           TickTextMm, room),
                    .sizeMm = TickTextMm,
                    .ink = InkGrey});
}

} // namespace

double roundLengthBelow(double length)
{
    if (!(length > 0))
        return 0;
    const double unit = std::pow(10, std::floor(std::log10(length) + 1e-9));
    const double first = length / unit;
    return unit * (first >= 5 - 1e-9 ? 5 : first >= 2 - 1e-9 ? 2 : 1);
}

std::vector<KeyRow> keyRows(const UsedConventions& used)
{
    std::vector<KeyRow> rows;
    for (const auto& [contextClass, words] : {std::pair{ContextClass::Cut, "number of a cut"},
                                              {ContextClass::Deposit, "number of a deposit"},
                                              {ContextClass::Structure, "number of a structure"},
                                              {ContextClass::Unknown, "number, kind not recorded"}})
        if (used.contexts.contains(contextClass))
            rows.push_back({words, {}, {}, false, contextLabel("n", contextClass)});
    const bool cutsOnly = used.contexts == std::set<ContextClass>{ContextClass::Cut};
    if (used.contexts.contains(ContextClass::Cut) && used.edges.contains(EdgeKind::Certain))
        rows.push_back({"edge of a cut", edgePen(EdgeKind::Certain, ContextClass::Cut), {}, false, {}});
    for (const EdgeKind kind : used.edges) {
        if (kind == EdgeKind::Certain && cutsOnly)
            continue;
        if (kind == EdgeKind::LimitOfExcavation && used.limits)
            continue;
        rows.push_back({keyWords(kind),
                        edgePen(kind, cutsOnly ? ContextClass::Cut : ContextClass::Deposit),
                        {},
                        false,
                        {}});
    }
    for (const LineKind kind : used.lines)
        if (kind != LineKind::LimitOfExcavation || !used.limits)
            rows.push_back({keyWords(kind), linePen(kind), {}, false, {}});
    if (used.limits)
        rows.push_back({"limit of excavation", limitPen(), {}, false, {}});
    for (const auto& [kind, words] : {std::pair{PointKind::Find, "small find"},
                                      {PointKind::Sample, "sample"},
                                      {PointKind::Timber, "timber"},
                                      {PointKind::Note, "note"}})
        if (used.points.contains(kind))
            rows.push_back({words, {}, kind, false, {}});
    if (used.levels)
        rows.push_back({"level, in metres", {}, {}, true, {}});
    if (used.posts)
        rows.push_back({"upright timber, to scale", postPen(), {}, false, {}});
    if (used.datum)
        rows.push_back({"datum line", datumPen(), {}, false, {}});
    return rows;
}

double titleBlockWidthMm(double bandWidthMm)
{
    return std::clamp(bandWidthMm * 0.42, 82.0, 180.0);
}

int keyColumns(double bandWidthMm)
{
    return std::max(1, static_cast<int>((bandWidthMm - titleBlockWidthMm(bandWidthMm) - 4) / KeyColumnMm));
}

double bandHeightMm(double bandWidthMm, std::size_t rows)
{
    const auto columns = static_cast<std::size_t>(keyColumns(bandWidthMm));
    return std::max(45.0, BarRoomMm + 2 + static_cast<double>((rows + columns - 1) / columns) * KeyRowMm);
}

void drawGrid(const SheetContent& content, const FieldMap& map, PlanSheet& sheet)
{
    sheet.art.frame({sheet.field.x, sheet.field.y}, sheet.field.width, sheet.field.height,
                    {.widthMm = 0.35});
    if (content.section.empty())
        drawPlanGrid(map, sheet);
    else
        drawSectionGrid(content, map, sheet);
}

void drawBand(const SheetContent& content, const SheetWords& words, const SheetSettings& settings,
              const std::vector<KeyRow>& key, const PageBox& band, PlanSheet& sheet)
{
    const double titleWidth = titleBlockWidthMm(band.width);
    const double room = band.width - titleWidth - 4;
    sheet.art.line({{band.x, band.y}, {band.x + band.width, band.y}}, {.widthMm = 0.35});
    drawScaleBar({band.x + 3, band.y, room, BarRoomMm}, sheet.scaleDenominator / 1000, room - 30, sheet);
    if (content.section.empty())
        drawNorth({band.x + room - 20, band.y + 13}, sheet);
    drawKey(key, {band.x + 3, band.y + BarRoomMm, room, band.height - BarRoomMm}, sheet);
    drawTitleBlock(content, words, settings,
                   {band.x + band.width - titleWidth, band.y, titleWidth, band.height}, sheet);
}

} // namespace inkpeg
