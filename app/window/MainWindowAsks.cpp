// SPDX-License-Identifier: GPL-3.0-or-later
// What the window asks the person, and where it leads them.
#include <QAbstractItemView>
#include <QDialog>
#include <QDialogButtonBox>
#include <QFormLayout>
#include <QHeaderView>
#include <QLabel>
#include <QLineEdit>
#include <QStackedWidget>
#include <QTextBrowser>
#include <QVBoxLayout>

#include "app/window/MainWindow.h"
#include "app/window/NewProjectDialog.h"
#include "app/window/Present.h"
#include "app/window/Words.h"

namespace inkpeg {

void MainWindow::newProject()
{
    auto* dialog = new NewProjectDialog(*m_session, this);
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    present(dialog);
}

void MainWindow::addPerson()
{
    auto* dialog = new QDialog(this);
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    dialog->setWindowTitle(tr("Add a person"));
    auto* initials = new QLineEdit(dialog);
    auto* name = new QLineEdit(dialog);
    auto* role = new QLineEdit(dialog);
    role->setPlaceholderText(tr("e.g. illustrator, supervisor"));
    auto* form = new QFormLayout;
    form->addRow(tr("&Initials"), initials);
    form->addRow(tr("&Name"), name);
    form->addRow(tr("&Role"), role);
    auto* buttons = new QDialogButtonBox(QDialogButtonBox::Ok | QDialogButtonBox::Cancel, dialog);
    auto* layout = new QVBoxLayout(dialog);
    layout->addLayout(form);
    layout->addWidget(buttons);
    connect(buttons, &QDialogButtonBox::rejected, dialog, &QDialog::reject);
    connect(buttons, &QDialogButtonBox::accepted, dialog, [=, this] {
        Person person;
        person.initials = initials->text().trimmed().toStdString();
        person.name = name->text().trimmed().toStdString();
        person.role = role->text().trimmed().toStdString();
        if (!person.initials.empty() && m_session->addPerson(person))
            dialog->accept();
    });
    connect(dialog, &QDialog::finished, this, &MainWindow::refreshPeople);
    present(dialog);
}

void MainWindow::toggleSide()
{
    if (m_board->side() == BoardSide::Ground) {
        m_board->setSide(BoardSide::Film);
        return;
    }
    if (m_session->scene().drawing && !m_session->scene().drawing->ground) {
        say(m_session->noFitBecause(), true);
        return;
    }
    m_board->setSide(BoardSide::Ground);
}

void MainWindow::askContext()
{
    if (!m_session->scene().drawing)
        return;
    if (!m_session->canWrite()) {
        say(tr("This project is open for reading only"), true);
        return;
    }
    if (m_traceTool->editWaits())
        return;
    QStringList known = m_session->undrawnContexts();
    const QString next = known.value(0);
    for (const Context& context : m_session->project().all<Context>())
        if (!known.contains(words(context.number)))
            known << words(context.number);
    backToTracing();
    m_field->ask(handOnBoard(), tr("Context"), next, known,
                 [this](const QString& number) {
                     if (number.trimmed().isEmpty())
                         return false;
                     m_traceTool->arm(number.trimmed().toStdString());
                     return true;
                 },
                 {});
}

void MainWindow::focusCard()
{
    QWidget* const card = m_cards->currentWidget();
    QAbstractItemView* first = nullptr;
    for (auto* list : card->findChildren<QAbstractItemView*>())
        if (!first && list->isVisible() && list->focusPolicy() & Qt::TabFocus &&
            !qobject_cast<QHeaderView*>(list) && list->window() == window())
            first = list;
    if (first) {
        if (!first->currentIndex().isValid() && first->model()->rowCount() > 0)
            first->setCurrentIndex(first->model()->index(0, 0));
        first->setFocus(Qt::ShortcutFocusReason);
        return;
    }
    for (auto* field : card->findChildren<QLineEdit*>())
        if (field->isVisible() && field->isEnabled()) {
            field->setFocus(Qt::ShortcutFocusReason);
            return;
        }
}

void MainWindow::showAbout()
{
    auto* dialog = new QDialog(this);
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    dialog->setWindowTitle(tr("About Inkpeg"));
    dialog->setMinimumWidth(560);
    auto* text = new QLabel(tr("<h2>Inkpeg 0.1</h2><p>Takes scanned excavation drawings to checked, "
                               "signed-off, open geodata whose error is "
                               "stated.</p><h3>Mind the limits</h3><ul>"
                               "<li>Positions come from scaled hand drawings. Each carries its standard "
                               "error; read it before you use the place.</li>"
                               "<li>Not for setting out, not for finding buried services, not for "
                               "boundaries, not for the support of "
                               "excavations.</li>"
                               "<li>Follow local rules and licensed practice.</li></ul>"
                               "<p>Free software under the GNU General Public License, version 3 or later. "
                               "Built on Qt, GDAL, PROJ, GEOS, "
                               "Eigen and SQLite.</p>"),
                            dialog);
    text->setWordWrap(true);
    auto* buttons = new QDialogButtonBox(QDialogButtonBox::Close, dialog);
    connect(buttons, &QDialogButtonBox::rejected, dialog, &QDialog::reject);
    auto* layout = new QVBoxLayout(dialog);
    layout->addWidget(text);
    layout->addWidget(buttons);
    present(dialog);
}

void MainWindow::showKeys()
{
    auto* dialog = new QDialog(this);
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    dialog->setWindowTitle(tr("Keys"));
    dialog->resize(620, 640);
    QString html = "<table cellspacing='0' cellpadding='4'>";
    for (const auto& [action, facts] : m_acts) {
        QStringList keys;
        for (const QKeySequence& key : facts.keys)
            keys << key.toString(QKeySequence::NativeText);
        html += QString("<tr><td><b>%1</b></td><td>%2</td></tr>")
                    .arg(keys.join(tr(" or ")).toHtmlEscaped(), facts.tip.toHtmlEscaped());
    }
    const std::pair<QString, QString> onBoard[] = {
        {tr("middle drag, Space and drag, arrows"), tr("Move about on the board")},
        {tr("wheel"), tr("Zoom at the cursor")},
        {tr("Alt while clicking"),
         tr("Set a vertex without snapping, a pin without centring it on a cross")}};
    for (const auto& [keys, what] : onBoard)
        html += QString("<tr><td><b>%1</b></td><td>%2</td></tr>").arg(keys, what);
    auto* text = new QTextBrowser(dialog);
    text->setHtml(html + "</table>");
    auto* buttons = new QDialogButtonBox(QDialogButtonBox::Close, dialog);
    connect(buttons, &QDialogButtonBox::rejected, dialog, &QDialog::reject);
    auto* layout = new QVBoxLayout(dialog);
    layout->addWidget(text);
    layout->addWidget(buttons);
    present(dialog);
}

void MainWindow::leadTo(const Matter& matter)
{
    if (!matter.drawing.empty())
        if (const auto drawing = m_session->project().byKey<Drawing>(matter.drawing))
            m_session->chooseDrawing(drawing->id);
    if (m_rail->station() == Station::Register || m_rail->station() == Station::HandOver)
        setStation(Station::Check);
    else if (m_pages->currentWidget() != m_boardPane)
        setStation(m_rail->station()); // another page of the stage stood before the board
    if (matter.scan && m_session->scene().drawing) {
        m_board->goTo(*matter.scan);
    } else if (const auto& at = m_session->scene().drawing;
               matter.ground && at && at->ground && at->ground->section) {
        // To the foot of the place on the section, at its datum.
        const SectionFrame& frame = *at->ground->section;
        if (const Result<ScanPx> mark =
                at->ground->toScan({frame.footOf(*matter.ground).alongM, frame.datumM()}))
            m_board->goTo(*mark);
    } else if (matter.ground) {
        if (m_session->scene().drawing && !m_session->scene().drawing->ground)
            m_session->chooseDrawing(0);
        m_board->goTo(*matter.ground);
    }
    say(words(matter.words), false);
}

} // namespace inkpeg
