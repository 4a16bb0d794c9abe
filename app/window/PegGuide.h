// SPDX-License-Identifier: GPL-3.0-or-later
// Leads through the pinning of a drawing: asks for the peg of a click, centres it on its cross, shows the
// crosses found by themselves until they are accepted or dropped, goes from peg to peg.
#pragma once

#include <optional>
#include <vector>

#include <QObject>
#include <QPointF>

#include "core/film/Crosses.h"
#include "core/store/GridCrosses.h"

namespace inkpeg {

class Board;
class BoardField;
class PegPlan;
class PegTool;
class PegWork;
class Session;

class PegGuide final : public QObject {
    Q_OBJECT
public:
    PegGuide(Session& session, Board& board, PegTool& tool, BoardField& field, QObject* parent);

    const std::vector<ProposedPin>& proposals() const { return m_proposals; }
    PegPlan& plan() { return *m_plan; }
    bool finding() const;

public slots:
    void ask(const inkpeg::ScanPx& mark, const QPointF& widget, bool asClicked);
    void findGrid();
    void stopAndDrop();
    /// The next proposed cross, else the next peg that should have a mark on this drawing.
    void next();
    void acceptAtHand();
    void acceptAll();
    void drop();
    void choose(int proposal);
    /// The chosen pin becomes a check point, or goes back into the fit; the same for leaving it out.
    void toggleCheck();
    void toggleLeftOut();
    void takeRemedy();
    void takeAdvisedModel();
    void share();
    void frameDrawn(const inkpeg::ScanPx& corner, const inkpeg::ScanPx& opposite);
    void wholeSheet();

signals:
    void said(const QString& words, bool trouble);
    void findingChanged();

private:
    void askAt(ScanPx mark, QPointF widget, const QString& peg);
    void startCentring(ScanPx mark);
    void takeCentre(int mostMs);
    QString question() const;
    bool place(const QString& name);
    void endAsking();
    void found(qint64 drawing, const GridProposal& grid);
    void showProposals();
    void forgetPinned();
    void toggleUse(PinUse use);

    Session& m_session;
    Board& m_board;
    PegTool& m_tool;
    BoardField& m_field;
    PegWork* m_work;
    PegPlan* m_plan;
    std::vector<ProposedPin> m_proposals;
    int m_atHand = -1;
    bool m_quietly = false; ///< the search was nobody's wish: its failure is not told

    std::optional<ScanPx> m_asked;
    std::optional<CrossMark> m_cross; ///< that the asked mark was centred on
    bool m_centring = false;          ///< not answered yet
    QString m_noCross;
    QString m_lastPeg; ///< that `next` went to
};

} // namespace inkpeg
