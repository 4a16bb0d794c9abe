// SPDX-License-Identifier: GPL-3.0-or-later
// Tracing outlines and editing what is traced.
//
// Armed with a context number, each click sets a vertex and the line follows the pencil there (W:
// straight). Enter or C closes the outline, Shift+Enter closes it along the limit of excavation or outline
// that both its ends lie on, Shift+E follows such an edge to the pointer, Backspace takes the last click
// back, Esc gives up, K and 1 to 5 choose the kind of the next edge. After E a click proposes the closed
// pencil outline around it: Enter or a click inside takes it, full stop and comma step to the next larger
// and smaller one, B bridges wider gaps. A ring that crosses itself is shown as it would be mended; Enter
// takes that, Backspace goes back. Where a ring runs along the same pencil line as what is drawn already it
// takes over those vertices, which is shown; Alt and a click take it as the pencil lies. Vertices that were
// placed exactly stay where they are.
//
// Otherwise a click chooses an outline; its vertices can be dragged, a double click on an edge (or I) puts
// one in, X or Delete takes one out, and 1 to 5 give the edge under the pointer its kind. Shift and a click
// on two vertices choose the run between them (Shift+W: the other way round), which is then dragged, taken
// out or given a kind as one. Levels, points and vertices of lines are dragged and taken out in the same
// way.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "app/board/BoardTool.h"
#include "app/board/InkTracing.h"
#include "app/board/Marks.h"
#include "app/board/Snap.h"
#include "core/outline/Adjoin.h"
#include "core/outline/DrawnOutlines.h"
#include "core/records/Records.h"

namespace inkpeg {

struct BoardPicture;

class TraceTool final : public BoardTool {
    Q_OBJECT
public:
    explicit TraceTool(Board& board);

    /// Empty: not drawing. Arming gives up what was being drawn.
    void arm(const std::string& context);
    const std::string& armedFor() const { return m_context; }
    bool drawing() const { return !m_ring.vertices.empty(); }
    const Ring& ring() const { return m_ring; }
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
    const Run& chosenRun() const { return m_run; }
    /// Whether the ring, or an edit, is being shown as it would be mended.
    bool mending() const { return m_mending.has_value(); }
    /// Shows an edit as it would be mended: the outlines that it changes, and what that does to them.
    void offerMending(const DrawnOutlines& outlines, const Mendings& mendings);
    /// True while an edit is shown as it would be mended, and says that it has to be taken or left first.
    bool editWaits();
    /// The edges that the ring in hand would share with what is drawn already.
    const SharedWith& sharing() const { return m_joining.with; }

    /// The smallest outline under the pointer but the chosen one; 0 if there is none.
    std::int64_t otherAtPointer() const;
    std::optional<ScanPx> pointerInScan() const;

