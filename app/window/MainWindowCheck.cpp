// SPDX-License-Identifier: GPL-3.0-or-later
// The stage Check: its pages and acts, who is at the keyboard, and the reason for changing what is signed off.
#include <QComboBox>
#include <QInputDialog>
#include <QLabel>
#include <QMenu>
#include <QMenuBar>
#include <QPushButton>
#include <QStackedWidget>
#include <QThread>

#include "app/window/CloseOfDayDialog.h"
#include "app/window/JournalPage.h"
#include "app/window/LinksPage.h"
#include "app/window/MainWindow.h"
#include "app/window/PeopleDialog.h"
#include "app/window/Present.h"
#include "app/window/RecordsPage.h"
#include "app/window/SequencePage.h"
#include "app/window/SignOffCard.h"
#include "app/window/Words.h"

namespace inkpeg {

void MainWindow::makeCheckPages()
{
    m_sequencePage = new SequencePage(*m_session, this);
    m_linksPage = new LinksPage(*m_session, this);
    m_recordsPage = new RecordsPage(*m_session, this);
    m_journalPage = new JournalPage(*m_session, this);
    for (QWidget* page :
         std::initializer_list<QWidget*>{m_sequencePage, m_linksPage, m_recordsPage, m_journalPage})
        m_pages->addWidget(page);
    connect(m_sequencePage, &SequencePage::contextActivated, this, &MainWindow::leadToContext);
    connect(m_linksPage, &LinksPage::placeChosen, this, &MainWindow::leadToBoard);
    connect(m_recordsPage, &RecordsPage::recordActivated, this, &MainWindow::leadToRecord);
    connect(m_tally, &TallyPanel::counted, this, [this] { m_signOffCard->setTally(m_tally->tally()); });
    m_session->setReasonAsked([this](const std::vector<std::string>& sealed) { return askReason(sealed); });
}

/// Another page in the middle; the stage becomes Check, whose card and tally go with it.
void MainWindow::showCheckPage(QWidget* page)
{
    if (m_rail->station() != Station::Check)
        setStation(Station::Check);
    m_pages->setCurrentWidget(page);
    page->setFocus();
    updateActs();
}

void MainWindow::makeCheckMenu()
{
    QMenu* menu = menuBar()->addMenu(tr("Check"));
    add(menu, {"markChecked",
               tr("Mark as &checked"),
               {QKeySequence("Ctrl+K")},
               tr("What is chosen on the card has been gone through by a second person: you"),
               [this] { m_signOffCard->markChecked(); },
               {Station::Check}});
    add(menu, {"signOff",
               tr("&Sign off"),
               {QKeySequence("Ctrl+Shift+K")},
               tr("What is chosen on the card is done: sealed over what it holds now"),
               [this] { m_signOffCard->signOff(); },
               {Station::Check}});
    add(menu, {"takeBack",
               tr("Take &back to traced"),
               {QKeySequence("Ctrl+Alt+K")},
               tr("What is chosen on the card was signed in error; needs a reason"),
               [this] { m_signOffCard->takeBack(); },
               {Station::Check}});
    add(menu, {"setAside",
               tr("Set a line of the tally &aside…"),
               {QKeySequence("Ctrl+Shift+A")},
               tr("The chosen line of the tally may stay as it is, with a reason and your initials"),
               [this] { m_tally->waiveChosen(); },
               {}});
    menu->addSeparator();
    add(menu, {"sequence",
               tr("Stratigraphic &sequence"),
               {QKeySequence("F7")},
               tr("The contexts as a diagram, the latest above"),
               [this] { showCheckPage(m_sequencePage); },
               {}});
    add(menu, {"exportSequence",
               tr("&Export the diagram…"),
               {QKeySequence("Ctrl+Shift+E")},
               tr("Write the stratigraphic diagram as PDF or SVG"),
               [this] {
                   showCheckPage(m_sequencePage);
                   m_sequencePage->askExport();
               },
               {}});
    add(menu, {"links",
               tr("&Finds against outlines"),
               {QKeySequence("F8")},
               tr("Each find, sample and timber against the outline of its context"),
               [this] { showCheckPage(m_linksPage); },
               {}});
    add(menu,
        {"takeCorrections",
         tr("Take chosen &corrections…"),
         {QKeySequence("Ctrl+Shift+X")},
         tr("Puts the chosen finds, samples and timbers into the contexts they lie in, with a reason"),
         [this] {
             showCheckPage(m_linksPage);
             press(m_linksPage->takeButton(),
                   tr("Choose lines that disagree first: another context is proposed for those"));
         },
         {}});
    add(menu, {"records",
               tr("Find &records…"),
               {QKeySequence("Ctrl+Shift+F")},
               tr("Look through a register as you type"),
               [this] { showCheckPage(m_recordsPage); },
               {}});
    add(menu, {"exportRecords",
               tr("Write a register as CS&V…"),
               {QKeySequence("Ctrl+Alt+E")},
               tr("Writes the register shown as a CSV file that can be taken in again"),
               [this] {
                   showCheckPage(m_recordsPage);
                   m_recordsPage->askExport();
               },
               {}});
    add(menu, {"journal",
               tr("&Journal"),
               {QKeySequence("F9")},
               tr("Who did what, when and why"),
               [this] { showCheckPage(m_journalPage); },
               {}});
    add(menu, {"closeOfDay",
               tr("Close-of-&day sheet…"),
               {QKeySequence("Ctrl+P")},
               tr("What must be done before a trench is backfilled, as PDF"),
               [this] { askCloseOfDay(); },
               {}});
}

void MainWindow::askCloseOfDay()
{
    auto* dialog = new CloseOfDayDialog(*m_session, this);
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    present(dialog);
}

void MainWindow::showPeople()
{
    auto* dialog = new PeopleDialog(*m_session, this);
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    connect(dialog, &QDialog::finished, this, &MainWindow::refreshPeople);
    present(dialog);
}

/// One person alone need not be asked.
void MainWindow::askWhoAtStart()
{
    if (!m_session->canWrite() || m_session->project().all<Person>().size() < 2)
        return;
    WhoDialog::takeLast(*m_session);
    askWho();
}

void MainWindow::askWho()
{
    auto* dialog = new WhoDialog(*m_session, this);
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    connect(dialog, &WhoDialog::somebodyElse, this, &MainWindow::addPerson);
    connect(dialog, &QDialog::finished, this, &MainWindow::refreshPeople);
    present(dialog);
}

/// In the middle of an act: it waits for the answer, and is given up without one.
std::string MainWindow::askReason(const std::vector<std::string>& sealed)
{
    if (QThread::currentThread() != thread())
        return {}; // registers are taken in elsewhere, and their reason is asked for before
    QStringList names;
    for (const std::string& name : sealed)
        names << words(name);
    QInputDialog dialog(this);
    dialog.setObjectName("sealReason");
    dialog.setWindowTitle(tr("Signed off"));
    dialog.setLabelText(
        tr("This changes what is signed off: %1.\nThe seal is broken and it goes back to traced; "
           "one undo takes all of it back.\n\nWhy is it changed?")
            .arg(names.join(", ")));
    dialog.setOkButtonText(tr("Break the seal"));
    dialog.setCancelButtonText(tr("Leave it as signed"));
    const std::string reason =
        dialog.exec() == QDialog::Accepted ? dialog.textValue().trimmed().toStdString() : std::string();
    activateWindow();
    return reason;
}

void MainWindow::leadToBoard(const Matter& place)
{
    setStation(Station::Check);
    leadTo(place);
}

void MainWindow::leadToContext(const QString& number)
{
    const std::string context = number.toStdString();
    Matter place;
    place.subjectKind = "context";
    place.subject = context;
    place.words = "context " + context + " is drawn nowhere yet";
    for (const Outline& outline : m_session->project().all<Outline>()) {
        if (outline.context != context || outline.parts.empty())
            continue;
        const auto drawing = m_session->project().byId<Drawing>(outline.drawing);
        // A plan rather than a section, where there is one.
        if (!drawing || (!place.drawing.empty() && drawing->kind != DrawingKind::Plan))
            continue;
        place.drawing = drawing->number;
        place.scan = outline.parts[0].outer.vertices.front();
        place.words = "context " + context + " on " + drawing->number;
        if (drawing->kind == DrawingKind::Plan)
            break;
    }
    leadToBoard(place);
    m_signOffCard->chooseContext(number);
}

namespace {

/// The place of a find, sample or timber.
template<typename Record>
void takePlace(const Session& session, const std::string& number, Matter& place)
{
    if (const auto record = session.project().byKey<Record>(number))
        place.ground = record->position;
}

} // namespace

void MainWindow::leadToRecord(RegisterKind kind, const QString& number)
{
    if (kind == RegisterKind::Contexts) {
        leadToContext(number);
        return;
    }
    Matter place;
    place.subject = number.toStdString();
    place.words = registerName(kind) + ": " + place.subject;
    const Project& project = m_session->project();
    if (kind == RegisterKind::Drawings || kind == RegisterKind::Pins)
        place.drawing = place.subject;
    else if (kind == RegisterKind::Finds)
        takePlace<Find>(*m_session, place.subject, place);
    else if (kind == RegisterKind::Samples)
        takePlace<Sample>(*m_session, place.subject, place);
    else if (kind == RegisterKind::Timbers)
        takePlace<Timber>(*m_session, place.subject, place);
    else if (const auto peg = project.byKey<Peg>(place.subject); kind == RegisterKind::Pegs && peg)
        place.ground = peg->frame == PegFrame::Crs ? std::optional(peg->position) : std::nullopt;
    for (const Drawing& drawing : project.all<Drawing>())
        if ((kind == RegisterKind::Sheets && drawing.sheet == place.subject) ||
            (kind == RegisterKind::Trenches && drawing.trench == place.subject)) {
            place.drawing = drawing.number;
            break;
        }
    if (place.drawing.empty() && !place.ground) {
        say(tr("%1 has no place to go to").arg(words(place.words)), true);
        return;
    }
    leadToBoard(place);
}

} // namespace inkpeg
