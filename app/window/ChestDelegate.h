// SPDX-License-Identifier: GPL-3.0-or-later
// How a drawer and a drawing's card look in the plan chest.
#pragma once

#include <QStyledItemDelegate>

namespace inkpeg {

class ChestDelegate final : public QStyledItemDelegate {
    Q_OBJECT
public:
    using QStyledItemDelegate::QStyledItemDelegate;
    void paint(QPainter* painter, const QStyleOptionViewItem& option,
               const QModelIndex& index) const override;
    QSize sizeHint(const QStyleOptionViewItem& option, const QModelIndex& index) const override;
};

} // namespace inkpeg
