// SPDX-License-Identifier: GPL-3.0-or-later
// The outlines of the drawing at hand as a list: what a line says is put together when it is looked at.
#pragma once

#include <QAbstractListModel>

#include "app/window/Session.h"

namespace inkpeg {

class OutlineListModel final : public QAbstractListModel {
    Q_OBJECT
public:
    explicit OutlineListModel(const Session& session, QObject* parent = nullptr);

    void reload();
    /// An invalid index if it is not in the list.
    QModelIndex indexOfOutline(std::int64_t id) const;
    /// 0 if there is none.
    std::int64_t outlineAt(const QModelIndex& index) const;

    int rowCount(const QModelIndex& parent = {}) const override;
    QVariant data(const QModelIndex& index, int role) const override;

private:
    QString describe(const Outline& outline) const;

    const Session& m_session;
    OutlineSet m_outlines;
};

} // namespace inkpeg
