// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/Present.h"

#include <QDialog>

namespace inkpeg {

void present(QDialog* dialog)
{
    if (QWidget* parent = dialog->parentWidget())
        QObject::connect(dialog, &QDialog::finished, parent->window(), &QWidget::activateWindow);
    dialog->open();
    dialog->activateWindow();
}

} // namespace inkpeg
