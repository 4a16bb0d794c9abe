// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/print/PlanField.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "app/print/FieldNumbers.h"
#include "app/print/PlanSlopes.h"
#include "core/base/Text.h"

namespace inkpeg {

namespace {

/// An edge as both outlines that share it know it, to a tenth of a millimetre.
using EdgeName = std::array<long long, 5>;
EdgeName nameOfEdge(GroundM a, GroundM b, EdgeKind kind)
{
    std::array<long long, 2> from{std::llround(a.east * 1e4), std::llround(a.north * 1e4)};
    std::array<long long, 2> to{std::llround(b.east * 1e4), std::llround(b.north * 1e4)};
    if (to < from)
        std::swap(from, to);
    return {from[0], from[1], to[0], to[1], static_cast<long long>(kind)};
}

PageMm middleOf(const PostOutline& post, const FieldMap& map)
{
    PageMm middle;
    for (const GroundM corner : post.ring) {
        middle.x += map(corner).x / double(post.ring.size());
        middle.y += map(corner).y / double(post.ring.size());
    }
    return middle;
}

class FieldDrawing {
public:
    FieldDrawing(const SheetContent& content, const SheetSettings& settings, const FieldMap& map,
                 PlanSheet& sheet)
        : m_content(content), m_settings(settings), m_map(map), m_sheet(sheet), m_numbers(map, sheet.field)
    {
    }

    void draw()
    {
        for (const Trench& trench : m_content.limits)
            drawLimit(trench.limit);
        // Cuts come first: an edge that a fill shares with them is drawn once, as the heavier one.
        for (const ContextClass wanted :
             {ContextClass::Cut, ContextClass::Structure, ContextClass::Deposit, ContextClass::Unknown})
            for (const OutlineRow& row : m_content.outlines)
                if (contextClassOf(row.contextKind) == wanted)
                    drawOutline(row);
        for (const EdgeLineRow& row : m_content.lines)
            drawLine(row);
        drawSlopes();
        for (const PostOutline& post : m_content.posts)
            drawPost(post);
        drawMarks();
        drawDatum();
        m_numbers.contexts(m_content.outlines);
        for (const EdgeLineRow& row : m_content.lines)
            m_numbers.lineLetters(row);
        for (const auto& [at, words] : m_besideMarks)
            m_numbers.beside(at, words);
        m_numbers.draw(m_sheet);
    }

private:
    std::vector<PageMm> onPage(const std::vector<GroundM>& places) const
    {
        std::vector<PageMm> page;
        page.reserve(places.size());
        for (const GroundM at : places)
            page.push_back(m_map(at));
        return page;
    }

    void drawLimit(const std::vector<GroundM>& ring)
    {
        for (std::vector<PageMm>& piece : clipped(onPage(ring), true, m_sheet.field)) {
            m_numbers.ink(piece, false);
            m_sheet.art.line(std::move(piece), limitPen());
        }
    }

    void drawOutline(const OutlineRow& row)
    {
        const ContextClass contextClass = contextClassOf(row.contextKind);
        for (const VertexPart& part : row.parts) {
            drawRing(part.outer, contextClass);
            for (const VertexRing& hole : part.holes)
                drawRing(hole, contextClass);
        }
    }

    /// In stretches of one kind, leaving out what a neighbour has drawn already: drawn twice, the dashes of
    /// one would fall into the gaps of the other.
    void drawRing(const VertexRing& ring, ContextClass contextClass)
    {
        const std::size_t count = ring.size();
        std::vector<bool> fresh(count);
        for (std::size_t i = 0; i < count; ++i)
            fresh[i] =
                m_drawn.insert(nameOfEdge(ring[i].at, ring[(i + 1) % count].at, ring[i].kind)).second;
        std::size_t start = 0; // where a stretch begins
        while (start < count && fresh[start] && fresh[(start + count - 1) % count] &&
               ring[start].kind == ring[(start + count - 1) % count].kind)
            ++start;
        const bool whole = start == count;
        std::vector<PageMm> stretch;
        for (std::size_t step = 0; step < count; ++step) {
            const std::size_t i = (start + step) % count, before = (i + count - 1) % count;
            if (step > 0 && (!fresh[i] || ring[i].kind != ring[before].kind))
                finishStretch(stretch, ring[before].kind, contextClass, false);
            if (!fresh[i])
                continue;
            if (stretch.empty())
                stretch.push_back(m_map(ring[i].at));
            if (!whole || step + 1 < count)
                stretch.push_back(m_map(ring[(i + 1) % count].at));
        }
        if (count > 0)
            finishStretch(stretch, ring[(start + count - 1) % count].kind, contextClass, whole);
    }

    void finishStretch(std::vector<PageMm>& stretch, EdgeKind kind, ContextClass contextClass, bool closed)
    {
        if (stretch.size() < 2) {
            stretch.clear();
            return;
        }
        m_numbers.ink(stretch, closed);
        m_sheet.art.line(std::move(stretch), edgePen(kind, contextClass), closed);
        stretch.clear();
    }

    void drawLine(const EdgeLineRow& row)
    {
        std::vector<PageMm> line;
        for (const GroundVertex& vertex : row.vertices)
            line.push_back(m_map(vertex.at));
        if (line.size() < 2)
            return;
        m_numbers.ink(line, false);
        m_sheet.art.line(std::move(line), linePen(row.line.kind));
    }

