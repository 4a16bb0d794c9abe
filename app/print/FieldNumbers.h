// SPDX-License-Identifier: GPL-3.0-or-later
// The numbers, levels and letters on the field of a print-ready page: where each finds room, and their
// drawing over white with leaders beneath, so that every one can be read whatever it lies on.
#pragma once

#include <string>
#include <vector>

#include "app/print/PlanField.h"

namespace inkpeg {

/// From a number that stands beside what it belongs to.
inline const ArtPen LeaderPen{.widthMm = 0.13};

class FieldNumbers {
public:
    FieldNumbers(const FieldMap& map, const PageBox& field) : m_map(map), m_labels(field) {}

    /// Line work that numbers would rather not lie on, and marks that they may not cover. Tell all of it
    /// before the first number is placed.
    void ink(const std::vector<PageMm>& line, bool closed) { m_labels.ink(line, closed); }
    void block(const PageBox& box) { m_labels.block(box); }

    /// One number for each context and place: deposits and structures within their outline and outside of
    /// what lies in it, cuts beside their edge.
    void contexts(const std::vector<OutlineRow>& outlines);
    /// "A-B" becomes a letter at each end.
    void lineLetters(const EdgeLineRow& row);
    /// About a mark of MarkMm: close around it, else with a leader.
    void beside(PageMm at, const std::string& words);
    /// Along a level line, at the first free place from the left.
    void onLine(double y, const PageBox& field, const std::string& words);

    /// Fills sheet.labels, sheet.noRoom and sheet.art, which has everything else already.
    void draw(PlanSheet& sheet) const;

private:
    struct Wish {
        LabelWish label;
        std::string words;
        double sizeMm;
        bool bold = false;
    };
    struct Placed {
        Wish wish;
        PlacedLabel at;
    };
    struct Numbered;

    static Wish wishFor(const std::string& words, double sizeMm, bool bold, double mostMm);
    std::vector<Numbered> numberedOf(const std::vector<OutlineRow>& outlines) const;
    void placeNumber(const Numbered& one, const std::vector<Numbered>& all);
    void place(Wish wish);

    FieldMap m_map;
    LabelPlacing m_labels;
    std::vector<Placed> m_placed;
    std::vector<std::string> m_noRoom;
};

} // namespace inkpeg
