// SPDX-License-Identifier: GPL-3.0-or-later
// The acts on whole sheets of film: laying them.
#include <QMenu>
#include <QMenuBar>

#include "app/window/LayDialog.h"
#include "app/window/MainWindow.h"

namespace inkpeg {

void MainWindow::makeSheetMenu()
{
    QMenu* menu = menuBar()->addMenu(tr("Shee&t"));
    m_layDialog = new LayDialog(*m_session, this);
    add(menu, {"lay",
               tr("&Lay into the site grid…"),
               {QKeySequence("Ctrl+G")},
               tr("Write the drawing at hand, or every plan, as GeoTIFF in the site grid"),
               [this] { m_layDialog->open(); },
               {}});
}

} // namespace inkpeg
