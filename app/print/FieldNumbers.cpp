// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/print/FieldNumbers.h"

#include <algorithm>
#include <cmath>

namespace inkpeg {

namespace {

constexpr double NumberMm = 2.5; ///< size of context numbers
constexpr double SmallMm = 2.0;  ///< of levels and finds

/// An outline that takes more of another than this is no part of it, but the same drawn again or its cut.
constexpr double MostOfAnother = 0.8;

using Rings = std::vector<std::vector<PageMm>>;

Rings ringsOf(const VertexPart& part, const FieldMap& map)
{
    Rings rings;
    const auto add = [&](const VertexRing& ring) {
        std::vector<PageMm>& page = rings.emplace_back();
        for (const GroundVertex& vertex : ring)
            page.push_back(map(vertex.at));
    };
    add(part.outer);
    for (const VertexRing& hole : part.holes)
        add(hole);
    return rings;
}

PageBox boxOf(const std::vector<PageMm>& ring)
{
    PageMm low = ring.front(), high = low;
    for (const PageMm at : ring) {
        low = {std::min(low.x, at.x), std::min(low.y, at.y)};
        high = {std::max(high.x, at.x), std::max(high.y, at.y)};
    }
    return {low.x, low.y, high.x - low.x, high.y - low.y};
}

} // namespace

struct FieldNumbers::Numbered {
    std::string context;
    ContextClass contextClass = ContextClass::Unknown;
    Rings rings; ///< of its largest part
    PageBox around;
    double areaM2 = 0;
};

FieldNumbers::Wish FieldNumbers::wishFor(const std::string& words, double sizeMm, bool bold, double mostMm)
{
    Wish wish{{}, artTextWithin(words, sizeMm, mostMm, bold), sizeMm, bold};
    wish.label.widthMm = artTextWidthMm(wish.words, sizeMm, bold);
    wish.label.heightMm = sizeMm;
    return wish;
}

std::vector<FieldNumbers::Numbered> FieldNumbers::numberedOf(const std::vector<OutlineRow>& outlines) const
{
    std::vector<Numbered> all;
    for (const OutlineRow& row : outlines) {
        Numbered one{row.outline.context, contextClassOf(row.contextKind), {}, {}, 0};
        for (const VertexPart& part : row.parts)
            if (const double area = std::abs(signedAreaM2(part.outer)); area > one.areaM2) {
                one.areaM2 = area;
                one.rings = ringsOf(part, m_map);
            }
        if (one.rings.empty() || one.context.empty())
            continue;
        one.around = boxOf(one.rings.front());
        all.push_back(std::move(one));
    }
    // Deposits before cuts, whose numbers stand beside their edges; the largest first: it has most places
    // to choose from inside, the small ones go beside.
    std::stable_sort(all.begin(), all.end(), [](const Numbered& a, const Numbered& b) {
        const bool cutA = a.contextClass == ContextClass::Cut, cutB = b.contextClass == ContextClass::Cut;
        return cutA != cutB ? cutB : a.areaM2 > b.areaM2;
    });
    return all;
}

void FieldNumbers::contexts(const std::vector<OutlineRow>& outlines)
{
    const std::vector<Numbered> all = numberedOf(outlines);
    for (auto one = all.begin(); one != all.end(); ++one) {
        // The same context drawn again on another sheet, over the same ground, needs no second number.
        const bool again = std::any_of(all.begin(), one, [&](const Numbered& former) {
            return former.context == one->context && former.around.overlaps(one->around);
        });
        if (!again)
            placeNumber(*one, all);
    }
}

void FieldNumbers::placeNumber(const Numbered& one, const std::vector<Numbered>& all)
{
    Wish wish = wishFor(contextLabel(one.context, one.contextClass), NumberMm, true, 50);
    if (one.contextClass == ContextClass::Cut) {
        // A number inside would be taken for that of the fill; a leader to the edge cannot be.
        const std::vector<PageMm>& edge = one.rings.front();
        for (std::size_t i = 0; i < 12; ++i)
            wish.label.anchors.push_back(edge[i * edge.size() / 12]);
        return place(std::move(wish));
    }
    // Within what lies in it, its number would be taken for the other's.
    Rings free = one.rings;
    for (const Numbered& other : all)
        if (other.areaM2 < MostOfAnother * one.areaM2 && other.context != one.context &&
            other.around.overlaps(one.around))
            free.push_back(other.rings.front());
    std::vector<PageMm> within = roomWithin(free, 0, 0);
    if (within.empty()) { // covered all over: anywhere is better than nowhere
        free = one.rings;
        within = roomWithin(free, 0, 0);
    }
    wish.label.inside = roomWithin(free, wish.label.widthMm + 1, wish.label.heightMm + 1);
    // A leader leads well into the outline, so that it cannot be taken for its neighbour's.
    wish.label.anchors = {within.empty() ? one.rings.front().front() : within.front()};
    place(std::move(wish));
}

void FieldNumbers::lineLetters(const EdgeLineRow& row)
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
        Wish wish = wishFor(words, NumberMm, true, 30);
        wish.label.anchors = {m_map(vertex->at)};
        wish.label.leaderFromMm = 1.5;
        place(std::move(wish));
    }
}

