// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/CloseOfDayDialog.h"

#include <QComboBox>
#include <QDialogButtonBox>
#include <QFormLayout>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QVBoxLayout>

#include "app/print/CloseOfDay.h"
#include "app/print/WholeFile.h"
#include "app/window/Away.h"
#include "app/window/CheckWork.h"
#include "app/window/PathField.h"
#include "app/window/Present.h"
#include "app/window/Words.h"

namespace inkpeg {

CloseOfDayDialog::CloseOfDayDialog(Session& session, QWidget* parent)
    : QDialog(parent), m_session(session), m_trench(new QComboBox(this)), m_group(new QComboBox(this)),
      m_file(new PathField(PathField::Chooses::FileToWrite, tr("Close-of-day sheet"), tr("PDF (*.pdf)"),
                           this)),
      m_trouble(new QLabel(this))
{
    setWindowTitle(tr("Close-of-day sheet"));
    setMinimumWidth(560);
    auto* explain = new QLabel(tr("What must be done before a trench is backfilled, and what should be, to "
                                  "be ticked off on paper."),
                               this);
    explain->setWordWrap(true);
    m_trench->addItem(tr("whole site"), QString());
    for (const Trench& each : session.project().all<Trench>())
        m_trench->addItem(words(each.name), words(each.name));
    if (const auto drawing = session.drawing())
        m_trench->setCurrentIndex(std::max(0, m_trench->findData(words(drawing->trench))));
    for (const GroupBy by : {GroupBy::Trench, GroupBy::Drawing, GroupBy::Person, GroupBy::Severity})
        m_group->addItem(tr("by %1").arg(words(groupByName(by))), static_cast<int>(by));
    m_file->setText(words((session.project().file().parent_path() / "close-of-day.pdf").string()));
    m_trouble->setWordWrap(true);
    m_trouble->hide();
    auto* form = new QFormLayout;
    form->setFieldGrowthPolicy(QFormLayout::AllNonFixedFieldsGrow);
    form->addRow(tr("&Trench"), m_trench);
    form->addRow(tr("&Grouped"), m_group);
    form->addRow(tr("&File"), m_file);
    auto* buttons = new QDialogButtonBox(QDialogButtonBox::Ok | QDialogButtonBox::Cancel, this);
    buttons->button(QDialogButtonBox::Ok)->setText(tr("Write"));
    makeChief(buttons->button(QDialogButtonBox::Ok));
    auto* layout = new QVBoxLayout(this);
    layout->addWidget(explain);
    layout->addLayout(form);
    layout->addWidget(m_trouble);
    layout->addWidget(buttons);
    connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
    connect(buttons, &QDialogButtonBox::accepted, this, &CloseOfDayDialog::write);
}

void CloseOfDayDialog::write()
{
    const Result<CheckWork> work =
        answerFromAway<Result<CheckWork>>(this, tr("Going through everything that is outstanding"),
                                          [file = m_session.project().file()](const Progress& progress) {
                                              return checkEverything(file, progress);
                                          });
    Result<void> written = work ? Result<void>() : Result<void>(work.error());
    if (work) {
        const std::vector<JournalEntry> journal = m_session.project().journal();
        const CloseOfDayHead head{work->records.facts.siteCode, work->records.facts.title,
                                  m_session.project().person(),
                                  journal.empty() ? std::string() : journal.back().at};
        const CloseOfDaySettings settings{m_trench->currentData().toString().toStdString(),
                                          static_cast<GroupBy>(m_group->currentData().toInt()),
                                          Severity::Should};
        written = writeWhole(m_file->path(), closeOfDayPdf(work->tally, head, settings));
    }
    if (!written) {
        m_trouble->setText(words(written.error().message));
        m_trouble->show();
        return;
    }
    emit m_session.said(tr("The close-of-day sheet is in %1").arg(m_file->text()), false);
    accept();
}

} // namespace inkpeg
