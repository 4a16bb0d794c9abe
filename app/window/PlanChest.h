// SPDX-License-Identifier: GPL-3.0-or-later
// The plan chest on the left: drawings as cards, with a field that narrows them down.
#pragma once

#include <QWidget>

#include "app/window/Session.h"

class QLineEdit;
class QListView;

namespace inkpeg {

class ChestModel;
class Thumbnails;

class PlanChest final : public QWidget {
    Q_OBJECT
public:
    explicit PlanChest(Session& session, QWidget* parent = nullptr);

    void focusFilter();
    /// Chooses the next (+1) or previous (-1) drawing shown.
    void step(int by);
    QListView* list() const { return m_list; }

protected:
    bool eventFilter(QObject* watched, QEvent* event) override;

private:
    void showChosen();

    Session& m_session;
    Thumbnails* m_thumbnails;
    ChestModel* m_model;
    QLineEdit* m_filter;
    QListView* m_list;
};

} // namespace inkpeg
