// SPDX-License-Identifier: GPL-3.0-or-later
// Finds room for numbers on a printed page: no two overlap, none leaves its field; one that does not fit
// where it belongs stands beside it with a leader.
//
//   LabelPlacing labels({0, 0, 180, 120});
//   labels.block({52, 40, 2, 2}); // a mark that no label may cover
//   const LabelWish wish{.widthMm = 9, .heightMm = 3, .inside = {{60, 44}}, .anchors = {{60, 44}}};
//   const std::optional<PlacedLabel> placed = labels.place(wish);
#pragma once

#include <map>
#include <optional>
#include <utility>
#include <vector>

#include "app/print/PageMm.h"

namespace inkpeg {

/// Upper left corner and size, in millimetres.
struct PageBox {
    double x = 0, y = 0, width = 0, height = 0;

    bool overlaps(const PageBox& other) const
    {
        return x < other.x + other.width && other.x < x + width && y < other.y + other.height &&
               other.y < y + height;
    }
    bool holds(const PageBox& other) const
    {
        return other.x >= x && other.y >= y && other.x + other.width <= x + width &&
               other.y + other.height <= y + height;
    }
};

/// The stretch of a-b within the box, as shares of its length; nothing where it passes by.
/// Source: Liang and Barsky, A new concept and method for line clipping, ACM Trans. Graph. 3 (1984), 1-22.
std::optional<std::pair<double, double>> shareWithin(PageMm a, PageMm b, const PageBox& box);

struct LabelWish {
    double widthMm = 0, heightMm = 0;
    std::vector<PageMm> inside;  ///< centres that need no leader, best first
    std::vector<PageMm> anchors; ///< what the label is about; a leader leads to one of them
    double leaderFromMm = 3;     ///< nearest distance of a label with a leader from its anchor
};

struct PlacedLabel {
    PageMm centre;
    bool leader = false;
    PageMm anchor;    ///< where the leader leads
    PageMm leaderEnd; ///< where it meets the label's box
};

class LabelPlacing {
public:
    explicit LabelPlacing(const PageBox& field) : m_field(field) {}

    /// Room that no label may take.
    void block(const PageBox& box);
    /// Line work: a label may cross it, and would rather not.
    void ink(const std::vector<PageMm>& line, bool closed);

    /// The best free place, which is then taken; nothing when the field is full.
    std::optional<PlacedLabel> place(const LabelWish& wish);

private:
    using Cell = std::pair<int, int>;
    bool isFree(const PageBox& box) const;
    bool crossesTaken(PageMm from, PageMm to) const;
    int inkUnder(const PageBox& box) const;
    /// The best place about one anchor, if it costs less than `cost`, which it then lowers.
    std::optional<PlacedLabel> beside(const LabelWish& wish, PageMm anchor, double& cost) const;
    void take(const PageBox& box);
    template<typename Visit>
    void eachNear(const PageBox& box, const Visit& visit) const;

    PageBox m_field;
    std::vector<PageBox> m_taken;
    std::map<Cell, std::vector<std::size_t>> m_near; ///< taken boxes by cells of the page
    std::map<Cell, int> m_ink;                       ///< line work by square millimetres
};

/// Centres at which a box of this size lies wholly within the first ring and outside of the others, the
/// roomiest first.
std::vector<PageMm> roomWithin(const std::vector<std::vector<PageMm>>& rings, double widthMm,
                               double heightMm);

} // namespace inkpeg
