// SPDX-License-Identifier: GPL-3.0-or-later
// The view in space in a window of its own, with what can be done about it.
#pragma once

#include <QDialog>

#include "app/board/SpaceView.h"
#include "app/window/Session.h"

class QComboBox;
class QLabel;

namespace inkpeg {

class SpaceWindow final : public QDialog {
    Q_OBJECT
public:
    SpaceWindow(Session& session, QWidget* parent);

    SpaceView* view() { return m_view; }
    QComboBox* trenchField() { return m_trench; }
    /// Writes the picture as shown. Says what went wrong, or an empty text.
    QString savePicture(const QString& file) const;

private:
    void refresh();
    void showScene();
    void askWhere();

    Session& m_session;
    SpaceScene m_whole;
    SpaceView* m_view;
    QComboBox* m_trench;
    QComboBox* m_sections;
    QLabel* m_said;
};

} // namespace inkpeg