    /// Its number goes beside it, unless a timber of that number is marked there anyway.
    void drawPost(const PostOutline& post)
    {
        if (!isOnField(post, m_map, m_sheet.field))
            return;
        const std::vector<PageMm> ring = onPage(post.ring);
        for (std::vector<PageMm>& piece : clipped(ring, ring.size() > 2, m_sheet.field)) {
            m_numbers.ink(piece, false);
            m_sheet.art.line(std::move(piece), postPen());
        }
        if (std::ranges::none_of(m_content.points, [&](const DrawnPointRow& row) {
                return row.point.kind == PointKind::Timber && row.point.number == post.timber;
            }))
            m_besideMarks.emplace_back(middleOf(post, m_map), post.timber);
    }

    void drawSlopes()
    {
        for (const std::array<PageMm, 3>& wedge : hachuresOnPage(m_content, m_map)) {
            m_numbers.ink({wedge[0], wedge[2]}, false);
            m_sheet.art.area({{wedge.begin(), wedge.end()}}, InkBlack);
        }
    }

    void drawMarks()
    {
        if (m_settings.levels)
            for (const SpotLevelRow& row : m_content.levels) {
                const PageMm at = m_map(row.place.at);
                drawLevelMark(m_sheet.art, at);
                m_numbers.block({at.x - MarkMm / 2, at.y - 0.75 * MarkMm, MarkMm, 0.75 * MarkMm});
                m_besideMarks.emplace_back(PageMm{at.x, at.y - 0.4 * MarkMm}, fixed(row.level.levelM, 2));
            }
        for (const DrawnPointRow& row : m_content.points) {
            const PageMm at = m_map(row.place.at);
            if (!m_sheet.field.holds({at.x - MarkMm / 2, at.y - MarkMm / 2, MarkMm, MarkMm}))
                continue; // surveyed outside of what is shown
            drawPointMark(m_sheet.art, row.point.kind, at);
            m_numbers.block({at.x - MarkMm / 2, at.y - MarkMm / 2, MarkMm, MarkMm});
            m_besideMarks.emplace_back(at, row.point.kind == PointKind::Note ? row.point.text
                                                                             : row.point.number);
        }
    }

    void drawDatum()
    {
        if (m_content.section.empty() || !m_content.section.front().datumM)
            return;
        const double datumM = *m_content.section.front().datumM;
        const PageBox& field = m_sheet.field;
        const double y = m_map({0, datumM}).y;
        m_sheet.art.line({{field.x, y}, {field.x + field.width, y}}, datumPen());
        m_numbers.ink({{field.x, y}, {field.x + field.width, y}}, false);
        // Before all others: the reader looks for it at the end of its line.
        m_numbers.onLine(y, field, "datum " + fixed(datumM, 2) + " m");
    }

    const SheetContent& m_content;
    const SheetSettings& m_settings;
    FieldMap m_map;
    PlanSheet& m_sheet;
    FieldNumbers m_numbers;
    std::set<EdgeName> m_drawn;
    std::vector<std::pair<PageMm, std::string>> m_besideMarks;
};

} // namespace

UsedConventions conventionsOf(const SheetContent& content, const SheetSettings& settings)
{
    UsedConventions used;
    for (const OutlineRow& row : content.outlines) {
        used.contexts.insert(contextClassOf(row.contextKind));
        for (const VertexPart& part : row.parts) {
            for (const GroundVertex& vertex : part.outer)
                used.edges.insert(vertex.kind);
            for (const VertexRing& hole : part.holes)
                for (const GroundVertex& vertex : hole)
                    used.edges.insert(vertex.kind);
        }
    }
    for (const EdgeLineRow& row : content.lines)
        used.lines.insert(row.line.kind);
    for (const DrawnPointRow& row : content.points)
        used.points.insert(row.point.kind);
    used.levels = settings.levels && !content.levels.empty();
    used.limits = !content.limits.empty();
    used.posts = !content.posts.empty();
    used.datum = !content.section.empty() && content.section.front().datumM.has_value();
    return used;
}

bool isOnField(const PostOutline& post, const FieldMap& map, const PageBox& field)
{
    const PageMm middle = middleOf(post, map);
    return field.holds({middle.x, middle.y, 0, 0});
}

void drawField(const SheetContent& content, const SheetSettings& settings, const FieldMap& map,
               PlanSheet& sheet)
{
    FieldDrawing(content, settings, map, sheet).draw();
}

std::vector<std::vector<PageMm>> clipped(const std::vector<PageMm>& line, bool closed, const PageBox& box)
{
    std::vector<std::vector<PageMm>> pieces;
    bool open = false;
    for (std::size_t i = 0; i + (closed ? 0 : 1) < line.size(); ++i) {
        const PageMm a = line[i], b = line[(i + 1) % line.size()];
        const auto share = shareWithin(a, b, box);
        if (!share) {
            open = false;
            continue;
        }
        const auto at = [&](double t) { return PageMm{a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t}; };
        if (!open || share->first > 0)
            pieces.push_back({at(share->first)});
        pieces.back().push_back(at(share->second));
        open = share->second >= 1;
    }
    return pieces;
}

} // namespace inkpeg
