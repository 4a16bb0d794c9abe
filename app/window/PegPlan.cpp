// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/PegPlan.h"

#include <algorithm>
#include <cmath>
#include <set>

#include <QMouseEvent>
#include <QPainter>

#include "app/board/Palette.h"
#include "app/window/Words.h"
#include "core/store/DrawingFit.h"

namespace inkpeg {
namespace {

constexpr double marginPx = 30;
constexpr double reachPx = 16;
constexpr double aroundTrenchM = 2.6; // pegs stand a little outside

double away(QPointF a, QPointF b)
{
    return std::hypot(a.x() - b.x(), a.y() - b.y());
}

QRectF around(const QPolygonF& points)
{
    return points.boundingRect();
}

} // namespace

PegPlan::PegPlan(QWidget* board, QWidget* field) : QFrame(board)
{
    setObjectName("card");
    setFrameShape(QFrame::StyledPanel);
    setAutoFillBackground(true);
    setAttribute(Qt::WA_StyledBackground);
    setMouseTracking(true);
    setAccessibleName(tr("Plan of the pegs"));
    setToolTip(tr("Click the peg that this mark is"));
    // A click here must not take the keys from the field, which would give the question up.
    setFocusPolicy(Qt::ClickFocus);
    setFocusProxy(field);
    hide();
}

bool PegPlan::showFor(const Session& session, const QRect& beside)
{
    m_pegs.clear();
    m_trench.clear();
    m_hovered.clear();
    m_written.clear();
    const auto& drawing = session.scene().drawing;
    if (!drawing || isUpright(drawing->record.kind))
        return false;
    const PegsInCrs pegs(session.project());
    const double turn = pegs.siteGrid() ? pegs.siteGrid()->rotationRad() : 0.0;
    const auto plane = [&](GroundM at) {
        return QPointF(std::cos(turn) * at.east - std::sin(turn) * at.north,
                       -(std::sin(turn) * at.east + std::cos(turn) * at.north));
    };
    if (const auto trench = session.project().byKey<Trench>(drawing->record.trench))
        for (const GroundM& corner : trench->limit)
            m_trench << plane(corner);
    const QRectF near =
        around(m_trench).adjusted(-aroundTrenchM, -aroundTrenchM, aroundTrenchM, aroundTrenchM);
    std::set<std::string> seen;
    QPolygonF shown = m_trench;
    for (const Peg& peg : session.project().all<Peg>()) {
        const Result<Peg> inCrs = pegs.named(peg.name);
        if (!inCrs || !seen.insert(peg.name).second)
            continue;
        const QPointF at = plane(inCrs->position);
        if (!m_trench.isEmpty() && !near.contains(at))
            continue;
        const bool taken = std::ranges::find(drawing->pins, peg.name, &Pin::peg) != drawing->pins.end();
        m_pegs.push_back({words(peg.name), at, taken});
        shown << at;
    }
    if (m_pegs.empty())
        return false;
    m_extent = around(shown);
    resize(sizeHint());
    const QSize room = parentWidget()->size() - size();
    const int below = beside.bottom() + 6;
    const int top = below <= room.height() ? below : std::max(0, beside.top() - height() - 6);
    move(std::clamp(beside.left(), 0, std::max(0, room.width())), top);
    show();
    raise();
    return true;
}

QPointF PegPlan::onPlan(QPointF metres) const
{
    const QRectF room = QRectF(rect()).adjusted(marginPx, marginPx, -marginPx, -marginPx);
    const double scale = std::min(room.width() / std::max(m_extent.width(), 0.1),
                                  room.height() / std::max(m_extent.height(), 0.1));
    return room.center() + (metres - m_extent.center()) * scale;
}

std::optional<QPoint> PegPlan::placeOf(const QString& peg) const
{
    for (const PlanPeg& each : m_pegs)
        if (each.name == peg)
            return onPlan(each.at).toPoint();
    return std::nullopt;
}

void PegPlan::setWritten(const QString& peg)
{
    m_written = peg.trimmed();
    update();
}

const PegPlan::PlanPeg* PegPlan::nearest(QPointF place) const
{
    const PlanPeg* best = nullptr;
    for (const PlanPeg& peg : m_pegs)
        if (away(onPlan(peg.at), place) <= reachPx &&
            (!best || away(onPlan(peg.at), place) < away(onPlan(best->at), place)))
            best = &peg;
    return best;
}

void PegPlan::paintEvent(QPaintEvent* event)
{
    QFrame::paintEvent(event);
    const Palette& colours = inkpeg::palette();
    QPainter painter(this);
    painter.setRenderHint(QPainter::Antialiasing);
    QPolygonF trench;
    for (const QPointF& corner : m_trench)
        trench << onPlan(corner);
    painter.setPen(QPen(colours.trench, 1.5, Qt::DashLine));
    painter.drawPolygon(trench);
    QFont small = font();
    small.setPointSizeF(small.pointSizeF() * 0.78);
    painter.setFont(small);
    const QFontMetricsF metrics(small);
    std::vector<QRectF> written;
    for (const PlanPeg& peg : m_pegs) {
        const QPointF at = onPlan(peg.at);
        const bool marked = peg.name == m_hovered || peg.name.compare(m_written, Qt::CaseInsensitive) == 0;
        painter.setPen(QPen(peg.taken ? colours.faintInk : colours.peg, marked ? 2.6 : 1.6));
        painter.setBrush(marked ? QBrush(colours.accentWash) : QBrush());
        painter.drawEllipse(at, marked ? 7 : 3.5, marked ? 7 : 3.5);
        if (peg.taken)
            painter.drawLine(at - QPointF(5, 5), at + QPointF(5, 5));
        // Names where there is room; that under the pointer always.
        const double width = metrics.horizontalAdvance(peg.name);
        const QRectF box(at.x() - width / 2, at.y() - 9 - metrics.height(), width, metrics.height());
        const bool free = std::ranges::none_of(
            written, [&](const QRectF& other) { return other.adjusted(-3, 0, 3, 0).intersects(box); });
        if (!marked && (!free || !m_hovered.isEmpty()))
            continue;
        written.push_back(box);
        painter.setPen(marked ? colours.ink : colours.faintInk);
        painter.drawText(box, Qt::AlignCenter, peg.name);
    }
}

void PegPlan::mouseMoveEvent(QMouseEvent* event)
{
    const PlanPeg* peg = nearest(event->position());
    m_hovered = peg ? peg->name : QString();
    setCursor(peg ? Qt::PointingHandCursor : Qt::ArrowCursor);
    update();
}

void PegPlan::mousePressEvent(QMouseEvent* event)
{
    if (event->button() == Qt::LeftButton)
        if (const PlanPeg* peg = nearest(event->position()))
            emit chosen(peg->name);
}

void PegPlan::leaveEvent(QEvent*)
{
    m_hovered.clear();
    update();
}

} // namespace inkpeg
