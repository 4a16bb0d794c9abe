// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/ErrorSurface.h"

#include <algorithm>
#include <array>
#include <cmath>

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
    for (double bound = (std::floor(leastM / step) + 1) * step; bound < mostM; bound += step)
        bounds.push_back(bound);
    return bounds;
}

std::size_t classOf(const ErrorSurface& surface, double errorM)
{
    return static_cast<std::size_t>(std::ranges::upper_bound(surface.boundsM(), errorM) -
                                    surface.boundsM().begin());
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

/// Where a bound passes through a cell: one or two pieces of line.
std::vector<QLineF> pieces(const std::array<QPointF, 4>& corners, const std::array<double, 4>& errors,
                           double bound)
{
    std::vector<QPointF> cuts;
    for (std::size_t i = 0; i < 4; ++i) {
        const double a = errors[i], b = errors[(i + 1) % 4];
        if ((a < bound) == (b < bound))
            continue;
        const double share = (bound - a) / (b - a);
        cuts.push_back(corners[i] + share * (corners[(i + 1) % 4] - corners[i]));
    }
    std::vector<QLineF> lines;
    for (std::size_t i = 0; i + 1 < cuts.size(); i += 2)
        lines.emplace_back(cuts[i], cuts[i + 1]);
    return lines;
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
    std::vector<QPointF> nodes;
    for (int row = 0; row <= ErrorSurface::Rows; ++row)
        for (int column = 0; column <= ErrorSurface::Columns; ++column)
            nodes.push_back(picture.at(surface.node(column, row)));
    const auto nodeAt = [&](int column, int row) {
        return nodes[static_cast<std::size_t>(row) * (ErrorSurface::Columns + 1) +
                     static_cast<std::size_t>(column)];
    };
    painter.save();
    painter.setRenderHint(QPainter::Antialiasing, false); // else seams show between the cells
    painter.setPen(Qt::NoPen);
    std::vector<std::vector<QLineF>> lines(surface.boundsM().size());
    for (int row = 0; row < ErrorSurface::Rows; ++row)
        for (int column = 0; column < ErrorSurface::Columns; ++column) {
            const std::array corners{nodeAt(column, row), nodeAt(column + 1, row),
                                     nodeAt(column + 1, row + 1), nodeAt(column, row + 1)};
            const std::array errors{surface.errorM(column, row), surface.errorM(column + 1, row),
                                    surface.errorM(column + 1, row + 1), surface.errorM(column, row + 1)};
            const double middle = (errors[0] + errors[1] + errors[2] + errors[3]) / 4;
            painter.setBrush(shadeOf(picture, surface, classOf(surface, middle)));
            painter.drawPolygon(corners.data(), 4);
            for (std::size_t i = 0; i < lines.size(); ++i)
                for (const QLineF& line : pieces(corners, errors, surface.boundsM()[i]))
                    lines[i].push_back(line);
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
        painter.fillRect(swatch, picture.colours.raised);
        painter.fillRect(swatch, shadeOf(picture, surface, i));
        painter.setPen(picture.colours.arrow);
        painter.drawRect(swatch);
        painter.setPen(picture.colours.ink);
        painter.drawText(QPointF(swatch.right() + 10, top + metrics.ascent()), names[i]);
    }
}

} // namespace inkpeg