void FieldNumbers::beside(PageMm at, const std::string& words)
{
    if (words.empty())
        return;
    Wish wish = wishFor(words, SmallMm, false, 40);
    wish.label.anchors = {at};
    const double across = MarkMm / 2 + 0.8 + wish.label.widthMm / 2;
    const double along = MarkMm / 2 + 0.8 + wish.label.heightMm / 2;
    // To the right and to the left, then the corners, then above and below.
    for (const auto& [dx, dy] : {std::pair{across, 0.0},
                                 {-across, 0.0},
                                 {across, -along},
                                 {across, along},
                                 {-across, -along},
                                 {-across, along},
                                 {0.0, -along},
                                 {0.0, along}})
        wish.label.inside.push_back({at.x + dx, at.y + dy});
    place(std::move(wish));
}

void FieldNumbers::onLine(double y, const PageBox& field, const std::string& words)
{
    Wish wish = wishFor(words, SmallMm, false, 60);
    for (double x = field.x + 2 + wish.label.widthMm / 2; x < field.x + field.width; x += 5)
        wish.label.inside.push_back({x, y - 1 - SmallMm / 2});
    wish.label.anchors = {{field.x, y}};
    place(std::move(wish));
}

void FieldNumbers::place(Wish wish)
{
    if (const std::optional<PlacedLabel> at = m_labels.place(wish.label))
        m_placed.push_back({std::move(wish), *at});
    else
        m_noRoom.push_back(wish.words);
}

void FieldNumbers::draw(PlanSheet& sheet) const
{
    for (const Placed& one : m_placed)
        if (one.at.leader)
            sheet.art.line({one.at.anchor, one.at.leaderEnd}, LeaderPen);
    for (const Placed& one : m_placed) {
        const PageBox box{one.at.centre.x - one.wish.label.widthMm / 2,
                          one.at.centre.y - one.wish.label.heightMm / 2, one.wish.label.widthMm,
                          one.wish.label.heightMm};
        sheet.art.box({box.x, box.y}, box.width, box.height, InkPaper);
        sheet.labels.push_back(box);
    }
    for (const Placed& one : m_placed)
        sheet.art.text({.at = {one.at.centre.x, one.at.centre.y + one.wish.sizeMm * 0.36},
                        .words = one.wish.words,
                        .sizeMm = one.wish.sizeMm,
                        .bold = one.wish.bold,
                        .ink = InkBlack,
                        .anchor = ArtText::Anchor::Middle});
    sheet.noRoom = m_noRoom;
}

} // namespace inkpeg
