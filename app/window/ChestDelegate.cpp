// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/ChestDelegate.h"

#include <QPainter>

#include "app/board/Palette.h"
#include "app/window/ChestModel.h"

namespace inkpeg {
namespace {

constexpr QSize pictureSize(88, 64);
constexpr int cardHeight = 92;
constexpr int drawerHeight = 34;

void paintDrawer(QPainter& painter, const QRect& rect, const QModelIndex& index, const QFont& font)
{
    const Palette& colours = inkpeg::palette();
    QFont bold = font;
    bold.setBold(true);
    painter.setFont(bold);
    painter.setPen(colours.faintInk);
    const QRect line = rect.adjusted(6, 6, -8, 0);
    painter.drawText(line, Qt::AlignVCenter | Qt::AlignLeft, index.data(ChestModel::Title).toString());
    painter.setFont(font);
    painter.drawText(line, Qt::AlignVCenter | Qt::AlignRight, index.data(ChestModel::Detail).toString());
    painter.setPen(colours.rule);
    painter.drawLine(rect.bottomLeft() + QPoint(4, 0), rect.bottomRight() - QPoint(6, 0));
}

/// The stage as a stamp: its word in a frame, and above it six ticks of which as many are inked as stages
/// are done.
void paintStamp(QPainter& painter, const QPoint& corner, const QModelIndex& index, const QFont& font)
{
    const Palette& colours = inkpeg::palette();
    QFont stamp = font;
    stamp.setBold(true);
    stamp.setPointSizeF(font.pointSizeF() * 0.84);
    stamp.setCapitalization(QFont::AllUppercase);
    stamp.setLetterSpacing(QFont::AbsoluteSpacing, 0.6);
    const QString word = index.data(ChestModel::StageWord).toString();
    const int width = QFontMetrics(stamp).horizontalAdvance(word) + 14;
    const int height = QFontMetrics(stamp).height() + 4;
    const int stage = index.data(ChestModel::StageIndex).toInt();
    const QColor ink = stage == 0 ? colours.faintInk : stage >= 4 ? colours.good : colours.accent;
    painter.setPen(QPen(ink, 1.4));
    painter.setBrush(Qt::NoBrush);
    painter.drawRoundedRect(QRectF(corner.x() + 0.7, corner.y() + 0.7, width, height), 4, 4);
    painter.setFont(stamp);
    painter.drawText(QRect(corner.x(), corner.y(), width + 1, height + 1), Qt::AlignCenter, word);
    for (int i = 0; i < 6; ++i) {
        const QRectF tick(corner.x() + 1 + i * 9, corner.y() - 10, 6, 5);
        painter.setPen(QPen(ink, 1));
        painter.setBrush(i <= stage ? QBrush(ink) : QBrush(Qt::NoBrush));
        painter.drawRect(tick);
    }
}

} // namespace

void ChestDelegate::paint(QPainter* painter, const QStyleOptionViewItem& option,
                          const QModelIndex& index) const
{
    const Palette& colours = inkpeg::palette();
    painter->save();
    painter->setRenderHint(QPainter::Antialiasing);
    painter->setRenderHint(QPainter::SmoothPixmapTransform);
    if (index.data(ChestModel::IsDrawer).toBool()) {
        paintDrawer(*painter, option.rect, index, option.font);
        painter->restore();
        return;
    }
    const bool chosen = option.state & QStyle::State_Selected;
    const bool hovered = option.state & QStyle::State_MouseOver;
    const QRectF card = QRectF(option.rect).adjusted(3, 3, -5, -3);
    painter->setPen(QPen(chosen || hovered ? colours.accent : colours.rule, chosen ? 2 : 1));
    painter->setBrush(chosen ? colours.accentWash : colours.raised);
    painter->drawRoundedRect(card, 6, 6);

    const QRect frame(option.rect.left() + 12, option.rect.top() + (cardHeight - pictureSize.height()) / 2,
                      pictureSize.width(), pictureSize.height());
    const QImage picture = index.data(ChestModel::Picture).value<QImage>();
    painter->setPen(colours.rule);
    painter->setBrush(colours.desk);
    painter->drawRect(frame);
    if (!picture.isNull()) {
        const QSize size = picture.size().scaled(pictureSize - QSize(2, 2), Qt::KeepAspectRatio);
        painter->drawImage(
            QRect(frame.center() - QPoint(size.width() / 2, size.height() / 2) + QPoint(1, 1), size),
            picture);
    }
    const int left = frame.right() + 12;
    const QRect text(left, option.rect.top() + 9, option.rect.right() - 12 - left, cardHeight - 18);
    QFont bold = option.font;
    bold.setBold(true);
    bold.setPointSizeF(option.font.pointSizeF() * 1.12);
    painter->setFont(bold);
    painter->setPen(colours.ink);
    painter->drawText(text, Qt::AlignTop | Qt::AlignLeft, index.data(ChestModel::Number).toString());
    painter->setFont(option.font);
    painter->setPen(colours.faintInk);
    painter->drawText(text, Qt::AlignTop | Qt::AlignRight, index.data(ChestModel::Detail).toString());
    painter->setPen(colours.ink);
    const QFontMetrics metrics(option.font);
    const QString title =
        metrics.elidedText(index.data(ChestModel::Title).toString(), Qt::ElideRight, text.width());
    painter->drawText(text.adjusted(0, QFontMetrics(bold).height() + 1, 0, 0), Qt::AlignTop | Qt::AlignLeft,
                      title);
    const int stampHeight = metrics.height() + 3;
    paintStamp(*painter, QPoint(left, text.bottom() - stampHeight), index, option.font);
    painter->restore();
}

QSize ChestDelegate::sizeHint(const QStyleOptionViewItem&, const QModelIndex& index) const
{
    return {240, index.data(ChestModel::IsDrawer).toBool() ? drawerHeight : cardHeight};
}

} // namespace inkpeg
