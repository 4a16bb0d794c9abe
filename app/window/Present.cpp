// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/Present.h"

#include <QDialog>
#include <QPushButton>
#include <QStyle>

namespace inkpeg {

void present(QDialog* dialog)
{
    if (QWidget* parent = dialog->parentWidget())
        QObject::connect(dialog, &QDialog::finished, parent->window(), &QWidget::activateWindow);
    // Deleted once it has said that it is finished and not, as WA_DeleteOnClose has it, when it is closed:
    // what follows its acceptance may wait in an event loop, and the dialog must not go while it is still
    // speaking.
    if (dialog->testAttribute(Qt::WA_DeleteOnClose)) {
        dialog->setAttribute(Qt::WA_DeleteOnClose, false);
        QObject::connect(dialog, &QDialog::finished, dialog, &QObject::deleteLater);
    }
    dialog->open();
    dialog->activateWindow();
}

void makeChief(QPushButton* button)
{
    button->setObjectName("chief");
    button->style()->unpolish(button);
    button->style()->polish(button);
}

} // namespace inkpeg
