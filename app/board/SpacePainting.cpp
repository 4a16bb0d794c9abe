// SPDX-License-Identifier: GPL-3.0-or-later
// How the view in space looks: faces from the furthest to the nearest, traces over them, and words where
// there is room.
#include <algorithm>
#include <cmath>
#include <functional>

#include <QPainter>
#include <QPainterPath>

#include "app/board/BoardPainting.h"
#include "app/board/Palette.h"
#include "app/board/SpaceView.h"
#include "app/board/TraceLayout.h"

namespace inkpeg {
namespace {

QColor inkOf(SpaceFaceKind kind, const Palette& colours)
{
    switch (kind) {
    case SpaceFaceKind::Plan:
        return colours.accent;
    case SpaceFaceKind::Section:
        return colours.peg;
    case SpaceFaceKind::Post:
        return colours.find;
    case SpaceFaceKind::Trench:
        return colours.trench;
    }
    return colours.ink;
}

/// Plans are filled, sections hatched, posts filled full: the kinds part without hue too.
QBrush brushOf(SpaceFaceKind kind, QColor ink)
{
    if (kind == SpaceFaceKind::Trench)
        return Qt::NoBrush;
    ink.setAlphaF(kind == SpaceFaceKind::Post ? 0.75F : kind == SpaceFaceKind::Plan ? 0.22F : 0.55F);
    return {ink, kind == SpaceFaceKind::Section ? Qt::BDiagPattern : Qt::SolidPattern};
}

QPen penOf(SpaceFaceKind kind, const QColor& ink)
{
    return {ink, kind == SpaceFaceKind::Trench ? 1.0 : 1.4,
            kind == SpaceFaceKind::Trench ? Qt::DashLine : Qt::SolidLine};
}

/// A number, the room it would stand in and the places in it that would do.
struct SpaceWord {
    QString text;
    double areaPx2 = 0;
    std::vector<QRectF> places;
};

/// Numbers of what is large enough on the screen to carry one.
SpaceWord wordOf(const SpaceFace& face, const QRectF& bounds, const QFontMetricsF& metrics)
{
    SpaceWord word{QString::fromStdString(face.name), bounds.width() * bounds.height(), {}};
    if (face.kind == SpaceFaceKind::Trench || bounds.width() < 60 || bounds.height() < 20)
        return word;
    const QSizeF size(metrics.horizontalAdvance(word.text), metrics.height());
    for (const double share : {0.5, 0.3, 0.7})
        for (const double height : {0.5, 0.25, 0.75}) {
            QRectF box(QPointF(), size);
            box.moveCenter(bounds.topLeft() + QPointF(bounds.width() * share, bounds.height() * height));
            word.places.push_back(box);
        }
    return word;
}

} // namespace

void SpaceView::paint(QPainter& painter) const
{
    const Palette& colours = inkpeg::palette();
    painter.setRenderHint(QPainter::Antialiasing);
    painter.fillRect(rect(), colours.desk);
    painter.setFont(font());
    if (m_scene.empty()) {
        painter.setPen(colours.faintInk);
        painter.drawText(rect().adjusted(40, 0, -40, 0), Qt::AlignCenter | Qt::TextWordWrap,
                         tr("Nothing to see yet: pin drawings and trace outlines on them"));
        return;
    }
    const QFontMetricsF metrics(font());
    std::vector<SpaceWord> words;
    for (const SpaceFace* face : furthestFirst()) {
        QPainterPath path;
        for (const std::vector<SpacePoint>& ring : face->rings) {
            QPolygonF polygon;
            for (const SpacePoint& place : ring)
                polygon << widgetOf(place);
            path.addPolygon(polygon);
            path.closeSubpath();
        }
        const QColor ink = inkOf(face->kind, colours);
        painter.setPen(penOf(face->kind, ink));
        painter.setBrush(brushOf(face->kind, ink));
        painter.drawPath(path);
        words.push_back(wordOf(*face, path.boundingRect(), metrics));
    }
    WordRoom room;
    paintTraces(painter, room);
    std::ranges::stable_sort(words, std::greater(), &SpaceWord::areaPx2);
    for (const SpaceWord& word : words)
        if (const auto box = room.firstFree(word.places))
            paintWriting(painter, font(), colours.desk, {box->left(), box->center().y()}, word.text,
                         colours.ink);
    paintNorth(painter);
}

std::vector<const SpaceFace*> SpaceView::furthestFirst() const
{
    std::vector<std::pair<double, const SpaceFace*>> order;
    for (const SpaceFace& face : m_scene.faces) {
        double depth = 0;
        for (const SpacePoint& place : face.rings.front())
            depth += depthOf(place) / static_cast<double>(face.rings.front().size());
        order.emplace_back(depth, &face);
    }
    std::ranges::stable_sort(order, std::greater(), &std::pair<double, const SpaceFace*>::first);
    std::vector<const SpaceFace*> faces;
    for (const auto& [depth, face] : order)
        faces.push_back(face);
    return faces;
}

/// Sections come first: their names are what one looks for.
void SpaceView::paintTraces(QPainter& painter, WordRoom& room) const
{
    const Palette& colours = inkpeg::palette();
    const QFontMetricsF metrics(font());
    for (const SpaceTrace& trace : m_scene.traces) {
        QPolygonF line;
        for (const SpacePoint& place : trace.line)
            line << widgetOf(place);
        painter.setBrush(Qt::NoBrush);
        painter.setPen(QPen(colours.ink, 2));
        painter.drawPolyline(line);
        const QString name = QString::fromStdString(trace.drawing);
        const QSizeF size(metrics.horizontalAdvance(name), metrics.height());
        std::vector<QRectF> places;
        for (const QPointF& end : {line.first(), line.last()})
            for (const double up : {1.2, -0.2, 2.4}) {
                places.emplace_back(end - QPointF(4, up * size.height()), size);
                places.emplace_back(end - QPointF(size.width() - 4, up * size.height()), size);
            }
        if (const auto box = room.firstFree(places))
            paintWriting(painter, font(), colours.desk, {box->left(), box->center().y()}, name,
                         colours.ink);
    }
}

/// Which way grid north lies, as seen from here.
void SpaceView::paintNorth(QPainter& painter) const
{
    const Palette& colours = inkpeg::palette();
    const QPointF foot(rect().right() - 44, rect().bottom() - 34);
    const QPointF north = QPointF(-std::sin(m_stance.bearingRad),
                                  -std::cos(m_stance.bearingRad) * std::sin(m_stance.downwardRad)) *
                          26;
    painter.setPen(QPen(colours.ink, 2));
    painter.drawLine(foot, foot + north);
    painter.setBrush(colours.ink);
    painter.drawEllipse(foot, 3, 3);
    // Seen end on, the letter stands clear of the foot.
    const bool endOn = std::hypot(north.x(), north.y()) < 8;
    painter.drawText(foot + (endOn ? QPointF(8, 5) : north * 1.35 + QPointF(-4, 5)), tr("N"));
}

} // namespace inkpeg
