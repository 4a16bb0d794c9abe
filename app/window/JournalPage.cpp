// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/JournalPage.h"

#include <QAbstractTableModel>
#include <QHeaderView>
#include <QLabel>
#include <QLineEdit>
#include <QTableView>
#include <QVBoxLayout>

#include "app/window/Words.h"
#include "core/records/RegisterTable.h"

namespace inkpeg {

/// The entries that match what is looked for.
class JournalModel final : public QAbstractTableModel {
    Q_OBJECT
public:
    explicit JournalModel(QObject* parent) : QAbstractTableModel(parent), m_table(columnNames()) {}

    void set(const std::vector<JournalEntry>& entries, const QString& query)
    {
        beginResetModel();
        m_table = RegisterTable(columnNames());
        for (auto entry = entries.rbegin(); entry != entries.rend(); ++entry) {
            std::string at = entry->at.substr(0, 19);
            if (at.size() > 10)
                at[10] = ' ';
            m_table.add({at, entry->person, entry->what, entry->why});
        }
        m_rows = m_table.matching(query.toStdString());
        endResetModel();
    }
    void filter(const QString& query)
    {
        beginResetModel();
        m_rows = m_table.matching(query.toStdString());
        endResetModel();
    }
    std::size_t all() const { return m_table.rows(); }
    int rowCount(const QModelIndex& parent = {}) const override
    {
        return parent.isValid() ? 0 : static_cast<int>(m_rows.size());
    }
    int columnCount(const QModelIndex& parent = {}) const override { return parent.isValid() ? 0 : 4; }
    QVariant data(const QModelIndex& index, int role) const override
    {
        if (role != Qt::DisplayRole && role != Qt::ToolTipRole)
            return {};
        const std::string_view cell = m_table.cell(m_rows[static_cast<std::size_t>(index.row())],
                                                   static_cast<std::size_t>(index.column()));
        return QString::fromUtf8(cell.data(), static_cast<qsizetype>(cell.size()));
    }
    QVariant headerData(int section, Qt::Orientation orientation, int role) const override
    {
        if (orientation != Qt::Horizontal || role != Qt::DisplayRole)
            return {};
        const QStringList names{tr("When (UTC)"), tr("Who"), tr("What"), tr("Why")};
        return names.value(section);
    }

private:
    static std::vector<std::string> columnNames() { return {"when", "who", "what", "why"}; }

    RegisterTable m_table;
    std::vector<std::uint32_t> m_rows;
};

JournalPage::JournalPage(Session& session, QWidget* parent)
    : QWidget(parent), m_session(session), m_model(new JournalModel(this)), m_filter(new QLineEdit(this)),
      m_count(new QLabel(this)), m_table(new QTableView(this))
{
    setObjectName("page");
    auto* heading = new QLabel(tr("Journal"), this);
    heading->setObjectName("heading");
    auto* explain = new QLabel(
        tr("Who did what, when and why. Entries are added, never changed; undoing something adds one too."),
        this);
    explain->setWordWrap(true);
    m_filter->setPlaceholderText(tr("narrow down: words, or who:MH, why:film"));
    m_filter->setAccessibleName(tr("Narrow the journal down"));
    m_filter->setClearButtonEnabled(true);
    m_table->setModel(m_model);
    m_table->verticalHeader()->hide();
    m_table->setSelectionBehavior(QAbstractItemView::SelectRows);
    m_table->setAlternatingRowColors(true);
    m_table->setShowGrid(false);
    m_table->setAccessibleName(tr("Journal"));
    m_table->horizontalHeader()->setStretchLastSection(true);
    auto* layout = new QVBoxLayout(this);
    layout->setContentsMargins(28, 22, 28, 18);
    layout->setSpacing(10);
    layout->addWidget(heading);
    layout->addWidget(explain);
    layout->addWidget(m_filter);
    layout->addWidget(m_count);
    layout->addWidget(m_table, 1);
    setFocusProxy(m_filter);
    connect(m_filter, &QLineEdit::textChanged, this, [this](const QString& query) {
        m_model->filter(query);
        m_count->setText(tr("%1 of %2 entries").arg(m_model->rowCount()).arg(m_model->all()));
    });
    connect(&session, &Session::recordsChanged, this, [this] {
        if (isVisible())
            refresh();
    });
    connect(&session, &Session::projectChanged, this, &JournalPage::refresh);
}

void JournalPage::showEvent(QShowEvent*)
{
    refresh();
}

void JournalPage::refresh()
{
    m_model->set(m_session.isOpen() ? m_session.project().journal() : std::vector<JournalEntry>(),
                 m_filter->text());
    m_count->setText(tr("%1 of %2 entries").arg(m_model->rowCount()).arg(m_model->all()));
    m_table->setColumnWidth(0, m_table->fontMetrics().horizontalAdvance("0000-00-00 00:00:00") + 24);
    m_table->setColumnWidth(1, m_table->fontMetrics().horizontalAdvance("MMMM") + 24);
    m_table->setColumnWidth(2, std::max(260, m_table->width() / 2));
}

} // namespace inkpeg

#include "JournalPage.moc"
