// SPDX-License-Identifier: GPL-3.0-or-later
// The acts on whole sheets of film: laying them, standing them upright, stitching halves.
#include <QMenu>
#include <QMenuBar>

#include "app/window/LayDialog.h"
#include "app/window/MainWindow.h"
#include "app/window/StitchDialog.h"
#include "app/window/UprightDialog.h"

namespace inkpeg {

void MainWindow::makeSheetMenu()
{
    QMenu* menu = menuBar()->addMenu(tr("Sheet"));
    auto* layDialog = new LayDialog(*m_session, this);
    auto* uprightDialog = new UprightDialog(*m_session, this);
    auto* stitchDialog = new StitchDialog(this);
    add(menu, {"lay",
               tr("&Lay into the site grid…"),
               {QKeySequence("Ctrl+G")},
               tr("Write the drawing at hand, or every plan, as GeoTIFF in the site grid"),
               [layDialog] { layDialog->open(); },
               {}});
    add(menu, {"upright",
               tr("Sheet &upright…"),
               {QKeySequence("Ctrl+U")},
               tr("See how far the sheet lies turned, and mark the drawing's part of it"),
               [uprightDialog] { uprightDialog->open(); },
               {}});
    add(menu, {"stitch",
               tr("&Stitch two halves…"),
               {QKeySequence("Ctrl+J")},
               tr("Make one scan of a sheet that was scanned in two halves"),
               [stitchDialog] { stitchDialog->open(); },
               {},
               false,
               false});
}

} // namespace inkpeg
