// SPDX-License-Identifier: GPL-3.0-or-later
// A small plan of the surveyed pegs beside the question for a peg's name: a click answers it.
#pragma once

#include <optional>
#include <vector>

#include <QFrame>

#include "app/window/Session.h"

namespace inkpeg {

class PegPlan final : public QFrame {
    Q_OBJECT
public:
    /// `field` keeps the keys while the plan is clicked.
    PegPlan(QWidget* board, QWidget* field);

    /// Shows the pegs of the drawing's trench, or all; those pinned already are crossed out. The site grid,
    /// where there is one, lies upright. False if there is nothing to show.
    bool showFor(const Session& session, const QRect& beside);
    /// Where a peg lies in the plan; nothing when it is not on it.
    std::optional<QPoint> placeOf(const QString& peg) const;
    /// The peg written in the field stands out.
    void setWritten(const QString& peg);

    QSize sizeHint() const override { return {380, 280}; }

signals:
    void chosen(const QString& peg);

protected:
    void paintEvent(QPaintEvent*) override;
    void mouseMoveEvent(QMouseEvent*) override;
    void mousePressEvent(QMouseEvent*) override;
    void leaveEvent(QEvent*) override;

private:
    struct PlanPeg {
        QString name;
        QPointF at; ///< metres, y down
        bool taken = false;
    };
    QPointF onPlan(QPointF metres) const;
    const PlanPeg* nearest(QPointF place) const;

    std::vector<PlanPeg> m_pegs;
    QPolygonF m_trench;
    QRectF m_extent; ///< metres
    QString m_hovered, m_written;
};

} // namespace inkpeg
