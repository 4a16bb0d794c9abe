// SPDX-License-Identifier: GPL-3.0-or-later
// Asks for what a project needs to begin: file, site code, title, CRS, and who is at the keyboard.
#pragma once

#include <QDialog>

#include "app/window/Session.h"

class QLabel;
class QLineEdit;

namespace inkpeg {

class PathField;

class NewProjectDialog final : public QDialog {
    Q_OBJECT
public:
    explicit NewProjectDialog(Session& session, QWidget* parent = nullptr);

    void accept() override;

private:
    Session& m_session;
    PathField* m_file;
    QLineEdit* m_siteCode;
    QLineEdit* m_title;
    QLineEdit* m_crs;
    QLineEdit* m_datum;
    QLineEdit* m_initials;
    QLineEdit* m_name;
    QLabel* m_trouble;
};

} // namespace inkpeg
