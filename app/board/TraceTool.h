// SPDX-License-Identifier: GPL-3.0-or-later
// Tracing outlines and editing their vertices.
//
// Armed with a context number, each click sets a vertex and the line follows the pencil there (W:
// straight): Enter or C closes the outline, Backspace takes the last click back, Esc gives up, K and 1 to 5
// choose the kind of the next edge. After E a click proposes the closed pencil outline around it: Enter or
// a click inside takes it, full stop and comma step to the next larger and smaller one, B bridges wider
// gaps. Otherwise a click chooses an outline; its vertices can be dragged, a double click on an edge (or I)
// puts one in, X or Delete takes one out, and 1 to 5 give the edge under the pointer its kind.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "app/board/BoardTool.h"
#include "app/board/InkTracing.h"
#include "core/outline/OutlineEdit.h"
#include "core/records/Records.h"

namespace inkpeg {

struct BoardPicture;

/// A vertex that a traced ring put on another outline's edge: that outline gets it too.
struct EdgeInsertion {
    ScanPx from, to, at;
};

class TraceTool final : public BoardTool {
    Q_OBJECT
public:
    explicit TraceTool(Board& board);

    /// Empty: not drawing. Arming gives up what was being drawn.
    void arm(const std::string& context);
    const std::string& armedFor() const { return m_context; }
    bool drawing() const { return !m_ring.vertices.empty(); }
    EdgeKind nextKind() const { return m_nextKind; }
    /// Of the ring being drawn.
    std::size_t ringSize() const { return m_ring.vertices.size(); }
    std::optional<ScanPx> lastVertex() const
    {
        return m_ring.vertices.empty() ? std::nullopt : std::optional(m_ring.vertices.back());
    }
    std::int64_t selectedOutline() const { return m_selected; }
    void selectOutline(std::int64_t id);
    InkTracing& ink() { return m_ink; }
    /// Begins to read the ink of the drawing on the board, away from the window's thread.
    void readInk();

    void press(const BoardPointer& pointer) override;
    void move(const BoardPointer& pointer, bool leftHeld) override;
    void release(const BoardPointer& pointer) override;
    void doubleClick(const BoardPointer& pointer) override;
    void paint(QPainter& painter) override;
    QString hint() const override;
    void sceneChanged() override;

public slots:
    void close();                           ///< Enter, C: the ring, or takes what is proposed
    void takeBackVertex();                  ///< Backspace: what the last click added
    void abandon();                         ///< Esc: the ring, else the arming, else the choice
    void chooseKind(inkpeg::EdgeKind kind); ///< 1 to 5
    void cycleKind();                       ///< K
    void followInkOrNot();                  ///< W
    void encloseOrNot();                    ///< E
    void insertAtPointer();                 ///< I
    void removeAtPointer(); ///< X, Delete: the vertex under the pointer, else the chosen outline

signals:
    void ringClosed(const QString& context, const inkpeg::Ring& ring,
                    const std::vector<inkpeg::EdgeInsertion>& insertions);
    void vertexMoved(const inkpeg::ScanPx& from, const inkpeg::ScanPx& to);
    void vertexInserted(const inkpeg::EdgeInsertion& insertion);
    void vertexRemoved(const inkpeg::ScanPx& at);
    void edgeKindSet(const inkpeg::ScanPx& a, const inkpeg::ScanPx& b, inkpeg::EdgeKind kind);
    void outlineRemoved(qint64 outline);
    void outlineSelected(qint64 outline);
    void stateChanged();
    void refused(const QString& words);

private:
    /// Where a vertex would go for the pointer: on a vertex, on an edge, or where it is.
    struct Snap {
        ScanPx at;
        enum class To { Nothing, Vertex, Edge, Start, Junction, Line } to = To::Nothing;
        ScanPx edgeFrom, edgeTo;
    };
    Snap snapFor(const BoardPointer& pointer, std::optional<ScanPx> leaveOut) const;
    const std::vector<Outline>& outlines() const;
    double scanPxFor(double widgetPx, const BoardPointer& pointer) const;
    std::optional<ScanPx> vertexAt(const BoardPointer& pointer) const;
    std::optional<EdgePlace> edgeAt(const BoardPointer& pointer) const;
    void addVertex(const BoardPointer& pointer);
    void push(ScanPx vertex);
    void enclose(const BoardPointer& pointer);
    void takeProposal();
    QString drawingHint() const;
    void choose(const BoardPointer& pointer);
    void announce();
    void paintDrawing(QPainter& painter, const BoardPicture& picture) const;
    void paintHover(QPainter& painter, const BoardPicture& picture);

    std::string m_context;
    InkTracing m_ink;
    Ring m_ring;                        ///< kinds[i] belongs to the edge that leaves vertex i
    std::vector<std::size_t> m_clicked; ///< vertices of the ring after each click
    std::vector<EdgeInsertion> m_insertions;
    EdgeKind m_nextKind = EdgeKind::Certain;
    std::int64_t m_selected = 0;
    BoardPointer m_pointer{};
    bool m_pointerKnown = false;
    std::optional<ScanPx> m_dragFrom;
    std::optional<ScanPx> m_dragTo;
    QPointF m_pressedAt;
};

} // namespace inkpeg
