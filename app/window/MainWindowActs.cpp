// SPDX-License-Identifier: GPL-3.0-or-later
// Every act of the window: its menu entry, its keys and what it is for. Single letters serve while the
// board is at hand; a field that is being written in keeps its letters.
#include <QApplication>
#include <QMenu>
#include <QMenuBar>
#include <QPushButton>
#include <QSettings>
#include <QStackedWidget>
#include <QTableView>

#include "app/board/Palette.h"
#include "app/window/MainWindow.h"
#include "app/window/RegisterPage.h"
#include "app/window/Words.h"

namespace inkpeg {

void MainWindow::add(QMenu* menu, const Act& facts)
{
    auto* action = new QAction(facts.text, this);
    action->setObjectName(facts.name);
    action->setShortcuts(facts.keys);
    action->setToolTip(facts.tip);
    action->setStatusTip(facts.tip);
    if (facts.onBoardOnly) {
        action->setShortcutContext(Qt::WidgetShortcut);
        m_board->addAction(action);
    }
    connect(action, &QAction::triggered, this, [run = facts.run] { run(); });
    menu->addAction(action);
    menu->setToolTipsVisible(true);
    m_acts.emplace_back(action, facts);
}

/// The titles have no letters of their own: Alt with a letter belongs to the page, and where both have it
/// neither would act. F10 opens the menus.
void MainWindow::makeMenus()
{
    makeProjectMenu();
    makeEditMenu();
    makeStageMenu();
    makeDrawingMenu();
    makeSheetMenu();
    makePegMenu();
    makeBoardMenu();
    makeTraceMenu();
    makeOutlineMenu();
    makeMarksMenu();
    makeCheckMenu();
    makeSectionsMenu();
    makeHelpMenu();
}

/// A button of a page, from the menu or by key: one that cannot be pressed yet says why.
void MainWindow::press(QPushButton* button, const QString& whyNot)
{
    if (button->isEnabled())
        button->click();
    else
        say(whyNot, true);
}

/// The buttons of the register page.
void MainWindow::makeRegisterActs(QMenu* menu)
{
    add(menu, {"tryRegisters",
               tr("Sho&w what registers would change"),
               {QKeySequence("Ctrl+Shift+W")},
               tr("Tries the files named on the page on a copy of the project"),
               [this] { m_registerPage->tryButton()->click(); },
               {Station::Register}});
    add(menu, {"matchColumns",
               tr("&Match the columns of a register…"),
               {QKeySequence("Ctrl+Shift+M")},
               tr("Say which column of a site's own file is which; remembered in the project"),
               [this] { m_registerPage->matchButton()->click(); },
               {Station::Register}});
    add(menu, {"takeRegisters",
               tr("Take the registers shown into the &project"),
               {QKeySequence("Ctrl+Shift+I")},
               tr("Takes the lines shown; each file is one act that can be undone"),
               [this] { press(m_registerPage->takeButton(), m_registerPage->whyNotTaken()); },
               {Station::Register}});
}

void MainWindow::makeProjectMenu()
{
    QMenu* menu = menuBar()->addMenu(tr("Project"));
    add(menu, {"newProject",
               tr("&New project…"),
               {QKeySequence("Ctrl+N")},
               tr("Begin a project"),
               [this] { newProject(); },
               {},
               false,
               false});
    add(menu, {"openProject",
               tr("&Open another project…"),
               {QKeySequence("Ctrl+O")},
               tr("Leave this project, which is saved as it stands, and open another"),
               [this] {
                   m_session->close();
                   m_startPage->focusOpen();
               },
               {},
               false,
               false});
    add(menu, {"importRegisters",
               tr("&Take registers in…"),
               {QKeySequence("Ctrl+I")},
               tr("Take registers in from CSV files"),
               [this] { setStation(Station::Register); },
               {}});
    makeRegisterActs(menu);
    add(menu, {"handOver",
               tr("&Hand over…"),
               {QKeySequence("Ctrl+E")},
               tr("Write open geodata, plans, reports or an archive bag"),
               [this] { setStation(Station::HandOver); },
               {}});
    add(menu, {"writeHandOver",
               tr("Write the hand-&over now"),
               {QKeySequence("Ctrl+Return")},
               tr("Writes everything chosen on the page; it is complete or not there at all"),
               [this] { m_handOverPage->start(); },
               {Station::HandOver}});
    add(menu, {"previewPlans",
               tr("Pre&view plans and sections…"),
               {QKeySequence("Ctrl+Shift+V")},
               tr("Shows the pages as they will be printed, and writes nothing"),
               [this] { m_handOverPage->preview(); },
               {Station::HandOver}});
    add(menu, {"verifyBag",
               tr("V&erify the bag in the folder"),
               {QKeySequence("Ctrl+Shift+Y")},
               tr("Holds the bag against its digests and reads every record back"),
               [this] { m_handOverPage->verify(); },
               {Station::HandOver}});
    add(menu, {"dryRunDatabase",
               tr("Site database: &dry run"),
               {QKeySequence("Ctrl+Shift+D")},
               tr("Counts what would change in the site database; leaves it as it is"),
               [this] { m_handOverPage->push(true); },
               {Station::HandOver}});
    add(menu, {"pushDatabase",
               tr("Site database: &push"),
               {QKeySequence("Ctrl+Shift+U")},
               tr("Writes into the site database, in one transaction"),
               [this] { m_handOverPage->push(false); },
               {Station::HandOver}});
    menu->addSeparator();
    add(menu, {"quit",
               tr("&Quit"),
               {QKeySequence("Ctrl+Q")},
               tr("Leave; everything is saved already"),
               [this] { close(); },
               {},
               false,
               false});
}

void MainWindow::makeEditMenu()
{
    QMenu* menu = menuBar()->addMenu(tr("Edit"));
    add(menu, {"undo",
               tr("&Undo"),
               {QKeySequence("Ctrl+Z")},
               tr("Take the last act back"),
               [this] { m_session->undo(); },
               {}});
    add(menu, {"redo",
               tr("&Redo"),
               {QKeySequence("Ctrl+Shift+Z"), QKeySequence("Ctrl+Y")},
               tr("Do again what was taken back"),
               [this] { m_session->redo(); },
               {}});
    menu->addSeparator();
    add(menu, {"addPerson",
               tr("Add a &person…"),
               {QKeySequence("Ctrl+Shift+P")},
               tr("Add somebody to the people of the project"),
               [this] { addPerson(); },
               {}});
    add(menu, {"people",
               tr("P&eople…"),
               {QKeySequence("Ctrl+Alt+P")},
               tr("Names, initials and roles of the people of the project"),
               [this] { showPeople(); },
               {}});
    add(menu, {"whoIsHere",
               tr("&Who is at the keyboard…"),
               {QKeySequence("F4")},
               tr("Choose whose initials are written beside each act"),
               [this] { askWho(); },
               {}});
}

void MainWindow::makeStageMenu()
{
    QMenu* menu = menuBar()->addMenu(tr("Stage"));
    static constexpr const char* names[] = {"stageRegister", "stagePeg", "stageTrace", "stageCheck",
                                            "stageHandOver"};
    const QStringList texts{tr("&Register"), tr("&Peg"), tr("&Trace"), tr("&Check"), tr("&Hand over")};
    const QStringList tips{tr("Registers come in"), tr("Tie drawings to their pegs"), tr("Draw outlines"),
                           tr("See what is outstanding"), tr("Write open geodata")};
    for (int i = 0; i < 5; ++i)
        add(menu, {names[i],
                   texts[i],
                   {QKeySequence(QString("Alt+%1").arg(i + 1))},
                   tips[i],
                   [this, i] { setStation(static_cast<Station>(i)); },
                   {}});
    menu->addSeparator();
    add(menu, {"tally",
               tr("&Tally"),
               {QKeySequence("Ctrl+L")},
               tr("Fold the tally up, with the keys on its lines, or down"),
               [this] {
                   m_tally->setUnfolded(!m_tally->unfolded());
                   if (m_tally->unfolded())
                       m_tally->focusList();
                   else if (m_pages->currentWidget() == m_boardPane)
                       m_board->setFocus();
               },
               {}});
}

void MainWindow::makeDrawingMenu()
{
    QMenu* menu = menuBar()->addMenu(tr("Drawing"));
    add(menu, {"nextDrawing",
               tr("&Next"),
               {QKeySequence("Ctrl+Down")},
               tr("The next drawing in the plan chest"),
               [this] { m_chest->step(1); },
               {}});
    add(menu, {"previousDrawing",
               tr("&Previous"),
               {QKeySequence("Ctrl+Up")},
               tr("The drawing before in the plan chest"),
               [this] { m_chest->step(-1); },
               {}});
    add(menu, {"findDrawing",
               tr("&Find…"),
               {QKeySequence("Ctrl+F")},
               tr("Narrow the plan chest down"),
               [this] { m_chest->focusFilter(); },
               {}});
    menu->addSeparator();
    add(menu, {"removePin",
               tr("&Remove the chosen pin"),
               {QKeySequence(Qt::Key_Delete)},
               tr("Remove the pin that is chosen"),
               [this] { m_pegTool->removeSelected(); },
               {Station::Peg},
               true});
    add(menu, {"markTraced",
               tr("Mark as &traced"),
               {QKeySequence("Ctrl+T")},
               tr("All outlines of this drawing are drawn"),
               [this] { m_session->markTraced(); },
               {Station::Trace, Station::Check}});
    // The table of pins has its own Delete, since the board's counts only while the board has the focus.
    auto* removeInTable = new QAction(this);
    removeInTable->setShortcut(Qt::Key_Delete);
    removeInTable->setShortcutContext(Qt::WidgetShortcut);
    m_pegCard->table()->addAction(removeInTable);
    connect(removeInTable, &QAction::triggered, this, [this] {
        if (const std::int64_t pin = m_pegCard->selectedPin(); pin != 0)
            m_session->removePin(pin);
    });
}

void MainWindow::makeBoardMenu()
{
    QMenu* menu = menuBar()->addMenu(tr("Board"));
    const QList<Station> onBoard{Station::Peg, Station::Trace, Station::Check};
    add(menu, {"side",
               tr("On film or on the &ground"),
               {QKeySequence("G")},
               tr("Turn between the film as scanned and the ground"),
               [this] { toggleSide(); },
               onBoard});
    add(menu, {"showAll",
               tr("Show &all"),
               {QKeySequence("0")},
               tr("Show all of the drawing"),
               [this] { m_board->showAll(); },
               onBoard});
    add(menu, {"oneToOne",
               tr("&One to one"),
               {QKeySequence("Ctrl+1")},
               tr("One screen pixel for one pixel of the scan"),
               [this] { m_board->showOneToOne(); },
               onBoard});
    add(menu, {"zoomIn",
               tr("Zoom &in"),
               {QKeySequence("+"), QKeySequence("="), QKeySequence("Ctrl++")},
               tr("Nearer"),
               [this] { m_board->zoomIn(); },
               onBoard});
    add(menu, {"zoomOut",
               tr("Zoom &out"),
               {QKeySequence("-"), QKeySequence("Ctrl+-")},
               tr("Farther"),
               [this] { m_board->zoomOut(); },
               onBoard});
    add(menu, {"fadeFilm",
               tr("&Fade the film"),
               {QKeySequence("F")},
               tr("Make the scan faint, so that what is drawn over it stands out"),
               [this] { m_board->setFilmFaded(!m_board->filmFaded()); },
               onBoard});
    add(menu, {"toBoard",
               tr("&To the board"),
               {QKeySequence("F6")},
               tr("Give the keys to the board"),
               [this] {
                   if (!m_boardPane->isVisible())
                       setStation(m_rail->station());
                   m_board->setFocus(Qt::ShortcutFocusReason);
               },
               onBoard});
    add(menu, {"toCard",
               tr("To the &card"),
               {QKeySequence("Shift+F6")},
               tr("Give the keys to the table or list on the card"),
               [this] { focusCard(); },
               onBoard});
    menu->addSeparator();
    addViewActs(menu);
    add(menu, {"theme",
               tr("&Light or dark"),
               {QKeySequence("Ctrl+Shift+L")},
               tr("Turn between the light and the dark palette"),
               [this] {
                   setTheme(theme() == Theme::Light ? Theme::Dark : Theme::Light);
                   QSettings().setValue("theme", theme() == Theme::Dark ? "dark" : "light");
                   applyTheme();
                   refreshBoard();
               },
               {},
               false,
               false});
}

void MainWindow::makeHelpMenu()
{
    QMenu* menu = menuBar()->addMenu(tr("Help"));
    add(menu, {"menus",
               tr("&Menus"),
               {QKeySequence("F10")},
               tr("Open the first menu; the arrows lead to the others"),
               [this] { menuBar()->setActiveAction(menuBar()->actions().first()); },
               {},
               false,
               false});
    add(menu, {"keys",
               tr("&Keys"),
               {QKeySequence("F1")},
               tr("All acts and their keys"),
               [this] { showKeys(); },
               {},
               false,
               false});
    add(menu, {"about",
               tr("&About Inkpeg and its limits"),
               {QKeySequence("Shift+F1")},
               tr("What the figures may be used for, and what not"),
               [this] { showAbout(); },
               {},
               false,
               false});
}

void MainWindow::updateActs()
{
    const bool open = m_session->isOpen();
    for (const auto& [action, facts] : m_acts) {
        const bool here = facts.stations.isEmpty() || facts.stations.contains(m_rail->station());
        action->setEnabled((open || !facts.needsProject) && here);
    }
    const auto canUndo = open ? m_session->project().canUndo() : std::nullopt;
    const auto canRedo = open ? m_session->project().canRedo() : std::nullopt;
    act("undo")->setEnabled(canUndo.has_value());
    act("undo")->setText(canUndo ? tr("&Undo: %1").arg(words(*canUndo)) : tr("&Undo"));
    act("redo")->setEnabled(canRedo.has_value());
    act("redo")->setText(canRedo ? tr("&Redo: %1").arg(words(*canRedo)) : tr("&Redo"));
}

} // namespace inkpeg