    void press(const BoardPointer& pointer) override;
    void move(const BoardPointer& pointer, bool leftHeld) override;
    void release(const BoardPointer& pointer) override;
    void doubleClick(const BoardPointer& pointer) override;
    void paint(QPainter& painter) override;
    QString hint() const override;
    void sceneChanged() override;
    void finish() override { close(); }
    void takeBack() override { takeBackVertex(); }
    void giveUp() override { abandon(); }
    void takeKind(EdgeKind kind) override { chooseKind(kind); }
    void takeNextKind() override { cycleKind(); }

public slots:
    void close();                           ///< Enter, C: the ring, or takes what is proposed or mended
    void closeAlongEdge();                  ///< Shift+Enter
    void followEdge();                      ///< Shift+E
    void takeBackVertex();                  ///< Backspace: what the last click added
    void abandon();                         ///< Esc: the ring, else the arming, else the choice
    void chooseKind(inkpeg::EdgeKind kind); ///< 1 to 5
    void cycleKind();                       ///< K
    void followInkOrNot();                  ///< W
    void encloseOrNot();                    ///< E
    void turnRun();                         ///< Shift+W: the run the other way round
    void insertAtPointer();                 ///< I
    void removeAtPointer(); ///< X, Delete: the run, mark or vertex under the pointer, else the outline

signals:
    void mendingTaken(); ///< of an edit
    void mendingLeft();  ///< for whatever reason it is no longer shown
    void partsClosed(const QString& context, const std::vector<inkpeg::Part>& parts);
    void vertexMoved(const inkpeg::ScanPx& from, const inkpeg::ScanPx& to);
    void vertexInserted(const inkpeg::ScanPx& from, const inkpeg::ScanPx& to, const inkpeg::ScanPx& at);
    void vertexRemoved(const inkpeg::ScanPx& at);
    void edgeKindSet(const inkpeg::ScanPx& a, const inkpeg::ScanPx& b, inkpeg::EdgeKind kind);
    void runMoved(const inkpeg::Run& run, double columnsPx, double rowsPx);
    void runRemoved(const inkpeg::Run& run);
    void runKindSet(const inkpeg::Run& run, inkpeg::EdgeKind kind);
    void markMoved(const inkpeg::MarkHit& mark, const inkpeg::ScanPx& to);
    void markRemoved(const inkpeg::MarkHit& mark);
    void markRewritten(const inkpeg::MarkHit& mark, const QPointF& widget); ///< a double click on it
    void outlineRemoved(qint64 outline);
    void outlineSelected(qint64 outline);
    void stateChanged();
    void refused(const QString& words); ///< empty: what was refused before is done now

private:
    const BoardDrawing* drawn() const;
    std::optional<ScanPx> ringStart() const;
    std::optional<ScanPx> vertexAt(const BoardPointer& pointer) const;
    std::optional<OutlineIndex::Edge> edgeAt(const BoardPointer& pointer) const;
    std::optional<MarkHit> markUnder(const BoardPointer& pointer) const;
    std::vector<std::int64_t> holdersOf(const Run& run) const;
    void addVertex(const BoardPointer& pointer);
    void push(ScanPx vertex);
    void enclose(const BoardPointer& pointer);
    void takeProposal(bool asThePencilLies);
    /// A ring as it would be taken, and what it shares then.
    struct Joining {
        Ring ring;
        SharedWith with;
    };
    Joining joined(const Ring& ring) const;
    Ring proposedRing() const;
    /// The ring in hand closed from its last vertex to the first, along the pencil.
    Ring closedRing() const;
    void seeWhatIsShared();
    QString joiningWords() const;
    /// What the pointer takes to: what is drawn, else the pencil.
    Snap snapAt(const BoardPointer& pointer) const;
    QString drawingHint() const;
    void addStretch(const Course& stretch);
    void closeWith(const Ring& ring);
    void choose(const BoardPointer& pointer);
    void chooseRunEnd(ScanPx vertex);
    void letRunGo();
    void dropMending();
    void announce();
    bool dragsRun() const;
    void paintDrawing(QPainter& painter, const BoardPicture& picture) const;
    void paintMending(QPainter& painter, const BoardPicture& picture) const;
    void paintJoining(QPainter& painter, const BoardPicture& picture) const;
    void paintDragged(QPainter& painter, const BoardPicture& picture,
                      const std::vector<std::int64_t>& holders) const;
    void paintRun(QPainter& painter, const BoardPicture& picture) const;
    void paintHover(QPainter& painter, const BoardPicture& picture);
    void paintLead(QPainter& painter, const BoardPicture& picture, ScanPx to);

    std::string m_context;
    InkTracing m_ink;
    Ring m_ring;                        ///< kinds[i] belongs to the edge that leaves vertex i
    std::vector<std::size_t> m_clicked; ///< vertices of the ring after each click
    std::vector<ScanPx> m_held;         ///< vertices that were placed exactly
    Joining m_joining;                  ///< of the ring in hand or proposed
    struct Mending {
        DrawnOutlines outlines;
        Mendings mendings;
        bool ofEdit = false;
    };
    std::optional<Mending> m_mending;
    EdgeKind m_nextKind = EdgeKind::Certain;
    std::int64_t m_selected = 0;
    Run m_run; ///< of one vertex while its other end is to be chosen
    BoardPointer m_pointer{};
    bool m_pointerKnown = false;
    std::optional<ScanPx> m_dragFrom;
    std::optional<MarkHit> m_dragMark;
    std::optional<ScanPx> m_dragTo;
    QPointF m_pressedAt;
};

} // namespace inkpeg
