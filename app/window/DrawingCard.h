// SPDX-License-Identifier: GPL-3.0-or-later
// The card of a drawing: what the registers say of it, and where its scan lies.
#pragma once

#include <QWidget>

#include "app/window/Session.h"

class QCheckBox;
class QLabel;
class QPushButton;

namespace inkpeg {

class PathField;

class DrawingCard final : public QWidget {
    Q_OBJECT
public:
    explicit DrawingCard(Session& session, QWidget* parent = nullptr);

private:
    void refresh();
    QString facts(const Drawing& drawing) const;

    Session& m_session;
    QLabel* m_heading;
    QLabel* m_facts;
    QLabel* m_scanState;
    PathField* m_scan;
    QCheckBox* m_faceDown;
    QPushButton* m_give;
};

} // namespace inkpeg
