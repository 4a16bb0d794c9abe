// SPDX-License-Identifier: GPL-3.0-or-later
// The stratigraphic diagram to look at and walk through: dragged, zoomed by the wheel, by keys from context to
// context along its lines.
#pragma once

#include <optional>

#include <QAbstractScrollArea>

#include "core/checks/SequenceDiagram.h"

namespace inkpeg {

class SequenceView final : public QAbstractScrollArea {
    Q_OBJECT
public:
    explicit SequenceView(QWidget* parent = nullptr);

    void setDiagram(SequenceDiagram diagram);
    const SequenceDiagram& diagram() const { return m_diagram; }

    std::optional<std::size_t> chosen() const { return m_chosen; }
    void choose(std::size_t unit);
    void chooseContext(const std::string& number);

    /// Where a place of the diagram lies in the viewport.
    QPointF toViewport(DiagramPoint point) const;
    void showAll();
    void zoomBy(double factor, QPointF about);

signals:
    void unitChosen(std::size_t unit);
    void unitActivated(std::size_t unit); ///< clicked twice, or Enter

protected:
    void paintEvent(QPaintEvent* event) override;
    void resizeEvent(QResizeEvent* event) override;
    void mousePressEvent(QMouseEvent* event) override;
    void mouseMoveEvent(QMouseEvent* event) override;
    void mouseReleaseEvent(QMouseEvent* event) override;
    void mouseDoubleClickEvent(QMouseEvent* event) override;
    void wheelEvent(QWheelEvent* event) override;
    void keyPressEvent(QKeyEvent* event) override;
    bool viewportEvent(QEvent* event) override;

private:
    DiagramPoint toDiagram(QPointF viewport) const;
    std::optional<std::size_t> unitAt(QPointF viewport) const;
    std::optional<std::size_t> neighbour(int key) const;
    void setBars();
    void bringIntoView(std::size_t unit);

    SequenceDiagram m_diagram;
    double m_pixelsPerMm = 3.6;
    std::optional<std::size_t> m_chosen;
    QPoint m_dragFrom;
    bool m_dragging = false;
};

} // namespace inkpeg
