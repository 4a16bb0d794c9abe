// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/RecordsPage.h"

#include <QComboBox>
#include <QFileDialog>
#include <QHBoxLayout>
#include <QHeaderView>
#include <QLabel>
#include <QLineEdit>
#include <QLocale>
#include <QPushButton>
#include <QTableView>
#include <QVBoxLayout>

#include "app/print/WholeFile.h"
#include "app/window/Present.h"
#include "app/window/TextTableModel.h"
#include "app/window/Words.h"
#include "core/store/RegisterLines.h"

namespace inkpeg {

RecordsPage::RecordsPage(Session& session, QWidget* parent)
    : QWidget(parent), m_session(session), m_register(new QComboBox(this)), m_filter(new QLineEdit(this)),
      m_export(new QPushButton(tr("&Write as CSV…"), this)), m_count(new QLabel(this)),
      m_model(new TextTableModel(this)), m_table(new QTableView(this))
{
    setObjectName("page");
    auto* heading = new QLabel(tr("Records"), this);
    heading->setObjectName("heading");
    for (const RegisterKind each : allRegisters())
        m_register->addItem(sentence(words(registerName(each))), static_cast<int>(each));
    m_register->setAccessibleName(tr("Register"));
    m_register->setToolTip(tr("Which register is shown"));
    m_filter->setPlaceholderText(
        tr("find: words in any column; context:1012 in one; \"two words\" together"));
    m_filter->setAccessibleName(tr("Find records"));
    m_filter->setClearButtonEnabled(true);
    m_export->setToolTip(tr("Write this register as a CSV file that can be taken in again"));
    m_table->setTabKeyNavigation(false); // Tab leads out of it
    m_table->setModel(m_model);
    m_table->verticalHeader()->hide();
    m_table->verticalHeader()->setDefaultSectionSize(m_table->fontMetrics().height() + 8);
    m_table->setSelectionBehavior(QAbstractItemView::SelectRows);
    m_table->setAlternatingRowColors(true);
    m_table->setShowGrid(false);
    m_table->setAccessibleName(tr("Records found"));
    m_table->setToolTip(tr("Enter or a double click leads to its place"));
    m_table->horizontalHeader()->setStretchLastSection(true);
    m_table->setSortingEnabled(true);
    m_table->sortByColumn(-1, Qt::AscendingOrder);
    auto* strip = new QHBoxLayout;
    strip->addWidget(m_register);
    strip->addWidget(m_filter, 1);
    strip->addWidget(m_export);
    auto* layout = new QVBoxLayout(this);
    layout->setContentsMargins(28, 22, 28, 18);
    layout->setSpacing(10);
    layout->addWidget(heading);
    layout->addLayout(strip);
    layout->addWidget(m_count);
    layout->addWidget(m_table, 1);
    setFocusProxy(m_filter);
    m_pool.setMaxThreadCount(1);
    m_register->setCurrentIndex(m_register->findData(static_cast<int>(RegisterKind::Contexts)));

    connect(m_register, &QComboBox::activated, this, &RecordsPage::load);
    connect(m_filter, &QLineEdit::textChanged, this, [this](const QString& query) {
        m_model->setQuery(query);
        showCount();
    });
    connect(m_export, &QPushButton::clicked, this, &RecordsPage::askExport);
    connect(m_table, &QTableView::activated, this, [this](const QModelIndex& index) {
        // A pin's first column is its drawing; every other register begins with its number or name.
        emit recordActivated(kind(), index.siblingAtColumn(0).data().toString());
    });
    connect(&session, &Session::recordsChanged, this, [this] {
        if (isVisible())
            load();
    });
    connect(&session, &Session::projectChanged, this, [this] {
        ++m_generation;
        m_model->setTable(RegisterTable({}));
    });
}

RecordsPage::~RecordsPage()
{
    ++m_generation;
    m_pool.waitForDone();
}

void RecordsPage::showEvent(QShowEvent*)
{
    load();
}

RegisterKind RecordsPage::kind() const
{
    return static_cast<RegisterKind>(m_register->currentData().toInt());
}

void RecordsPage::setRegister(RegisterKind kind)
{
    m_register->setCurrentIndex(m_register->findData(static_cast<int>(kind)));
    load();
}

void RecordsPage::load()
{
    if (!m_session.isOpen())
        return;
    m_running = true;
    const int generation = ++m_generation;
    m_pool.clear();
    m_pool.start([this, generation, asked = kind(), file = m_session.project().file()] {
        RegisterTable table({});
        if (const Result<Project> project = Project::open(file, Access::Read))
            table = registerTable(*project, asked);
        QMetaObject::invokeMethod(
            this,
            [this, generation, table = std::move(table)]() mutable {
                if (generation != m_generation)
                    return;
                m_running = false;
                m_model->setTable(std::move(table));
                for (int column = 0; column < m_model->columnCount(); ++column)
                    m_table->setColumnWidth(column, m_table->fontMetrics().averageCharWidth() *
                                                        (column == 0 ? 14 : 16));
                showCount();
            },
            Qt::QueuedConnection);
    });
}

void RecordsPage::showCount()
{
    const QLocale locale;
    m_count->setText(tr("%1 of %2 records")
                         .arg(locale.toString(m_model->rowCount()),
                              locale.toString(static_cast<qulonglong>(m_model->table().rows()))));
}

void RecordsPage::askExport()
{
    auto* dialog = new QFileDialog(this, tr("Write the register"));
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    dialog->setAcceptMode(QFileDialog::AcceptSave);
    dialog->setNameFilter(tr("Registers (*.csv)"));
    dialog->setDefaultSuffix("csv");
    dialog->selectFile(words(registerName(kind())) + ".csv");
    connect(dialog, &QFileDialog::fileSelected, this, &RecordsPage::exportTo);
    present(dialog);
}

bool RecordsPage::exportTo(const QString& file)
{
    const Result<void> written = writeWhole(file.toStdString(), registerCsv(m_session.project(), kind()));
    emit m_session.said(written ? tr("The register is in %1").arg(file) : words(written.error().message),
                        !written);
    return static_cast<bool>(written);
}

} // namespace inkpeg
