// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/print/PlanField.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "app/print/PlanSlopes.h"
#include "core/base/Text.h"
#include "core/checks/PlaneGeometry.h"

namespace inkpeg {

namespace {

constexpr double NumberMm = 2.5; ///< size of context numbers
constexpr double SmallMm = 2.0;  ///< of levels and finds
constexpr ArtPen LeaderPen{.widthMm = 0.13};

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

/// Page places dressed as plane coordinates, for the geometry of core/checks.
GroundM plane(PageMm at)
{
    return {at.x, -at.y};
}

bool crosses(const std::vector<PageMm>& ring, const PageBox& box)
{
    for (std::size_t i = 0; i < ring.size(); ++i)
        if (shareWithin(ring[i], ring[(i + 1) % ring.size()], box))
            return true;
    return false;
}

class FieldDrawing {
public:
    FieldDrawing(const SheetContent& content, const SheetSettings& settings, const FieldMap& map,
                 PlanSheet& sheet)
        : m_content(content), m_settings(settings), m_map(map), m_sheet(sheet), m_labels(sheet.field)
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
        // The largest first: it has most places to choose from inside, the small ones go beside.
        placeContextNumbers();
        for (const EdgeLineRow& row : m_content.lines)
            placeLineLetters(row);
        for (const Wish& wish : m_markWishes)
            place(wish);
    }

private:
    struct Wish {
        LabelWish label;
        std::string words;
        double sizeMm = SmallMm;
        bool bold = false;
    };

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
            m_labels.ink(piece, false);
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
        m_labels.ink(stretch, closed);
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
        m_labels.ink(line, false);
        m_sheet.art.line(std::move(line), linePen(row.line.kind));
    }

    /// Its number goes beside it, unless a timber of that number is marked there anyway.
    void drawPost(const PostOutline& post)
    {
        std::vector<PageMm> ring;
        PageMm middle;
        for (const GroundM corner : post.ring) {
            ring.push_back(m_map(corner));
            middle.x += ring.back().x / double(post.ring.size());
            middle.y += ring.back().y / double(post.ring.size());
        }
        if (!m_sheet.field.holds({middle.x, middle.y, 0, 0}))
            return;
        for (std::vector<PageMm>& piece : clipped(ring, ring.size() > 2, m_sheet.field)) {
            m_labels.ink(piece, false);
            m_sheet.art.line(std::move(piece), postPen());
        }
        if (std::ranges::none_of(m_content.points, [&](const DrawnPointRow& row) {
                return row.point.kind == PointKind::Timber && row.point.number == post.timber;
            }))
            wishBeside(middle, post.timber);
    }

    void drawSlopes()
    {
        for (const std::array<PageMm, 3>& wedge : hachuresOnPage(m_content, m_map)) {
            m_labels.ink({wedge[0], wedge[2]}, false);
            m_sheet.art.area({{wedge.begin(), wedge.end()}}, InkBlack);
        }
    }

