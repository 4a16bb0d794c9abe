// SPDX-License-Identifier: GPL-3.0-or-later
// The plan chest as rows: a drawer for each trench, then its drawings by number.
#pragma once

#include <map>
#include <vector>

#include <QAbstractListModel>

#include "core/records/Records.h"
#include "core/store/Project.h"

namespace inkpeg {

class Thumbnails;

class ChestModel final : public QAbstractListModel {
    Q_OBJECT
public:
    enum Role { IsDrawer = Qt::UserRole, DrawingId, Number, Title, Detail, StageWord, StageIndex, Picture };

    ChestModel(Thumbnails& thumbnails, QObject* parent);

    void setProject(const Project* project); ///< not owned; null for none
    void setFilter(const QString& text);
    void reload();

    int rowOfDrawing(std::int64_t id) const; ///< -1 when filtered away
    /// The drawing `step` drawings further on in what is shown, or 0.
    std::int64_t neighbourOf(std::int64_t id, int step) const;

    int rowCount(const QModelIndex& parent = {}) const override;
    QVariant data(const QModelIndex& index, int role) const override;
    Qt::ItemFlags flags(const QModelIndex& index) const override;

private:
    struct Row {
        QString drawer; ///< set for a drawer's heading
        Drawing drawing;
        int count = 0;
    };
    void arrange();

    Thumbnails& m_thumbnails;
    const Project* m_project = nullptr;
    QString m_filter;
    std::vector<Drawing> m_drawings;
    std::map<std::string, Sheet> m_sheets;
    std::vector<Row> m_rows;
};

} // namespace inkpeg
