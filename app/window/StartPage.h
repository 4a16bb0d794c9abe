// SPDX-License-Identifier: GPL-3.0-or-later
// What stands in the window while no project is open: begin one, open one, or take one of the last.
#pragma once

#include <QWidget>

#include "app/window/Session.h"

class QLabel;
class QVBoxLayout;

namespace inkpeg {

class PathField;

class StartPage final : public QWidget {
    Q_OBJECT
public:
    explicit StartPage(Session& session, QWidget* parent = nullptr);

    void focusOpen();
    void open(const QString& file);
    static void remember(const QString& projectFile);

signals:
    void newAsked();

protected:
    void showEvent(QShowEvent*) override;

private:
    void listLast();

    Session& m_session;
    PathField* m_path;
    QLabel* m_trouble;
    QVBoxLayout* m_last;
};

} // namespace inkpeg