    void drawMarks()
    {
        if (m_settings.levels)
            for (const SpotLevelRow& row : m_content.levels) {
                const PageMm at = m_map(row.place.at);
                drawLevelMark(m_sheet.art, at);
                m_labels.block({at.x - MarkMm / 2, at.y - 0.75 * MarkMm, MarkMm, 0.75 * MarkMm});
                wishBeside({at.x, at.y - 0.4 * MarkMm}, fixed(row.level.levelM, 2));
            }
        for (const DrawnPointRow& row : m_content.points) {
            const PageMm at = m_map(row.place.at);
            if (!m_sheet.field.holds({at.x - MarkMm / 2, at.y - MarkMm / 2, MarkMm, MarkMm}))
                continue; // surveyed outside of what is shown
            drawPointMark(m_sheet.art, row.point.kind, at);
            m_labels.block({at.x - MarkMm / 2, at.y - MarkMm / 2, MarkMm, MarkMm});
            const std::string words = row.point.kind == PointKind::Note ? row.point.text : row.point.number;
            wishBeside(at, artTextWithin(words, SmallMm, 40));
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
        m_labels.ink({{field.x, y}, {field.x + field.width, y}}, false);
        Wish wish{{}, "datum " + fixed(datumM, 2) + " m"};
        wish.label.widthMm = artTextWidthMm(wish.words, SmallMm);
        wish.label.heightMm = SmallMm;
        for (double x = field.x + 2 + wish.label.widthMm / 2; x < field.x + field.width; x += 5)
            wish.label.inside.push_back({x, y - 1 - SmallMm / 2});
        wish.label.anchors = {{field.x, y}};
        place(wish); // before all others: the reader looks for it at the end of its line
    }

    /// Right, left, above, below the mark; else with a leader.
    void wishBeside(PageMm at, const std::string& words)
    {
        if (words.empty())
            return;
        Wish wish{{}, words};
        wish.label.widthMm = artTextWidthMm(words, SmallMm);
        wish.label.heightMm = SmallMm;
        wish.label.anchors = {at};
        const double across = MarkMm / 2 + 0.8 + wish.label.widthMm / 2;
        const double along = MarkMm / 2 + 0.8 + wish.label.heightMm / 2;
        for (const auto& [dx, dy] : {std::pair{across, 0.0}, {-across, 0.0}, {0.0, -along}, {0.0, along}})
            wish.label.inside.push_back({at.x + dx, at.y + dy});
        m_markWishes.push_back(std::move(wish));
    }

    void placeContextNumbers()
    {
        struct Numbered {
            const OutlineRow* row;
            std::vector<std::vector<PageMm>> rings; ///< of its largest part
            double area = 0;
        };
        std::vector<Numbered> outlines;
        for (const OutlineRow& row : m_content.outlines) {
            Numbered one{&row, {}, 0};
            for (const VertexPart& part : row.parts)
                if (const double area = std::abs(signedAreaM2(part.outer)); area > one.area) {
                    one.area = area;
                    one.rings = ringsOf(part);
                }
            if (!one.rings.empty() && !row.outline.context.empty())
                outlines.push_back(std::move(one));
        }
        // Deposits before cuts, whose numbers stand beside their edges; the largest first.
        std::stable_sort(outlines.begin(), outlines.end(), [](const Numbered& a, const Numbered& b) {
            const bool cutA = contextClassOf(a.row->contextKind) == ContextClass::Cut,
                       cutB = contextClassOf(b.row->contextKind) == ContextClass::Cut;
            return cutA != cutB ? cutB : a.area > b.area;
        });
        std::vector<std::pair<std::string, PageBox>> numbered;
        for (const Numbered& one : outlines) {
            // The same context drawn again on another sheet, over the same ground, needs no second number.
            const PageBox around = boxOf(one.rings.front());
            const bool again = std::any_of(numbered.begin(), numbered.end(), [&](const auto& former) {
                return former.first == one.row->outline.context && former.second.overlaps(around);
            });
            if (again)
                continue;
            numbered.emplace_back(one.row->outline.context, around);
            placeNumber(*one.row, one.rings);
        }
    }

    std::vector<std::vector<PageMm>> ringsOf(const VertexPart& part) const
    {
        std::vector<std::vector<PageMm>> rings;
        const auto add = [&](const VertexRing& ring) {
            std::vector<PageMm> page;
            for (const GroundVertex& vertex : ring)
                page.push_back(m_map(vertex.at));
            rings.push_back(std::move(page));
        };
        add(part.outer);
        for (const VertexRing& hole : part.holes)
            add(hole);
        return rings;
    }

    static PageBox boxOf(const std::vector<PageMm>& ring)
    {
        PageBox box{ring.front().x, ring.front().y, 0, 0};
        double right = box.x, bottom = box.y;
        for (const PageMm at : ring) {
            box.x = std::min(box.x, at.x);
            box.y = std::min(box.y, at.y);
            right = std::max(right, at.x);
            bottom = std::max(bottom, at.y);
        }
        box.width = right - box.x;
        box.height = bottom - box.y;
        return box;
    }

    void placeNumber(const OutlineRow& row, const std::vector<std::vector<PageMm>>& rings)
    {
        Wish wish{{}, contextLabel(row.outline.context, contextClassOf(row.contextKind)), NumberMm, true};
        wish.words = artTextWithin(wish.words, NumberMm, 50, true);
        wish.label.widthMm = artTextWidthMm(wish.words, NumberMm, true);
        wish.label.heightMm = NumberMm;
        if (contextClassOf(row.contextKind) == ContextClass::Cut) {
            // A number inside would be taken for that of the fill; a leader to the edge cannot be.
            const std::vector<PageMm>& edge = rings.front();
            for (std::size_t i = 0; i < 12; ++i)
                wish.label.anchors.push_back(edge[i * edge.size() / 12]);
        } else {
            wish.label.inside = roomWithin(rings, wish.label.widthMm + 1, wish.label.heightMm + 1);
            // A leader leads well into the outline, so that it cannot be taken for its neighbour's.
            const std::vector<PageMm> within = roomWithin(rings, 0, 0);
            wish.label.anchors = {within.empty() ? rings.front().front() : within.front()};
        }
        place(wish);
    }

    void placeLineLetters(const EdgeLineRow& row)
    {
        const std::string& label = row.line.label;
        if (label.empty() || row.vertices.size() < 2)
            return;
        const std::size_t hyphen = label.find('-');
        const std::string from = hyphen == std::string::npos ? label : label.substr(0, hyphen);
        const std::string to = hyphen == std::string::npos ? std::string() : label.substr(hyphen + 1);
        for (const auto& [words, vertex] :
             {std::pair{from, &row.vertices.front()}, {to, &row.vertices.back()}}) {
            if (words.empty())
                continue;
            Wish wish{{}, artTextWithin(words, NumberMm, 30, true), NumberMm, true};
            wish.label.widthMm = artTextWidthMm(wish.words, NumberMm, true);
            wish.label.heightMm = NumberMm;
            wish.label.anchors = {m_map(vertex->at)};
            wish.label.leaderFromMm = 1.5;
            place(wish);
        }
    }

    void place(const Wish& wish)
    {
        const std::optional<PlacedLabel> placed = m_labels.place(wish.label);
        if (!placed) {
            m_sheet.noRoom.push_back(wish.words);
            return;
        }
        if (placed->leader)
            m_sheet.art.line({placed->anchor, placed->leaderEnd}, LeaderPen);
        const PageMm centre = placed->centre;
        m_sheet.art.text({.at = {centre.x, centre.y + wish.sizeMm * 0.36},
                          .words = wish.words,
                          .sizeMm = wish.sizeMm,
                          .bold = wish.bold,
                          .ink = InkBlack,
                          .anchor = ArtText::Anchor::Middle});
        m_sheet.labels.push_back({centre.x - wish.label.widthMm / 2, centre.y - wish.label.heightMm / 2,
                                  wish.label.widthMm, wish.label.heightMm});
    }

    const SheetContent& m_content;
    const SheetSettings& m_settings;
    FieldMap m_map;
    PlanSheet& m_sheet;
    LabelPlacing m_labels;
    std::set<EdgeName> m_drawn;
    std::vector<Wish> m_markWishes;
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

std::vector<PageMm> roomWithin(const std::vector<std::vector<PageMm>>& rings, double widthMm,
                               double heightMm)
{
    constexpr int Steps = 24;
    constexpr std::size_t Most = 48;
    PartOnGround part;
    PageMm low = rings.front().front(), high = low;
    for (std::size_t i = 0; i < rings.size(); ++i) {
        RingOnGround ring;
        for (const PageMm at : rings[i]) {
            ring.push_back(plane(at));
            low = {std::min(low.x, at.x), std::min(low.y, at.y)};
            high = {std::max(high.x, at.x), std::max(high.y, at.y)};
        }
        if (i == 0)
            part.outer = std::move(ring);
        else
            part.holes.push_back(std::move(ring));
    }
    std::vector<std::pair<double, PageMm>> found;
    for (int i = 1; i < Steps; ++i)
        for (int k = 1; k < Steps; ++k) {
            const PageMm at{low.x + (high.x - low.x) * i / Steps, low.y + (high.y - low.y) * k / Steps};
            if (sideOf(plane(at), part) != Side::Inside)
                continue;
            const PageBox box{at.x - widthMm / 2, at.y - heightMm / 2, widthMm, heightMm};
            if (widthMm > 0 && std::any_of(rings.begin(), rings.end(),
                                           [&](const auto& ring) { return crosses(ring, box); }))
                continue;
            found.emplace_back(distanceToEdge(plane(at), part), at);
        }
    std::stable_sort(found.begin(), found.end(),
                     [](const auto& a, const auto& b) { return a.first > b.first; });
    std::vector<PageMm> centres;
    for (const auto& [distance, at] : found)
        if (centres.size() < Most)
            centres.push_back(at);
    return centres;
}

} // namespace inkpeg
