// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/ErrorSurface.h"

#include <algorithm>
#include <cmath>

#include <QPainterPath>

namespace inkpeg {
namespace {

struct Box {
    ScanPx low, high;
};

Box partOfSheet(const BoardDrawing& drawing)
{
    if (drawing.record.frame.size() < 3)
        return {{0, 0}, {drawing.film.widthPx, drawing.film.heightPx}};
    Box box{drawing.record.frame[0], drawing.record.frame[0]};
    for (const ScanPx corner : drawing.record.frame) {
        box.low = {std::min(box.low.column, corner.column), std::min(box.low.row, corner.row)};
        box.high = {std::max(box.high.column, corner.column), std::max(box.high.row, corner.row)};
    }
    return box;
}

/// Round bounds between the least and the most: steps of 1, 2 or 5 times a power of ten.
std::vector<double> boundsBetween(double leastM, double mostM)
{
    constexpr double MostBounds = 5;
    double step = roundNoMoreThan(std::max((mostM - leastM) / 2, 1e-6));
    while ((mostM - leastM) / step > MostBounds) // the next of 1, 2, 5
        step = roundNoMoreThan(step * 2.6);
    std::vector<double> bounds;
    for (long nth = std::lround(std::floor(leastM / step)) + 1; double(nth) * step < mostM; ++nth)
        bounds.push_back(double(nth) * step);
    return bounds;
}

QColor shadeOf(const BoardPicture& picture, const ErrorSurface& surface, std::size_t ofClass)
{
    QColor shade = picture.colours.arrow;
    const auto classes = static_cast<double>(surface.boundsM().size() + 1);
    shade.setAlphaF(static_cast<float>(0.06 + 0.44 * (static_cast<double>(ofClass) + 0.5) / classes));
    return shade;
}

QString millimetres(double metres)
{
    return QString::number(metres * 1000, 'f', metres < 0.01 ? 1 : 0);
}

struct Node {
    QPointF at;
    double errorM = 0;
};

/// Where `bound` passes between two nodes, the error taken to run straight between them.
QPointF cut(const Node& a, const Node& b, double bound)
{
    return a.at + (bound - a.errorM) / (b.errorM - a.errorM) * (b.at - a.at);
}

/// The part of a cell on one side of a bound, cut along the line that is drawn for the bound.
std::vector<Node> cutOff(const std::vector<Node>& cell, double bound, bool keepAbove)
{
    std::vector<Node> kept;
    for (std::size_t i = 0; i < cell.size(); ++i) {
        const Node &here = cell[i], &next = cell[(i + 1) % cell.size()];
        if ((here.errorM >= bound) == keepAbove)
            kept.push_back(here);
        if ((here.errorM >= bound) != (next.errorM >= bound))
            kept.push_back({cut(here, next, bound), bound});
    }
    return kept;
}

/// Where a bound passes through a cell: one or two pieces of line.
std::vector<QLineF> pieces(const std::vector<Node>& cell, double bound)
{
    std::vector<QPointF> cuts;
    for (std::size_t i = 0; i < cell.size(); ++i) {
        const Node &here = cell[i], &next = cell[(i + 1) % cell.size()];
        if ((here.errorM < bound) != (next.errorM < bound))
            cuts.push_back(cut(here, next, bound));
    }
    std::vector<QLineF> lines;
    for (std::size_t i = 0; i + 1 < cuts.size(); i += 2)
        lines.emplace_back(cuts[i], cuts[i + 1]);
    return lines;
}

void addTo(QPainterPath& shade, const std::vector<Node>& polygon)
{
    if (polygon.size() < 3)
        return;
    shade.moveTo(polygon.front().at);
    for (const Node& node : polygon)
        shade.lineTo(node.at);
    shade.closeSubpath();
}

} // namespace

ErrorSurface::ErrorSurface(const BoardDrawing& drawing)
{
    if (!drawing.ground)
        return;
    const Box box = partOfSheet(drawing);
    m_low = box.low;
    m_high = box.high;
    for (int row = 0; row <= Rows; ++row)
        for (int column = 0; column <= Columns; ++column)
            m_errorsM.push_back(
                drawing.ground->fit.covarianceAt(drawing.ground->film.toFilm(node(column, row)))
                    .standardErrorM());
    const auto [least, most] = std::minmax_element(m_errorsM.begin(), m_errorsM.end());
    m_leastM = *least;
    m_mostM = *most;
    m_boundsM = boundsBetween(m_leastM, m_mostM);
}

ScanPx ErrorSurface::node(int column, int row) const
{
    return {m_low.column + (m_high.column - m_low.column) * column / Columns,
            m_low.row + (m_high.row - m_low.row) * row / Rows};
}

void paintErrorSurface(QPainter& painter, const BoardPicture& picture, const ErrorSurface& surface)
{
    if (surface.empty())
        return;
    const auto nodeAt = [&](int column, int row) {
        return Node{picture.at(surface.node(column, row)), surface.errorM(column, row)};
    };
    const std::vector<double>& bounds = surface.boundsM();
    std::vector<QPainterPath> shades(bounds.size() + 1);
    std::vector<std::vector<QLineF>> lines(bounds.size());
    for (int row = 0; row < ErrorSurface::Rows; ++row)
        for (int column = 0; column < ErrorSurface::Columns; ++column) {
            std::vector<Node> rest{nodeAt(column, row), nodeAt(column + 1, row),
                                   nodeAt(column + 1, row + 1), nodeAt(column, row + 1)};
            for (std::size_t i = 0; i < bounds.size(); ++i) {
                for (const QLineF& line : pieces(rest, bounds[i]))
                    lines[i].push_back(line);
                addTo(shades[i], cutOff(rest, bounds[i], false));
                rest = cutOff(rest, bounds[i], true);
            }
            addTo(shades.back(), rest);
        }
    painter.save();
    painter.setRenderHint(QPainter::Antialiasing, false); // else seams show between the cells
    painter.setPen(Qt::NoPen);
    for (std::size_t i = 0; i < shades.size(); ++i) {
        shades[i].setFillRule(Qt::WindingFill);
        painter.fillPath(shades[i], shadeOf(picture, surface, i));
    }
    painter.restore();
    for (std::size_t i = 0; i < lines.size(); ++i) {
        painter.setPen(QPen(picture.colours.arrow, 1.4));
        painter.drawLines(lines[i].data(), static_cast<int>(lines[i].size()));
        // The figure stands where the line runs inside the window, a different place for each.
        std::vector<QLineF> seen;
        std::ranges::copy_if(lines[i], std::back_inserter(seen), [&](const QLineF& line) {
            return picture.widget.adjusted(40, 40, -60, -60).contains(line.p1());
        });
        if (!seen.empty())
            paintLabel(painter, picture, seen[seen.size() * (i + 1) / (lines.size() + 1)].p1(),
                       QString("%1 mm").arg(millimetres(surface.boundsM()[i])), picture.colours.arrow);
    }
}

void paintErrorLegend(QPainter& painter, const BoardPicture& picture, const ErrorSurface& surface)
{
    if (surface.empty())
        return;
    const QFontMetricsF metrics(picture.font);
    std::vector<QString> names;
    const std::vector<double>& bounds = surface.boundsM();
    for (std::size_t i = 0; i <= bounds.size(); ++i) {
        const double low = i == 0 ? surface.leastM() : bounds[i - 1];
        const double high = i == bounds.size() ? surface.mostM() : bounds[i];
        names.push_back(QString("%1 to %2 mm").arg(millimetres(low), millimetres(high)));
    }
    const QString title = QString("standard error of the fit, on the ground");
    double width = metrics.horizontalAdvance(title);
    for (const QString& name : names)
        width = std::max(width, metrics.horizontalAdvance(name) + 36);
    const double line = metrics.height() + 4;
    const QRectF panel(14, 14, width + 24, line * static_cast<double>(names.size() + 1) + 14);
    paintPanel(painter, picture, panel);
    painter.setFont(picture.font);
    painter.setPen(picture.colours.ink);
    painter.drawText(QPointF(panel.left() + 12, panel.top() + 6 + metrics.ascent()), title);
    for (std::size_t i = 0; i < names.size(); ++i) {
        const double top = panel.top() + 8 + line * static_cast<double>(i + 1);
        const QRectF swatch(panel.left() + 12, top, 26, metrics.height() - 2);
        painter.fillRect(swatch, picture.colours.halo); // as the film is
        painter.fillRect(swatch, shadeOf(picture, surface, i));
        painter.setPen(picture.colours.arrow);
        painter.setBrush(Qt::NoBrush);
        painter.drawRect(swatch);
        painter.setPen(picture.colours.ink);
        painter.drawText(QPointF(swatch.right() + 10, top + metrics.ascent()), names[i]);
    }
}

} // namespace inkpeg
