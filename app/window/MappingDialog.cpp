// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/MappingDialog.h"

#include <set>

#include <QComboBox>
#include <QDialogButtonBox>
#include <QFormLayout>
#include <QHeaderView>
#include <QLabel>
#include <QPushButton>
#include <QSignalBlocker>
#include <QTableWidget>
#include <QVBoxLayout>

#include "app/window/Present.h"
#include "app/window/Words.h"

namespace inkpeg {

namespace {

enum Column { Ours, Theirs, FirstValues, Meaning };

QString proposedWords(ProposedBy by)
{
    switch (by) {
    case ProposedBy::SameName:
        return QObject::tr("same name");
    case ProposedBy::Remembered:
        return QObject::tr("as before");
    case ProposedBy::LikeName:
        return QObject::tr("guessed: look it over");
    case ProposedBy::Nothing:
        break;
    }
    return {};
}

} // namespace

MappingDialog::MappingDialog(const std::filesystem::path& file, CsvTable table,
                             std::optional<RegisterKind> kind,
                             std::function<HeaderMapping(RegisterKind)> remembered, QWidget* parent)
    : QDialog(parent), m_csv(std::move(table)), m_remembered(std::move(remembered)),
      m_register(new QComboBox(this)), m_table(new QTableWidget(0, 4, this)), m_words(new QLabel(this)),
      m_take(nullptr)
{
    setWindowTitle(tr("Match the columns of %1").arg(words(file.filename().string())));
    resize(860, 560);
    for (const RegisterKind each : allRegisters())
        m_register->addItem(sentence(words(registerName(each))), static_cast<int>(each));
    const std::optional<RegisterKind> likely = kind ? kind : likelyRegister(m_csv.columns);
    m_register->setCurrentIndex(
        m_register->findData(static_cast<int>(likely.value_or(RegisterKind::Contexts))));
    m_register->setAccessibleName(tr("Register"));
    m_register->setToolTip(tr("Which register the file is"));
    m_table->setHorizontalHeaderLabels({tr("Ours"), tr("In the file"), tr("First values"), tr("Meaning")});
    m_table->horizontalHeader()->setStretchLastSection(true);
    m_table->verticalHeader()->hide();
    m_table->setEditTriggers(QAbstractItemView::NoEditTriggers);
    m_table->setAccessibleName(tr("Columns"));
    m_words->setWordWrap(true);
    auto* form = new QFormLayout;
    form->addRow(tr("&Register"), m_register);
    form->addRow(tr("Read as"), new QLabel(words(m_csv.reading.words()), this));
    auto* buttons = new QDialogButtonBox(QDialogButtonBox::Ok | QDialogButtonBox::Cancel, this);
    m_take = buttons->button(QDialogButtonBox::Ok);
    m_take->setText(tr("Match so"));
    makeChief(m_take);
    auto* layout = new QVBoxLayout(this);
    layout->addLayout(form);
    layout->addWidget(m_table, 1);
    layout->addWidget(m_words);
    layout->addWidget(buttons);
    connect(buttons, &QDialogButtonBox::accepted, this, &QDialog::accept);
    connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
    connect(m_register, &QComboBox::activated, this, &MappingDialog::propose);
    propose();
}

RegisterKind MappingDialog::kind() const
{
    return static_cast<RegisterKind>(m_register->currentData().toInt());
}

void MappingDialog::propose()
{
    const HeaderProposal proposal = proposeHeader(kind(), m_csv.columns, m_remembered(kind()));
    m_columns.clear();
    m_table->setRowCount(0);
    for (const ColumnProposal& each : proposal.columns) {
        const int row = m_table->rowCount();
        m_table->insertRow(row);
        m_columns.push_back(each.column);
        auto* ours = new QTableWidgetItem(words(each.column.name) +
                                          (each.column.required ? tr("  (needed)") : QString()));
        QFont font = ours->font();
        font.setBold(each.column.required);
        ours->setFont(font);
        m_table->setItem(row, Ours, ours);
        auto* choice = new QComboBox(m_table);
        choice->setAccessibleName(tr("The file's column for %1").arg(words(each.column.name)));
        choice->addItem(tr("not in the file"), QString());
        for (const std::string& column : m_csv.columns)
            if (!column.empty())
                choice->addItem(words(column), words(column));
        choice->setCurrentIndex(std::max(0, choice->findData(words(each.siteColumn))));
        choice->setToolTip(proposedWords(each.by));
        m_table->setCellWidget(row, Theirs, choice);
        m_table->setItem(row, FirstValues, new QTableWidgetItem);
        const QString by = proposedWords(each.by);
        auto* meaning = new QTableWidgetItem(words(each.column.words) +
                                             (by.isEmpty() ? QString() : QStringLiteral("  ·  ") + by));
        m_table->setItem(row, Meaning, meaning);
        connect(choice, &QComboBox::currentIndexChanged, this, &MappingDialog::judge);
    }
    m_table->setColumnWidth(Ours, 150);
    m_table->setColumnWidth(Theirs, 190);
    m_table->setColumnWidth(FirstValues, 200);
    judge();
}

QComboBox* MappingDialog::columnField(const QString& column) const
{
    for (std::size_t row = 0; row < m_columns.size(); ++row)
        if (words(m_columns[row].name) == column)
            return qobject_cast<QComboBox*>(m_table->cellWidget(static_cast<int>(row), Theirs));
    return nullptr;
}

/// Shows the first values, and what stands in the way.
void MappingDialog::judge()
{
    QStringList missing, twice;
    std::set<QString> used;
    for (int row = 0; row < m_table->rowCount(); ++row) {
        const RegisterColumn& column = m_columns[static_cast<std::size_t>(row)];
        const QString theirs =
            qobject_cast<QComboBox*>(m_table->cellWidget(row, Theirs))->currentData().toString();
        QStringList samples;
        if (const auto place = m_csv.column(theirs.toStdString()); place && !theirs.isEmpty())
            for (std::size_t i = 0; i < m_csv.rows.size() && samples.size() < 3; ++i)
                if (*place < m_csv.rows[i].fields.size() && !m_csv.rows[i].fields[*place].empty())
                    samples << words(m_csv.rows[i].fields[*place]);
        m_table->item(row, FirstValues)->setText(samples.join(QStringLiteral(" · ")));
        if (theirs.isEmpty() && column.required)
            missing << words(column.name);
        if (!theirs.isEmpty() && !used.insert(theirs).second)
            twice << theirs;
    }
    QStringList passed;
    for (const std::string& column : m_csv.columns)
        if (!column.empty() && !used.contains(words(column)))
            passed << words(column);
    QStringList lines;
    if (!missing.isEmpty())
        lines << tr("<b>! Needed and not matched: %1.</b>").arg(missing.join(", ").toHtmlEscaped());
    if (!twice.isEmpty())
        lines << tr("<b>! Matched twice: %1.</b>").arg(twice.join(", ").toHtmlEscaped());
    lines << (passed.isEmpty() ? tr("Every column of the file has its place.")
                               : tr("Passed over: %1.").arg(passed.join(", ").toHtmlEscaped()));
    lines << tr("The match is remembered in the project when the register is taken in.");
    m_words->setText(lines.join(QStringLiteral("<br>")));
    m_take->setEnabled(missing.isEmpty() && twice.isEmpty());
}

ImportSettings MappingDialog::settings() const
{
    ImportSettings settings;
    settings.kind = kind();
    std::set<QString> used;
    for (int row = 0; row < m_table->rowCount(); ++row) {
        const QString theirs =
            qobject_cast<QComboBox*>(m_table->cellWidget(row, Theirs))->currentData().toString();
        if (theirs.isEmpty())
            continue;
        used.insert(theirs);
        const std::string& ours = m_columns[static_cast<std::size_t>(row)].name;
        if (words(ours) != theirs)
            settings.columns[ours] = theirs.toStdString();
    }
    for (const std::string& column : m_csv.columns)
        if (!column.empty() && !used.contains(words(column)))
            settings.passOver.insert(column);
    return settings;
}

} // namespace inkpeg
