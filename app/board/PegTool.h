// SPDX-License-Identifier: GPL-3.0-or-later
// Placing pins: a click asks for a pin at its place, a pin can be dragged, Delete removes the chosen one.
// Crosses found by themselves are shown until they are accepted or dropped.
#pragma once

#include <cstdint>
#include <vector>

#include "app/board/BoardTool.h"
#include "app/board/ErrorSurface.h"
#include "app/board/PegPainting.h"
#include "core/records/Records.h"

namespace inkpeg {

class PegTool final : public BoardTool {
    Q_OBJECT
public:
    explicit PegTool(Board& board);

    std::int64_t selectedPin() const { return m_selected; }
    void selectPin(std::int64_t id);
    /// Where a pin is being asked for, shown until it is placed or given up.
    void setAsked(std::optional<ScanPx> mark);

    /// Crosses that could become pins; `atHand` is the one that a key would accept, -1 = none.
    void setProposals(std::vector<ProposedMark> proposals, int atHand);

    void setEllipseShown(bool shown);
    bool ellipseShown() const { return m_ellipse; }
    void setSurfaceShown(bool shown);
    bool surfaceShown() const { return m_surfaceShown; }

    /// The next drag draws out the drawing's part of the sheet.
    void setFraming(bool framing);
    bool framing() const { return m_framing; }

    void press(const BoardPointer& pointer) override;
    void move(const BoardPointer& pointer, bool leftHeld) override;
    void release(const BoardPointer& pointer) override;
    bool key(const QKeyEvent& event) override;
    void paint(QPainter& painter) override;
    QString hint() const override;
    void sceneChanged() override;

public slots:
    void removeSelected();

signals:
    /// `asClicked`: the mark is meant where it is, not at the cross beside it.
    void pinAsked(const inkpeg::ScanPx& mark, const QPointF& widget, bool asClicked);
    void proposalChosen(int proposal);
    void dropAsked(); ///< of what was found, and of the search for it
    void frameDrawn(const inkpeg::ScanPx& corner, const inkpeg::ScanPx& opposite);
    void pinMoved(qint64 pin, const inkpeg::ScanPx& mark);
    void pinRemoved(qint64 pin);
    void pinSelected(qint64 pin);

private:
    const Pin* pinAt(QPointF widget) const;
    int proposalAt(QPointF widget) const;
    void endFraming(const BoardPointer& pointer);

    std::vector<ProposedMark> m_proposals;
    int m_atHand = -1;
    bool m_ellipse = true;
    bool m_surfaceShown = false;
    ErrorSurface m_surface;
    bool m_framing = false;
    QPointF m_pointer;                   ///< of the frame being drawn out
    std::optional<ScanPx> m_pointerScan; ///< nothing while the pointer is elsewhere

    std::int64_t m_selected = 0;
    std::optional<ScanPx> m_asked;
    QPointF m_pressedAt;
    bool m_pressed = false;
    bool m_dragging = false;
    std::optional<ScanPx> m_dragMark;
    QPointF m_grip; ///< from the pointer to the pin when it was taken hold of
};

} // namespace inkpeg
