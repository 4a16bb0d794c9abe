// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/PegPainting.h"

#include <algorithm>
#include <cmath>

namespace inkpeg {
namespace {

constexpr double NearlyRoundPx = 34; // half axis on the screen where there are no arrows to go by

QPen dashed(const QColor& colour, double width)
{
    QPen pen(colour, width, Qt::SolidLine, Qt::FlatCap);
    pen.setDashPattern({3, 2});
    return pen;
}

void paintProposal(QPainter& painter, const BoardPicture& picture, const ProposedMark& proposal,
                   bool atHand)
{
    const QPointF at = picture.at(proposal.mark);
    const QColor colour = proposal.doubtful ? picture.colours.doubtful : picture.colours.snap;
    const double r = atHand ? 13 : 10;
    QPolygonF lozenge;
    lozenge << at + QPointF(0, -r) << at + QPointF(r, 0) << at + QPointF(0, r) << at + QPointF(-r, 0);
    painter.setBrush(Qt::NoBrush);
    painter.setPen(QPen(picture.colours.halo, atHand ? 6 : 4.5));
    painter.drawPolygon(lozenge);
    painter.setPen(atHand ? QPen(colour, 3) : dashed(colour, 2));
    painter.drawPolygon(lozenge);
    painter.setPen(QPen(colour, 1.6));
    painter.drawLine(at - QPointF(4, 0), at + QPointF(4, 0));
    painter.drawLine(at - QPointF(0, 4), at + QPointF(0, 4));
    const QString name = proposal.doubtful ? proposal.peg + " ?" : proposal.peg;
    const double width = QFontMetricsF(picture.font).horizontalAdvance(name);
    const bool onTheLeft = at.x() + 18 + width > picture.widget.right();
    paintLabel(painter, picture, at + QPointF(onTheLeft ? -18 - width : 18, -12), name, colour);
}

/// Screen direction of a step on the ground at a place, for the side that is shown.
QPointF onScreen(const BoardPicture& picture, const DrawingGround& ground, ScanPx at, double east,
                 double north)
{
    if (picture.frame.side() == BoardSide::Ground)
        return {east, -north};
    const FilmMm film = ground.film.toFilm(at);
    const GroundJacobian j = ground.fit.transform.jacobian(film);
    const double determinant = j.eastByX * j.northByY - j.eastByY * j.northByX;
    if (std::abs(determinant) < 1e-30)
        return {};
    const double x = (j.northByY * east - j.eastByY * north) / determinant;
    const double y = (-j.northByX * east + j.eastByX * north) / determinant;
    const double metresPerMm = std::sqrt(std::abs(determinant));
    return QPointF(x, -y) * metresPerMm; // metres again, in screen axes
}

} // namespace

void paintProposals(QPainter& painter, const BoardPicture& picture,
                    const std::vector<ProposedMark>& proposals, int atHand)
{
    for (std::size_t i = 0; i < proposals.size(); ++i)
        if (static_cast<int>(i) != atHand)
            paintProposal(painter, picture, proposals[i], false);
    if (atHand >= 0 && atHand < static_cast<int>(proposals.size()))
        paintProposal(painter, picture, proposals[static_cast<std::size_t>(atHand)], true);
}

void paintErrorEllipse(QPainter& painter, const BoardPicture& picture, ScanPx at)
{
    if (!picture.scene.drawing || !picture.scene.drawing->ground)
        return;
    const DrawingGround& ground = *picture.scene.drawing->ground;
    const ErrorEllipse ellipse = ground.fit.covarianceAt(ground.film.toFilm(at)).ellipse(0.95);
    if (!(ellipse.majorM > 0))
        return;
    const double pxPerMm = arrowPixelsPerMm(*picture.scene.drawing);
    const double scale = ground.fit.settings.scaleDenominator;
    double pxPerM = filmMmFromGroundM(1, scale) * pxPerMm;
    if (!(pxPerMm > 0))
        pxPerM = NearlyRoundPx / ellipse.majorM;
    QPolygonF outline;
    constexpr int Corners = 48;
    for (int i = 0; i < Corners; ++i) {
        const double turn = 2 * M_PI * i / Corners;
        const double along = ellipse.majorM * std::cos(turn), across = ellipse.minorM * std::sin(turn);
        const double c = std::cos(ellipse.majorAngleRad), s = std::sin(ellipse.majorAngleRad);
        outline << picture.at(at) + pxPerM * onScreen(picture, ground, at, c * along - s * across,
                                                      s * along + c * across);
    }
    QColor wash = picture.colours.arrow;
    wash.setAlphaF(0.16F);
    painter.setBrush(wash);
    painter.setPen(QPen(picture.colours.halo, 4));
    painter.drawPolygon(outline);
    painter.setBrush(Qt::NoBrush);
    painter.setPen(QPen(picture.colours.arrow, 1.6));
    painter.drawPolygon(outline);
    const QString words = QString("95 %: %1 × %2 mm")
                              .arg(ellipse.majorM * 1000, 0, 'f', ellipse.majorM < 0.01 ? 1 : 0)
                              .arg(ellipse.minorM * 1000, 0, 'f', ellipse.minorM < 0.01 ? 1 : 0);
    const QRectF box = outline.boundingRect();
    const double width = QFontMetricsF(picture.font).horizontalAdvance(words);
    paintLabel(painter, picture,
               {std::min(box.right() + 8, picture.widget.right() - width - 6),
                std::min(box.bottom() + 12, picture.widget.bottom() - 12)},
               words, picture.colours.arrow);
}

void paintSheetParts(QPainter& painter, const BoardPicture& picture)
{
    if (!picture.scene.drawing || picture.frame.side() != BoardSide::Film)
        return;
    const auto part = [&](const std::vector<ScanPx>& frame, const std::string& number, bool own) {
        if (frame.size() < 3)
            return;
        const QPolygonF corners = picture.at(frame);
        painter.setBrush(Qt::NoBrush);
        painter.setPen(QPen(picture.colours.halo, own ? 4 : 3));
        painter.drawPolygon(corners);
        painter.setPen(own ? QPen(picture.colours.accent, 2) : dashed(picture.colours.neighbour, 1.5));
        painter.drawPolygon(corners);
        const QRectF box = corners.boundingRect();
        paintLabel(painter, picture, box.topLeft() + QPointF(8, 12), QString::fromStdString(number),
                   own ? picture.colours.accent : picture.colours.neighbour);
    };
    for (const SheetPart& other : picture.scene.drawing->otherParts)
        part(other.frame, other.number, false);
    part(picture.scene.drawing->record.frame, picture.scene.drawing->record.number, true);
}

void paintDrawnFrame(QPainter& painter, const BoardPicture& picture, const QRectF& widget)
{
    painter.setBrush(Qt::NoBrush);
    painter.setPen(QPen(picture.colours.halo, 4));
    painter.drawRect(widget);
    painter.setPen(QPen(picture.colours.accent, 2));
    painter.drawRect(widget);
}

} // namespace inkpeg
