// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/CompareDialog.h"

#include <algorithm>
#include <cmath>

#include <QApplication>
#include <QCheckBox>
#include <QDialogButtonBox>
#include <QFileDialog>
#include <QHeaderView>
#include <QLabel>
#include <QPushButton>
#include <QTableWidget>
#include <QVBoxLayout>

#include "app/print/SectionReport.h"
#include "app/window/Words.h"
#include "core/checks/Evidence.h"
#include "core/store/LoadRecords.h"

namespace inkpeg {
namespace {

QString millimetres(double metres)
{
    return QObject::tr("%1 mm").arg(std::lround(metres * 1000)); // never "-0"
}

QString verdictWords(MisfitVerdict verdict)
{
    const char* sign = verdict == MisfitVerdict::Beyond       ? "! "
                       : verdict == MisfitVerdict::CannotTell ? "? "
                                                              : "";
    return sign + words(misfitVerdictName(verdict));
}

Matter placeOn(const std::string& section, GroundM ground, const std::string& words)
{
    Matter matter;
    matter.drawing = section;
    matter.ground = ground;
    matter.words = words;
    return matter;
}

} // namespace

CompareDialog::CompareDialog(Session& session, QWidget* parent)
    : QDialog(parent), m_session(session),
      m_onlyBeyond(new QCheckBox(tr("&Only what lies beyond two sigma"), this)),
      m_summary(new QLabel(this)), m_table(new QTableWidget(0, 8, this))
{
    setWindowTitle(tr("Plans against sections"));
    setAttribute(Qt::WA_DeleteOnClose);
    m_summary->setWordWrap(true);
    m_summary->setObjectName("compareSummary");
    m_table->setObjectName("compareLines");
    m_table->setHorizontalHeaderLabels({tr("What"), tr("Plan or register"), tr("Section"), tr("Misfit"),
                                        tr("Error, plan"), tr("Error, section"), tr("Two sigma"),
                                        tr("Verdict")});
    m_table->horizontalHeader()->setSectionResizeMode(QHeaderView::Stretch);
    m_table->horizontalHeader()->setSectionResizeMode(m_table->columnCount() - 1,
                                                      QHeaderView::ResizeToContents); // the verdict
    m_table->verticalHeader()->hide();
    m_table->setEditTriggers(QAbstractItemView::NoEditTriggers);
    m_table->setSelectionBehavior(QAbstractItemView::SelectRows);
    m_table->setAccessibleName(tr("Misfits"));
    auto* report = new QPushButton(tr("&Write the report…"), this);
    report->setToolTip(tr("Writes sections.pdf and sections.html"));
    report->setAutoDefault(false);
    auto* buttons = new QDialogButtonBox(QDialogButtonBox::Close, this);
    buttons->addButton(report, QDialogButtonBox::ActionRole);
    auto* layout = new QVBoxLayout(this);
    layout->addWidget(m_summary);
    layout->addWidget(m_onlyBeyond);
    layout->addWidget(m_table, 1);
    layout->addWidget(buttons);
    resize(940, 560);
    connect(m_onlyBeyond, &QCheckBox::toggled, this, &CompareDialog::fill);
    connect(m_table, &QTableWidget::cellActivated, this, [this](int row) { lead(row); });
    connect(report, &QPushButton::clicked, this, &CompareDialog::askWhere);
    connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
    connect(&session, &Session::recordsChanged, this, &CompareDialog::refresh);
    connect(&session, &Session::projectChanged, this, &QDialog::close);
    refresh();
    m_table->setFocus();
}

void CompareDialog::refresh()
{
    m_lines.clear();
    if (!m_session.isOpen())
        return;
    QApplication::setOverrideCursor(Qt::WaitCursor);
    const Result<ProjectRecords> records = loadRecords(m_session.project());
    const PlanAgainstSection compared = records ? comparePlansAndSections(*records) : PlanAgainstSection();
    QApplication::restoreOverrideCursor();
    if (!records) {
        m_summary->setText(words(records.error().message));
        return fill();
    }
    for (const EdgeMisfit& edge : compared.edges)
        m_lines.push_back(
            {tr("edge of %1").arg(words(edge.context)), words(edge.plan), words(edge.section),
             edge.verdict() == MisfitVerdict::CannotTell ? tr("?") : millimetres(edge.misfitM()),
             millimetres(edge.planErrorM), millimetres(edge.sectionErrorM), millimetres(edge.allowedM()),
             verdictWords(edge.verdict()), words(edge.inWords()), edge.verdict() == MisfitVerdict::Beyond,
             placeOn(edge.section, edge.ground, edge.inWords())});
    for (const LevelMisfit& level : compared.levels)
        m_lines.push_back({tr("level %1").arg(level.writtenM, 0, 'f', 2), words(level.plan),
                           words(level.section), millimetres(level.misfitM()),
                           millimetres(level.writtenErrorM), millimetres(level.sectionErrorM),
                           millimetres(level.allowedM()), verdictWords(level.verdict()),
                           words(level.inWords()), level.verdict() == MisfitVerdict::Beyond,
                           placeOn(level.section, level.ground, level.inWords())});
    for (const PlacedOnFace& placed : compared.placed) {
        const bool beyond = placed.verdict == FaceVerdict::Elsewhere;
        m_lines.push_back({tr("%1 %2").arg(words(pointKindName(placed.kind)), words(placed.number)),
                           words(placed.context),
                           words(placed.section),
                           millimetres(placed.awayM),
                           millimetres(placed.errorM),
                           {},
                           millimetres(2 * placed.errorM),
                           (beyond ? tr("! ") : QString()) + words(faceVerdictName(placed.verdict)),
                           words(placed.inWords()),
                           beyond,
                           placeOn(placed.section, placed.ground, placed.inWords())});
    }
    const auto beyond =
        std::count_if(m_lines.begin(), m_lines.end(), [](const Line& line) { return line.beyond; });
    const auto untold = std::ranges::count_if(
        compared.edges, [](const EdgeMisfit& edge) { return edge.verdict() == MisfitVerdict::CannotTell; });
    m_summary->setText(
        compared.sections == 0
            ? tr("No section is pinned within tolerance and traced yet, so there is nothing to hold plans "
                 "against")
            : tr("%1 sections, %2 comparisons, %3 beyond two sigma of both drawings, %4 that cannot be "
                 "told. "
                 "Enter leads to the place.")
                  .arg(compared.sections)
                  .arg(m_lines.size())
                  .arg(beyond)
                  .arg(untold));
    fill();
}

void CompareDialog::fill()
{
    m_table->setRowCount(0);
    for (std::size_t i = 0; i < m_lines.size(); ++i) {
        const Line& line = m_lines[i];
        if (m_onlyBeyond->isChecked() && !line.beyond)
            continue;
        const int row = m_table->rowCount();
        m_table->insertRow(row);
        const QStringList cells{line.about,     line.plan,         line.section, line.misfit,
                                line.planError, line.sectionError, line.allowed, line.verdict};
        for (int column = 0; column < cells.size(); ++column) {
            auto* item = new QTableWidgetItem(cells[column]);
            item->setToolTip(line.words);
            item->setData(Qt::UserRole, static_cast<qulonglong>(i));
            QFont font = item->font();
            font.setBold(line.beyond);
            item->setFont(font);
            m_table->setItem(row, column, item);
        }
    }
}

void CompareDialog::lead(int row)
{
    const auto* item = m_table->item(row, 0);
    if (item)
        emit chosen(m_lines[item->data(Qt::UserRole).toULongLong()].place);
}

void CompareDialog::askWhere()
{
    const QString folder = QFileDialog::getExistingDirectory(this, tr("Write the report on sections"));
    if (folder.isEmpty())
        return;
    const Result<ProjectRecords> records = loadRecords(m_session.project());
    if (!records)
        return m_summary->setText(words(records.error().message));
    const Result<TableReport> report = sectionReport(m_session.project(), *records);
    if (!report)
        return m_summary->setText(words(report.error().message));
    const auto files = writeTableReport(*report, folder.toStdString(), "sections");
    m_summary->setText(files ? tr("Written: sections.pdf and sections.html in %1").arg(folder)
                             : words(files.error().message));
}

} // namespace inkpeg
