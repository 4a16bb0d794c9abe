// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/SequenceView.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include <QKeyEvent>
#include <QPainter>
#include <QScrollBar>
#include <QToolTip>

#include "app/board/Palette.h"
#include "app/print/SequencePainting.h"
#include "app/window/Words.h"

namespace inkpeg {

namespace {

constexpr double MarginMm = 8;
constexpr double LeastPixelsPerMm = 0.25, MostPixelsPerMm = 12;

SequenceInk screenInk()
{
    const Palette& colours = inkpeg::palette();
    return {
        colours.surface,
        colours.ink,
        colours.faintInk,
        colours.trench,
        colours.bad,
        {colours.neighbour, colours.faintInk, colours.peg, colours.accent, colours.doubtful, colours.good}};
}

} // namespace

SequenceView::SequenceView(QWidget* parent) : QAbstractScrollArea(parent)
{
    setFocusPolicy(Qt::StrongFocus);
    setAccessibleName(tr("Stratigraphic diagram"));
    setFrameShape(QFrame::NoFrame);
    viewport()->setMouseTracking(true);
}

void SequenceView::setDiagram(SequenceDiagram diagram)
{
    const std::string kept = m_chosen && !m_diagram.units[*m_chosen].contexts.empty()
                                 ? m_diagram.units[*m_chosen].contexts.front()
                                 : std::string();
    m_diagram = std::move(diagram);
    m_chosen.reset();
    setBars();
    if (!kept.empty())
        chooseContext(kept);
    viewport()->update();
}

QPointF SequenceView::toViewport(DiagramPoint point) const
{
    return {(point.xMm + MarginMm) * m_pixelsPerMm - horizontalScrollBar()->value(),
            (point.yMm + MarginMm) * m_pixelsPerMm - verticalScrollBar()->value()};
}

DiagramPoint SequenceView::toDiagram(QPointF at) const
{
    return {(at.x() + horizontalScrollBar()->value()) / m_pixelsPerMm - MarginMm,
            (at.y() + verticalScrollBar()->value()) / m_pixelsPerMm - MarginMm};
}

void SequenceView::setBars()
{
    const double width = (m_diagram.widthMm + 2 * MarginMm) * m_pixelsPerMm;
    const double height = (m_diagram.heightMm + 2 * MarginMm) * m_pixelsPerMm;
    horizontalScrollBar()->setPageStep(viewport()->width());
    verticalScrollBar()->setPageStep(viewport()->height());
    horizontalScrollBar()->setRange(0, std::max(0, static_cast<int>(width) - viewport()->width()));
    verticalScrollBar()->setRange(0, std::max(0, static_cast<int>(height) - viewport()->height()));
    horizontalScrollBar()->setSingleStep(40);
    verticalScrollBar()->setSingleStep(40);
}

void SequenceView::zoomBy(double factor, QPointF about)
{
    const DiagramPoint held = toDiagram(about);
    m_pixelsPerMm = std::clamp(m_pixelsPerMm * factor, LeastPixelsPerMm, MostPixelsPerMm);
    setBars();
    const QPointF moved = toViewport(held) - about;
    horizontalScrollBar()->setValue(horizontalScrollBar()->value() +
                                    static_cast<int>(std::lround(moved.x())));
    verticalScrollBar()->setValue(verticalScrollBar()->value() + static_cast<int>(std::lround(moved.y())));
    viewport()->update();
}

void SequenceView::showAll()
{
    const double wide = viewport()->width() / (m_diagram.widthMm + 2 * MarginMm);
    const double high = viewport()->height() / (m_diagram.heightMm + 2 * MarginMm);
    m_pixelsPerMm = std::clamp(std::min(wide, high), LeastPixelsPerMm, 4.5);
    setBars();
    viewport()->update();
}

void SequenceView::paintEvent(QPaintEvent*)
{
    QPainter painter(viewport());
    painter.setRenderHint(QPainter::Antialiasing);
    painter.fillRect(viewport()->rect(), inkpeg::palette().surface);
    const QPointF origin = toViewport({0, 0});
    painter.translate(origin);
    painter.scale(m_pixelsPerMm / SequenceUnitsPerMm, m_pixelsPerMm / SequenceUnitsPerMm);
    const DiagramPoint corner = toDiagram({0, 0});
    const QRectF visible(corner.xMm, corner.yMm, viewport()->width() / m_pixelsPerMm,
                         viewport()->height() / m_pixelsPerMm);
    paintSequence(painter, m_diagram, screenInk(), visible, m_chosen);
    if (m_diagram.units.empty()) {
        painter.resetTransform();
        painter.setPen(inkpeg::palette().faintInk);
        painter.drawText(viewport()->rect(), Qt::AlignCenter, tr("No contexts here yet."));
    }
}

void SequenceView::resizeEvent(QResizeEvent*)
{
    setBars();
}

std::optional<std::size_t> SequenceView::unitAt(QPointF at) const
{
    const DiagramPoint point = toDiagram(at);
    for (std::size_t i = 0; i < m_diagram.units.size(); ++i)
        if (m_diagram.units[i].holds(point))
            return i;
    return std::nullopt;
}

void SequenceView::choose(std::size_t unit)
{
    m_chosen = unit;
    bringIntoView(unit);
    viewport()->update();
    emit unitChosen(unit);
}

void SequenceView::chooseContext(const std::string& number)
{
    for (std::size_t i = 0; i < m_diagram.units.size(); ++i)
        if (std::ranges::find(m_diagram.units[i].contexts, number) != m_diagram.units[i].contexts.end())
            choose(i);
}

void SequenceView::bringIntoView(std::size_t unit)
{
    const QRect seen = viewport()->rect().adjusted(30, 30, -30, -30);
    const DiagramUnit& box = m_diagram.units[unit];
    const QPointF from = toViewport({box.leftMm, box.topMm});
    const QPointF to = toViewport({box.leftMm + box.widthMm, box.topMm + box.heightMm});
    const auto shift = [](double low, double high, int least, int most) {
        return low < least ? low - least : high > most ? high - most : 0.0;
    };
    horizontalScrollBar()->setValue(horizontalScrollBar()->value() +
                                    static_cast<int>(shift(from.x(), to.x(), seen.left(), seen.right())));
    verticalScrollBar()->setValue(verticalScrollBar()->value() +
                                  static_cast<int>(shift(from.y(), to.y(), seen.top(), seen.bottom())));
}

void SequenceView::mousePressEvent(QMouseEvent* event)
{
    m_dragFrom = event->pos();
    m_dragging = false;
    if (event->button() == Qt::LeftButton)
        if (const auto unit = unitAt(event->position()))
            choose(*unit);
}

void SequenceView::mouseMoveEvent(QMouseEvent* event)
{
    if (!(event->buttons() & (Qt::LeftButton | Qt::MiddleButton))) {
        viewport()->setCursor(unitAt(event->position()) ? Qt::PointingHandCursor : Qt::ArrowCursor);
        return;
    }
    const QPoint moved = event->pos() - m_dragFrom;
    if (!m_dragging && moved.manhattanLength() < 6)
        return;
    m_dragging = true;
    m_dragFrom = event->pos();
    horizontalScrollBar()->setValue(horizontalScrollBar()->value() - moved.x());
    verticalScrollBar()->setValue(verticalScrollBar()->value() - moved.y());
}

void SequenceView::mouseReleaseEvent(QMouseEvent*)
{
    m_dragging = false;
}

void SequenceView::mouseDoubleClickEvent(QMouseEvent* event)
{
    if (const auto unit = unitAt(event->position()))
        emit unitActivated(*unit);
}

void SequenceView::wheelEvent(QWheelEvent* event)
{
    zoomBy(std::pow(1.15, event->angleDelta().y() / 120.0), event->position());
    event->accept();
}

/// Up and down along the lines, to the straightest; left and right to the nearest on the same layer.
std::optional<std::size_t> SequenceView::neighbour(int key) const
{
    if (!m_chosen)
        return m_diagram.units.empty() ? std::nullopt : std::optional<std::size_t>(0);
    const DiagramPoint here = m_diagram.units[*m_chosen].middle();
    std::optional<std::size_t> best;
    double least = std::numeric_limits<double>::infinity();
    const auto offer = [&](std::size_t unit, double distance) {
        if (distance < least) {
            least = distance;
            best = unit;
        }
    };
    if (key == Qt::Key_Up || key == Qt::Key_Down) {
        for (const DiagramLine& line : m_diagram.lines) {
            if (line.later != *m_chosen && line.earlier != *m_chosen)
                continue;
            const std::size_t other = line.later == *m_chosen ? line.earlier : line.later;
            const DiagramPoint there = m_diagram.units[other].middle();
            if ((there.yMm < here.yMm) == (key == Qt::Key_Up))
                offer(other, std::abs(there.xMm - here.xMm));
        }
        return best;
    }
    for (std::size_t i = 0; i < m_diagram.units.size(); ++i) {
        const DiagramPoint there = m_diagram.units[i].middle();
        if (i != *m_chosen && std::abs(there.yMm - here.yMm) < 1 &&
            (there.xMm < here.xMm) == (key == Qt::Key_Left))
            offer(i, std::abs(there.xMm - here.xMm));
    }
    return best;
}

void SequenceView::keyPressEvent(QKeyEvent* event)
{
    switch (event->key()) {
    case Qt::Key_Up:
    case Qt::Key_Down:
    case Qt::Key_Left:
    case Qt::Key_Right:
        if (const auto unit = neighbour(event->key()))
            choose(*unit);
        break;
    case Qt::Key_Return:
    case Qt::Key_Enter:
        if (m_chosen)
            emit unitActivated(*m_chosen);
        break;
    case Qt::Key_Plus:
    case Qt::Key_Equal:
        zoomBy(1.25, viewport()->rect().center());
        break;
    case Qt::Key_Minus:
        zoomBy(0.8, viewport()->rect().center());
        break;
    case Qt::Key_0:
        showAll();
        break;
    default:
        QAbstractScrollArea::keyPressEvent(event);
    }
}

bool SequenceView::viewportEvent(QEvent* event)
{
    if (event->type() != QEvent::ToolTip)
        return QAbstractScrollArea::viewportEvent(event);
    const auto* help = static_cast<QHelpEvent*>(event);
    if (const auto unit = unitAt(help->pos())) {
        const DiagramUnit& box = m_diagram.units[*unit];
        QToolTip::showText(help->globalPos(),
                           tr("%1 · %2 · %3. Enter or a double click leads to the board.")
                               .arg(words(box.label),
                                    box.registered ? words(box.kind) : tr("not in the register"),
                                    stageWord(box.stage)));
    } else {
        QToolTip::hideText();
    }
    return true;
}

} // namespace inkpeg
