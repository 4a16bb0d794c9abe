// SPDX-License-Identifier: GPL-3.0-or-later
// Answers the dialog that asks why something signed off is changed, once it is there; an empty reason leaves
// it by Esc.
#pragma once

#include <QInputDialog>
#include <QLineEdit>
#include <QTest>
#include <QTimer>

namespace inkpeg {

inline void answerSealQuestion(QWidget* window, const QString& reason, bool& asked)
{
    auto* timer = new QTimer(window);
    timer->setInterval(30);
    QObject::connect(timer, &QTimer::timeout, window, [=, &asked] {
        auto* dialog = window->findChild<QInputDialog*>("sealReason");
        if (!dialog || !dialog->isVisible())
            return;
        if (!dialog->isActiveWindow()) { // else the keys of the widget that has the focus still would act
            dialog->activateWindow();
            return;
        }
        timer->deleteLater();
        asked = true;
        auto* field = dialog->findChild<QLineEdit*>();
        QTest::keyClicks(field, reason);
        QTest::keyClick(field, reason.isEmpty() ? Qt::Key_Escape : Qt::Key_Return);
    });
    timer->start();
}

} // namespace inkpeg
