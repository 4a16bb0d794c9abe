// SPDX-License-Identifier: GPL-3.0-or-later
// Acts of the third dimension: sections, levels, the view in space, posts. Each opens a window beside the
// board, so that one can look at both.
#include <algorithm>

#include <QMenu>
#include <QMenuBar>

#include "app/window/CompareDialog.h"
#include "app/window/LevelBookDialog.h"
#include "app/window/MainWindow.h"
#include "app/window/PostsDialog.h"
#include "app/window/SectionDialog.h"
#include "app/window/SpaceWindow.h"

namespace inkpeg {
namespace {

/// A window that is open already comes to the front: two of them would be edited against each other.
template<typename Window>
void openOnce(Session& session, QWidget* parent)
{
    const QList<Window*> there = parent->findChildren<Window*>(QString(), Qt::FindDirectChildrenOnly);
    const auto open = std::ranges::find_if(there, &Window::isVisible);
    if (open == there.end()) {
        (new Window(session, parent))->show();
        return;
    }
    (*open)->raise();
    (*open)->activateWindow();
}

} // namespace

void MainWindow::makeSectionsMenu()
{
    QMenu* menu = menuBar()->addMenu(tr("Sections and levels"));
    add(menu, {"sectionStands",
               tr("How the &section stands…"),
               {QKeySequence("Ctrl+Shift+S")},
               tr("Line with its bends, datum and facing of the section at hand; turns one that reads the "
                  "wrong way"),
               [this] { openOnce<SectionDialog>(*m_session, this); },
               {}});
    add(menu, {"plansAgainstSections",
               tr("&Plans against sections…"),
               {QKeySequence("Ctrl+Shift+C")},
               tr("Holds edges, levels and finds against the sections that they meet"),
               [this] {
                   auto* dialog = new CompareDialog(*m_session, this);
                   connect(dialog, &CompareDialog::chosen, this, &MainWindow::leadTo);
                   dialog->show();
               },
               {}});
    add(menu,
        {"levelBooks",
         tr("&Level books…"),
         {QKeySequence("Ctrl+Shift+B")},
         tr("Type levels in, reduce them both ways, carry them to pegs, datums, spot heights and finds"),
         [this] { openOnce<LevelBookDialog>(*m_session, this); },
         {}});
    menu->addSeparator();
    add(menu, {"viewInSpace",
               tr("&View in space…"),
               {QKeySequence("Ctrl+3")},
               tr("Plans at their levels and sections standing, to be turned by mouse and keys"),
               [this] { openOnce<SpaceWindow>(*m_session, this); },
               {}});
    add(menu, {"posts",
               tr("Posts in a &row or ring…"),
               {QKeySequence("Ctrl+Shift+R")},
               tr("The best line or arc through chosen posts, with residuals and spacing"),
               [this] { openOnce<PostsDialog>(*m_session, this); },
               {}});
}

} // namespace inkpeg
