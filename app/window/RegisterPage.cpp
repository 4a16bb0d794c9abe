// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/RegisterPage.h"

#include <algorithm>

#include <QApplication>
#include <QCheckBox>
#include <QHBoxLayout>
#include <QHeaderView>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QTableWidget>
#include <QVBoxLayout>

#include "app/window/PathField.h"
#include "app/window/Rehearsal.h"
#include "app/window/Words.h"

namespace inkpeg {
namespace {

QString outcomeWord(ImportOutcome outcome)
{
    switch (outcome) {
    case ImportOutcome::Added:
        return QObject::tr("+ added");
    case ImportOutcome::Changed:
        return QObject::tr("~ changed");
    case ImportOutcome::Unchanged:
        return QObject::tr("= as it is");
    case ImportOutcome::Refused:
        return QObject::tr("! refused");
    }
    return {};
}

} // namespace

RegisterPage::RegisterPage(Session& session, QWidget* parent)
    : QWidget(parent), m_session(session),
      m_files(new PathField(PathField::Chooses::FilesToOpen, tr("Register files"), tr("Registers (*.csv)"),
                            this)),
      m_try(new QPushButton(tr("&Show what would change"), this)),
      m_take(new QPushButton(tr("&Take them into the project"), this)),
      m_skipRefused(new QCheckBox(tr("Take the good &lines although others are refused"), this)),
      m_summary(new QLabel(this)), m_lines(new QTableWidget(0, 5, this))
{
    setObjectName("page");
    auto* heading = new QLabel(tr("Registers"), this);
    heading->setObjectName("heading");
    auto* explain = new QLabel(tr("Choose CSV files, or a folder that holds them: people, trenches, pegs, "
                                  "sheets, drawings, contexts, finds, samples, "
                                  "timbers, photographs, pins. What each line would change is shown first; "
                                  "nothing is taken until you say so."),
                               this);
    explain->setWordWrap(true);
    m_files->field()->setObjectName("registerFiles");
    m_files->field()->setPlaceholderText(
        tr("paths of CSV files with semicolons between them, or a folder; then Enter"));
    m_take->setObjectName("chief");
    m_take->setEnabled(false);
    m_take->setToolTip(tr("Takes the lines shown; each file is one act that can be undone"));
    m_summary->setWordWrap(true);
    m_lines->setHorizontalHeaderLabels(
        {tr("Register"), tr("Line"), tr("Number"), tr("Becomes"), tr("Words")});
    m_lines->horizontalHeader()->setStretchLastSection(true);
    m_lines->verticalHeader()->hide();
    m_lines->setEditTriggers(QAbstractItemView::NoEditTriggers);
    m_lines->setSelectionBehavior(QAbstractItemView::SelectRows);
    m_lines->setShowGrid(false);
    m_lines->setAlternatingRowColors(true);
    m_lines->setAccessibleName(tr("What each line becomes"));

    auto* acts = new QHBoxLayout;
    acts->addWidget(m_try);
    acts->addWidget(m_take);
    acts->addStretch(1);
    auto* layout = new QVBoxLayout(this);
    layout->setContentsMargins(28, 22, 28, 18);
    layout->setSpacing(12);
    layout->addWidget(heading);
    layout->addWidget(explain);
    layout->addWidget(m_files);
    layout->addWidget(m_skipRefused);
    layout->addLayout(acts);
    layout->addWidget(m_summary);
    layout->addWidget(m_lines, 1);

    connect(m_files, &PathField::accepted, this, &RegisterPage::tryThem);
    connect(m_files, &PathField::changed, this, [this] { m_take->setEnabled(false); });
    connect(m_try, &QPushButton::clicked, this, &RegisterPage::tryThem);
    connect(m_take, &QPushButton::clicked, this, &RegisterPage::takeThem);
    connect(m_skipRefused, &QCheckBox::toggled, this, [this] {
        if (!m_files->text().isEmpty())
            tryThem();
    });
}

/// The files named, those of a folder included, in the order in which registers lean on each other.
std::vector<std::filesystem::path> RegisterPage::chosen() const
{
    std::vector<std::filesystem::path> files;
    for (const QString& text : m_files->paths()) {
        const std::filesystem::path path(text.toStdString());
        std::error_code trouble;
        if (!std::filesystem::is_directory(path, trouble)) {
            files.push_back(path);
            continue;
        }
        for (const auto& entry : std::filesystem::directory_iterator(path, trouble))
            if (registerOfFileName(entry.path()))
                files.push_back(entry.path());
    }
    const auto rank = [](const std::filesystem::path& file) {
        const auto kind = registerOfFileName(file);
        return kind ? static_cast<int>(*kind) : 1000;
    };
    std::ranges::stable_sort(files, {}, rank);
    return files;
}

void RegisterPage::tryThem()
{
    if (!m_session.isOpen())
        return;
    Result<Rehearsal> rehearsal = Rehearsal::of(m_session.project());
    if (!rehearsal) {
        m_lines->setRowCount(0);
        m_summary->setText(words(rehearsal.error().message));
        return;
    }
    std::vector<Tried> tried;
    for (const std::filesystem::path& file : chosen()) {
        ImportSettings settings;
        settings.dryRun = true;
        settings.skipRefused = true; // to hear of every line
        Result<ImportReport> report = importRegister(rehearsal->project(), file, settings);
        if (!report) {
            tried.push_back({file, std::nullopt, words(report.error().message)});
            continue;
        }
        settings.dryRun = false;
        const Result<ImportReport> taken = importRegister(rehearsal->project(), file, settings);
        if (taken)
            tried.push_back({file, std::move(report.value()), {}});
        else
            tried.push_back({file, std::nullopt, words(taken.error().message)});
    }
    show(tried, false);
    const bool refused = std::ranges::any_of(
        tried, [](const Tried& each) { return each.report && each.report->refused > 0; });
    const bool broken = std::ranges::any_of(tried, [](const Tried& each) { return !each.report; });
    m_take->setEnabled(!tried.empty() && !broken && m_session.canWrite() &&
                       (!refused || m_skipRefused->isChecked()));
    if (m_take->isEnabled())
        m_take->setFocus();
}

void RegisterPage::takeThem()
{
    std::vector<Tried> taking;
    QApplication::setOverrideCursor(Qt::WaitCursor);
    for (const std::filesystem::path& file : chosen()) {
        ImportSettings settings;
        settings.skipRefused = m_skipRefused->isChecked();
        Result<ImportReport> report = importRegister(m_session.project(), file, settings);
        if (!report) {
            taking.push_back({file, std::nullopt, words(report.error().message)});
            break; // what follows may lean on what was refused
        }
        taking.push_back({file, std::move(report.value()), {}});
    }
    QApplication::restoreOverrideCursor();
    show(taking, true);
    m_take->setEnabled(false);
    m_session.refresh();
    emit taken();
}

void RegisterPage::addRow(const QString& file, const QString& line, const QString& number,
                          const QString& outcome, const QString& words, bool bold)
{
    const int row = m_lines->rowCount();
    m_lines->insertRow(row);
    const QStringList cells{file, line, number, outcome, words};
    for (int column = 0; column < cells.size(); ++column) {
        auto* item = new QTableWidgetItem(cells[column]);
        QFont font = item->font();
        font.setBold(bold);
        item->setFont(font);
        item->setToolTip(cells[column]);
        m_lines->setItem(row, column, item);
    }
}

void RegisterPage::show(const std::vector<Tried>& tried, bool applied)
{
    m_lines->setRowCount(0);
    int added = 0, changed = 0, unchanged = 0, refused = 0, broken = 0;
    for (const Tried& each : tried) {
        const QString file = words(each.file.filename().string());
        if (!each.report) {
            ++broken;
            addRow(file, {}, {}, tr("! not read"), each.trouble, true);
            continue;
        }
        added += each.report->added;
        changed += each.report->changed;
        unchanged += each.report->unchanged;
        refused += each.report->refused;
        for (const std::string& remark : each.report->remarks)
            addRow(file, {}, {}, tr("remark"), words(remark), false);
        // What was refused comes first: it must not be looked for among hundreds of good lines.
        for (const bool refusedOnes : {true, false})
            for (const ImportLine& line : each.report->lines)
                if ((line.outcome == ImportOutcome::Refused) == refusedOnes)
                    addRow(file, QString::number(line.line), words(line.number), outcomeWord(line.outcome),
                           words(line.message), refusedOnes);
    }
    m_lines->resizeColumnsToContents();
    m_lines->horizontalHeader()->setStretchLastSection(true);
    if (tried.empty())
        m_summary->setText(tr("No register was found there. Registers are known by their file names: "
                              "contexts.csv and the like."));
    else
        m_summary->setText(tr("<b>%1</b> %2 added, %3 changed, %4 as they are, %5 refused%6.")
                               .arg(applied ? tr("Taken:") : tr("Would be:"))
                               .arg(added)
                               .arg(changed)
                               .arg(unchanged)
                               .arg(refused)
                               .arg(broken ? tr("; %1 file(s) could not be read").arg(broken) : QString()));
}

} // namespace inkpeg
