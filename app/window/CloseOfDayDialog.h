// SPDX-License-Identifier: GPL-3.0-or-later
// Asks for what the close-of-day sheet lists and where it goes, and writes it.
#pragma once

#include <QDialog>

#include "app/window/Session.h"

class QComboBox;
class QLabel;

namespace inkpeg {

class PathField;

class CloseOfDayDialog final : public QDialog {
    Q_OBJECT
public:
    explicit CloseOfDayDialog(Session& session, QWidget* parent = nullptr);

    QComboBox* trench() const { return m_trench; }
    PathField* file() const { return m_file; }

private:
    void write();

    Session& m_session;
    QComboBox* m_trench;
    QComboBox* m_group;
    PathField* m_file;
    QLabel* m_trouble;
};

} // namespace inkpeg
