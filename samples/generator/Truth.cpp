// SPDX-License-Identifier: GPL-3.0-or-later
#include <fstream>

#include <nlohmann/json.hpp>

#include "samples/generator/Registers.h"

namespace inkpeg::demo {

namespace {

using nlohmann::json;

json mapText(const SheetPlan& sheet)
{
    const SheetMap& map = sheet.map;
    json waves = json::array();
    for (const CockleWave& wave : map.cockle)
        waves.push_back({{"ax_mm", wave.ax},
                         {"ay_mm", wave.ay},
                         {"waves_per_mm_x", wave.perMmX},
                         {"waves_per_mm_y", wave.perMmY},
                         {"phase_rad", wave.phase}});
    return {{"film_width_mm", map.filmWidthMm},
            {"film_height_mm", map.filmHeightMm},
            {"margin_mm", map.marginMm},
            {"stretch_x", map.stretchX},
            {"stretch_y", map.stretchY},
            {"shear", map.shear},
            {"cockle", waves},
            {"face_down", map.faceDown},
            {"skew_rad", map.skewRad},
            {"dpi", map.dpi},
            {"scanner_scale_x", map.scannerScaleX},
            {"scanner_scale_y", map.scannerScaleY}};
}

/// Plans: [E, N]; upright drawings: [E, N, level].
json groundText(const DrawingPlan& drawing, Metres place)
{
    if (!drawing.upright()) {
        const GroundM ground = groundOfSite(place);
        return {ground.east, ground.north};
    }
    const GroundM ground = groundOfSite({drawing.lineStart.x + drawing.lineDirection.x * place.x,
                                         drawing.lineStart.y + drawing.lineDirection.y * place.x});
    return {ground.east, ground.north, place.y};
}

json outlineText(const DrawingPlan& drawing, const SheetMap& map, const DrawnOutline& outline)
{
    json px = json::array(), ground = json::array(), section = json::array();
    bool even = true;
    for (std::size_t i = 0; i < outline.ring.size(); ++i) {
        const ScanPx mark = map.toScan(drawing.toFilm(outline.ring[i]));
        px.push_back({mark.column, mark.row});
        ground.push_back(groundText(drawing, outline.ring[i]));
        section.push_back({outline.ring[i].x, outline.ring[i].y});
        even = even && outline.edges[i] == outline.edges[0];
    }
    json text = {{"context", outline.context},
                 {"kind", outline.contextKind},
                 {"edge", even ? outline.edges[0] : "mixed"},
                 {"edges", outline.edges},
                 {"px", px},
                 {"ground", ground}};
    if (drawing.upright())
        text["section"] = section; // distance from nail A along the line in metres on the ground, level
    return text;
}

json drawingText(const Demo& demo, const DrawingPlan& drawing)
{
    const SheetPlan& sheet = demo.sheetOf(drawing);
    json pins = json::array(), outlines = json::array();
    for (const Cross& cross : drawing.crosses) {
        const ScanPx mark = sheet.map.toScan(drawing.toFilm(cross.place));
        pins.push_back({{"peg", cross.peg},
                        {"column", mark.column},
                        {"row", mark.row},
                        {"ground", groundText(drawing, cross.place)}});
    }
    for (const DrawnOutline& outline : drawing.outlines)
        outlines.push_back(outlineText(drawing, sheet.map, outline));
    json text = {{"drawing", drawing.number},
                 {"kind", drawing.kind},
                 {"sheet", sheet.number},
                 {"scan", sheet.file},
                 {"scale", drawing.scale},
                 {"width_px", sheet.map.widthPx()},
                 {"height_px", sheet.map.heightPx()},
                 {"map", mapText(sheet)},
                 {"drawing_to_film",
                  {{"x0_m", drawing.window.x0},
                   {"y0_m", drawing.window.y0},
                   {"film_x_mm", drawing.lowerLeft.x},
                   {"film_y_mm", drawing.lowerLeft.y}}},
                 {"site_grid",
                  {{"origin_site", {100.0, 200.0}},
                   {"origin_crs", {groundOfSite({100, 200}).east, groundOfSite({100, 200}).north}},
                   {"site_north_clockwise_degrees", 14.0},
                   {"scale", ProjectedScale}}},
                 {"pins", pins},
                 {"outlines", outlines}};
    if (drawing.upright()) {
        text["facing"] = drawing.facing;
        text["line"] = {{"nail_a_site", {drawing.lineStart.x, drawing.lineStart.y}},
                        {"direction_site", {drawing.lineDirection.x, drawing.lineDirection.y}}};
    }
    return text;
}

std::string save(const json& text, const std::filesystem::path& file)
{
    std::ofstream stream(file, std::ios::binary);
    stream << text.dump(1) << '\n';
    stream.close();
    return stream ? "" : "cannot write " + file.string();
}

} // namespace

std::string writeTruth(const Demo& demo, const std::filesystem::path& folder)
{
    std::error_code failed;
    std::filesystem::create_directories(folder, failed);
    std::string trouble;
    for (const DrawingPlan& drawing : demo.drawings)
        trouble += save(drawingText(demo, drawing), folder / (drawing.number + ".json"));
    json faults = json::array();
    for (const Fault& fault : demo.faults)
        faults.push_back({{"kind", fault.kind},
                          {"subject", fault.subject},
                          {"where", fault.where},
                          {"explanation", fault.explanation}});
    return trouble + save({{"faults", faults}}, folder / "faults.json");
}

} // namespace inkpeg::demo
