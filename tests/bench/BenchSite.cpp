// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/bench/BenchSite.h"

#include <cmath>
#include <numbers>
#include <random>

namespace inkpeg::bench {

namespace {

constexpr GroundM Corner{561'000, 5'934'000};
constexpr double PixelsPerMetre = 800; ///< 1:20 at about 400 dpi

RingOnGround pit(GroundM middle, double radiusM, std::mt19937& random)
{
    constexpr int Corners = 40;
    std::uniform_real_distribution<double> wobble(0.93, 1.0);
    RingOnGround ring;
    for (int i = 0; i < Corners; ++i) {
        const double angle = 2 * std::numbers::pi * i / Corners, radius = radiusM * wobble(random);
        ring.push_back({middle.east + radius * std::cos(angle), middle.north + radius * std::sin(angle)});
    }
    return ring;
}

class Making {
public:
    explicit Making(const SiteSize& size) : m_size(size)
    {
        m_pits = (size.contexts + 1) / 2;
        m_pitsPerDrawing = std::max(1, m_pits / size.drawings);
        m_side = std::max(1, static_cast<int>(std::ceil(std::sqrt(m_pitsPerDrawing))));
        m_drawingsAcross = std::max(1, static_cast<int>(std::ceil(std::sqrt(size.drawings))));
    }

    ProjectRecords make()
    {
        m_records.people = {{1, "AB", "A. Byer", ""}, {2, "CD", "C. Dow", ""}};
        const double extent = m_drawingsAcross * m_side + 2.0;
        m_records.trenches.push_back({1,
                                      "T1",
                                      "trench",
                                      {{Corner.east - 1, Corner.north - 1},
                                       {Corner.east + extent, Corner.north - 1},
                                       {Corner.east + extent, Corner.north + extent},
                                       {Corner.east - 1, Corner.north + extent}}});
        for (int drawing = 0; drawing < m_size.drawings; ++drawing)
            addDrawing(drawing);
        for (int i = 0; i < m_pits; ++i)
            addPit(i);
        for (int i = 0; i < m_size.finds; ++i)
            addFind(i);
        return std::move(m_records);
    }

private:
    int drawingOf(int pitIndex) const { return std::min(m_size.drawings - 1, pitIndex / m_pitsPerDrawing); }
    GroundM originOf(int drawing) const
    {
        return {Corner.east + drawing % m_drawingsAcross * m_side,
                Corner.north + drawing / m_drawingsAcross * m_side};
    }
    GroundM middleOf(int pitIndex) const
    {
        const int drawing = drawingOf(pitIndex), within = pitIndex - drawing * m_pitsPerDrawing;
        const GroundM origin = originOf(drawing);
        return {origin.east + within % m_side + 0.5, origin.north + within / m_side + 0.5};
    }
    static ScanPx onScan(GroundM place, GroundM origin)
    {
        return {(place.east - origin.east) * PixelsPerMetre, (place.north - origin.north) * PixelsPerMetre};
    }

    void addDrawing(int index)
    {
        Drawing drawing;
        drawing.id = index + 1;
        drawing.number = "P-" + std::to_string(index + 1);
        drawing.trench = "T1";
        drawing.sheet = "F-" + std::to_string(index + 1);
        drawing.drawnBy = "AB";
        drawing.drawnOn = "2026-05-11";
        drawing.stage = Stage::Traced;
        Sheet sheet;
        sheet.id = index + 1;
        sheet.number = drawing.sheet;
        sheet.scanFile = sheet.number + ".tif";
        sheet.frame.widthPx = sheet.frame.heightPx = m_side * PixelsPerMetre;
        m_records.scans[sheet.number] = {true, sheet.scanSha256};
        const GroundM origin = originOf(index);
        std::vector<ControlPoint> control;
        for (int peg = 0; peg < 6; ++peg) {
            const GroundM place{origin.east + peg % 3 * m_side / 2.0, origin.north + peg / 3 * m_side};
            const std::string name = drawing.number + "/" + std::to_string(peg);
            control.push_back({name,
                               {(place.east - origin.east) * 50, (place.north - origin.north) * 50},
                               place,
                               0.002,
                               0.002,
                               PinUse::Fit});
            m_records.pins.push_back({0, drawing.id, name, onScan(place, origin), PinUse::Fit, "hand"});
            Peg surveyed;
            surveyed.name = name;
            surveyed.position = place;
            m_records.pegs.push_back(surveyed);
        }
        FitSettings settings;
        settings.scaleDenominator = 20;
        m_records.places[drawing.id].fit = fitControl(control, settings).value();
        m_records.places[drawing.id].footprint = {origin,
                                                  {origin.east + m_side, origin.north},
                                                  {origin.east + m_side, origin.north + m_side},
                                                  {origin.east, origin.north + m_side}};
        m_records.drawings.push_back(std::move(drawing));
        m_records.sheets.push_back(std::move(sheet));
    }

    void addContext(const std::string& number, const char* kind)
    {
        Context context;
        context.id = static_cast<std::int64_t>(m_records.contexts.size() + 1);
        context.number = number;
        context.kind = kind;
        context.trench = "T1";
        context.description = "brown silt";
        context.recordedBy = "AB";
        context.recordedOn = "2026-05-12";
        context.topM = 42.2;
        context.bottomM = 41.8;
        m_records.contexts.push_back(std::move(context));
    }

    void addOutline(int drawing, const std::string& context, RingOnGround ring)
    {
        Outline outline;
        outline.id = static_cast<std::int64_t>(m_records.outlines.size() + 1);
        outline.drawing = drawing + 1;
        outline.context = context;
        outline.tracedBy = "AB";
        outline.parts.emplace_back();
        for (const GroundM vertex : ring)
            outline.parts[0].outer.vertices.push_back(onScan(vertex, originOf(drawing)));
        outline.parts[0].outer.kinds.assign(ring.size(), EdgeKind::Certain);
        m_records.groundOutlines.push_back(
            {m_records.outlines.size(), {{std::move(ring), {}}}, {2.5e-5, 0, 2.5e-5}});
        m_records.outlines.push_back(std::move(outline));
    }

    void addPit(int index)
    {
        const std::string cut = std::to_string(1001 + 2 * index), fill = std::to_string(1002 + 2 * index);
        const int drawing = drawingOf(index);
        addContext(cut, "cut");
        addOutline(drawing, cut, pit(middleOf(index), 0.42, m_random));
        if (static_cast<int>(m_records.contexts.size()) >= m_size.contexts)
            return;
        addContext(fill, "fill");
        addOutline(drawing, fill, pit(middleOf(index), 0.38, m_random));
        m_records.relations.push_back({0, fill, RelationKind::Fills, cut});
        // Pits follow each other in chains of fifty.
        if (index % 50 != 0)
            m_records.relations.push_back({0, cut, RelationKind::Above, std::to_string(1000 + 2 * index)});
    }

    void addFind(int index)
    {
        std::uniform_int_distribution<int> anyPit(0, m_pits - 1);
        std::uniform_real_distribution<double> within(-0.25, 0.25);
        const int pitIndex = anyPit(m_random);
        const GroundM middle = middleOf(pitIndex);
        Find find;
        find.id = index + 1;
        find.number = "SF-" + std::to_string(index + 1);
        find.context = std::to_string(1002 + 2 * pitIndex);
        find.trench = "T1";
        find.material = "pottery";
        find.position = GroundM{middle.east + within(m_random), middle.north + within(m_random)};
        find.levelM = 42.0;
        m_records.finds.push_back(std::move(find));
    }

    SiteSize m_size;
    int m_pits = 0, m_pitsPerDrawing = 0, m_side = 0, m_drawingsAcross = 0;
    std::mt19937 m_random{20260611};
    ProjectRecords m_records;
};

} // namespace

ProjectRecords siteOf(const SiteSize& size)
{
    return Making(size).make();
}

std::vector<std::vector<std::string>> findCells(std::size_t count)
{
    static const char* const Materials[] = {"pottery", "iron", "bone", "glass", "stone", "wood", "leather"};
    static const char* const Words[] = {"rim",  "base",  "body sherd", "nail",     "handle", "burnt",
                                        "worn", "small", "kiln waste", "complete", "joins",  "decorated"};
    std::mt19937 random(4);
    std::vector<std::vector<std::string>> rows;
    rows.reserve(count);
    for (std::size_t i = 0; i < count; ++i) {
        std::string description;
        for (auto words = 2 + random() % 6; words > 0; --words)
            description +=
                (description.empty() ? "" : " ") + std::string(Words[random() % std::size(Words)]);
        rows.push_back({"SF-" + std::to_string(i + 1), std::to_string(1001 + random() % 2000),
                        "T" + std::to_string(1 + random() % 9), Materials[random() % std::size(Materials)],
                        description});
    }
    return rows;
}

} // namespace inkpeg::bench
