// SPDX-License-Identifier: GPL-3.0-or-later
// Drawing a line or ring for a purpose other than a new outline: an edge drawn anew, an outline divided, a
// hole, a break of slope, a section line, a limit of excavation. Clicks set vertices, Enter or a double
// click ends it, Backspace takes the last vertex back, Esc gives up.
#pragma once

#include <cstdint>
#include <vector>

#include "app/board/BoardTool.h"
#include "app/board/Snap.h"

namespace inkpeg {

enum class LinePurpose { Redraw, Divide, Hole, BreakTop, BreakBottom, SectionLine, Limit };

class LineTool final : public BoardTool {
    Q_OBJECT
public:
    using BoardTool::BoardTool;

    /// Begins anew. `outline` is the one to be divided or holed.
    void begin(LinePurpose purpose, std::int64_t outline);
    /// Lets go of what was drawn.
    void reset();
    LinePurpose purpose() const { return m_purpose; }
    const std::vector<ScanPx>& vertices() const { return m_vertices; }

    void press(const BoardPointer& pointer) override;
    void move(const BoardPointer& pointer, bool leftHeld) override;
    void doubleClick(const BoardPointer& pointer) override;
    void finish() override;
    void takeBack() override;
    void giveUp() override;
    void takeKind(EdgeKind kind) override;
    void takeNextKind() override;
    void paint(QPainter& painter) override;
    QString hint() const override;

signals:
    /// Shape: kinds.size() == vertices.size() - 1; a hole is not closed by repeating its first vertex.
    void drawn(inkpeg::LinePurpose purpose, qint64 outline, const std::vector<inkpeg::ScanPx>& vertices,
               const std::vector<inkpeg::EdgeKind>& kinds);
    void givenUp();
    void refused(const QString& words);

private:
    std::size_t fewest() const;
    void announce();

    LinePurpose m_purpose = LinePurpose::Redraw;
    std::int64_t m_outline = 0;
    std::vector<ScanPx> m_vertices;
    std::vector<EdgeKind> m_kinds; ///< of the edge that leads to each vertex but the first
    EdgeKind m_kind = EdgeKind::Certain;
    BoardPointer m_pointer{};
    bool m_pointerKnown = false;
};

} // namespace inkpeg
