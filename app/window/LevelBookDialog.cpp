// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/LevelBookDialog.h"

#include <QCheckBox>
#include <QComboBox>
#include <QDialogButtonBox>
#include <QDoubleSpinBox>
#include <QFileDialog>
#include <QFormLayout>
#include <QHeaderView>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QTableWidget>
#include <QVBoxLayout>

#include "app/board/Palette.h"
#include "app/print/LevelReport.h"
#include "app/window/Words.h"
#include "core/base/Text.h"

namespace inkpeg {
namespace {

enum Column { Point, Back, Intermediate, Fore, Benchmark, Booked, Note, ByHeight, ByRise, Level, Columns };

constexpr int EmptyLines = 12; // so that one can type without asking for lines

} // namespace

LevelBookDialog::LevelBookDialog(Session& session, QWidget* parent)
    : QDialog(parent), m_session(session), m_books(new QComboBox(this)), m_name(new QLineEdit(this)),
      m_by(new QLineEdit(this)), m_on(new QLineEdit(this)), m_k(new QDoubleSpinBox(this)),
      m_distribute(new QCheckBox(tr("&Spread the misclosure over the set-ups"), this)),
      m_lines(new QTableWidget(0, Columns, this)), m_closes(new QLabel(this)), m_said(new QLabel(this))
{
    setWindowTitle(tr("Level books"));
    setAttribute(Qt::WA_DeleteOnClose);
    m_books->setAccessibleName(tr("Level book"));
    m_books->setToolTip(tr("The books of the project, or a new one"));
    m_name->setObjectName("bookName");
    m_name->setPlaceholderText(tr("e.g. levels 2026-08-21"));
    m_by->setPlaceholderText(tr("initials"));
    m_on->setPlaceholderText(tr("date, e.g. 2026-08-21"));
    m_k->setRange(0.1, 100);
    m_k->setDecimals(1);
    m_k->setValue(LevelBook().toleranceK);
    m_k->setSuffix(tr(" mm × √ set-ups"));
    m_k->setToolTip(tr("Misclosure allowed; 5 mm times the root of the set-ups is common practice"));
    m_distribute->setChecked(true);
    m_lines->setObjectName("bookLines");
    m_lines->setHorizontalHeaderLabels({tr("Point"), tr("Back"), tr("Inter."), tr("Fore"), tr("Bench mark"),
                                        tr("Booked"), tr("Note"), tr("By height"), tr("By rise, fall"),
                                        tr("Level")});
    m_lines->horizontalHeader()->setSectionResizeMode(QHeaderView::Stretch);
    m_lines->setAccessibleName(tr("Lines of the level book"));
    m_lines->setAlternatingRowColors(true);
    m_closes->setObjectName("bookCloses");
    m_closes->setWordWrap(true);
    m_said->setObjectName("bookSaid");
    m_said->setWordWrap(true);

    auto* form = new QFormLayout;
    form->addRow(tr("&Book"), m_books);
    form->addRow(tr("&Name"), m_name);
    auto* who = new QHBoxLayout;
    who->addWidget(m_by);
    who->addWidget(m_on);
    auto* levelled = new QLabel(tr("Le&velled by, on"), this);
    levelled->setBuddy(m_by); // a row that holds two fields knows none
    form->addRow(levelled, who);
    form->addRow(tr("&Allowed"), m_k);
    form->addRow(QString(), m_distribute);
    auto* line = new QPushButton(tr("Add &lines"), this);
    auto* keep = new QPushButton(tr("&Keep the book"), this);
    keep->setObjectName("chief");
    keep->setToolTip(tr("Puts the book into the project, in the place of one with this name; one act"));
    auto* carry = new QPushButton(tr("&Carry levels"), this);
    carry->setObjectName("carryLevels");
    carry->setToolTip(tr("Gives the levels to pegs, datums, spot heights, finds, samples and timbers that "
                         "bear a point's name and have none; one act"));
    auto* overwrite = new QPushButton(tr("Carry &over others"), this);
    overwrite->setObjectName("carryOver");
    overwrite->setToolTip(tr("The same, and records that disagree take the reduced level too; one act"));
    auto* page = new QPushButton(tr("&Write the page…"), this);
    page->setToolTip(tr("Writes the level book page as PDF and HTML"));
    auto* acts = new QHBoxLayout;
    for (QPushButton* button : {line, keep, carry, overwrite, page}) {
        button->setAutoDefault(false);
        acts->addWidget(button);
    }
    acts->addStretch(1);
    auto* buttons = new QDialogButtonBox(QDialogButtonBox::Close, this);
    acts->addWidget(buttons);
    auto* layout = new QVBoxLayout(this);
    layout->addLayout(form);
    layout->addWidget(m_lines, 1);
    layout->addWidget(m_closes);
    layout->addWidget(m_said);
    layout->addLayout(acts);
    resize(980, 680);

    connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
    connect(m_books, &QComboBox::activated, this,
            [this](int index) { showBook(index == 0 ? QString() : m_books->itemText(index)); });
    connect(m_lines, &QTableWidget::itemChanged, this, [this](QTableWidgetItem* item) {
        if (!m_filling && item->column() < ByHeight)
            reduce();
    });
    connect(m_k, &QDoubleSpinBox::valueChanged, this, &LevelBookDialog::reduce);
    connect(m_distribute, &QCheckBox::toggled, this, &LevelBookDialog::reduce);
    connect(line, &QPushButton::clicked, this, [this] {
        for (int i = 0; i < EmptyLines; ++i)
            addLine();
    });
    connect(keep, &QPushButton::clicked, this, &LevelBookDialog::keep);
    connect(carry, &QPushButton::clicked, this, [this] { this->carry(false); });
    connect(overwrite, &QPushButton::clicked, this, [this] { this->carry(true); });
    connect(page, &QPushButton::clicked, this, &LevelBookDialog::askWhere);
    connect(&session, &Session::projectChanged, this, &QDialog::close);
    connect(&session, &Session::recordsChanged, this, &LevelBookDialog::refreshBooks);
    refreshBooks();
    showBook(m_books->count() > 1 ? m_books->itemText(1) : QString());
    m_lines->setFocus();
}

void LevelBookDialog::tell(const QString& what, bool trouble)
{
    const Palette& colours = inkpeg::palette();
    m_said->setText(QString("<span style='color:%1'>%2</span>")
                        .arg((trouble ? colours.bad : colours.good).name(),
                             (trouble ? tr("! ") : QString()) + what.toHtmlEscaped()));
}

void LevelBookDialog::refreshBooks()
{
    if (!m_session.isOpen())
        return;
    const QString now = m_name->text().trimmed();
    m_books->clear();
    m_books->addItem(tr("A new book"));
    for (const LevelBook& book : m_session.project().all<LevelBook>())
        m_books->addItem(words(book.name));
    m_books->setCurrentIndex(std::max(0, m_books->findText(now)));
}

void LevelBookDialog::addLine()
{
    const bool filling = m_filling;
    m_filling = true;
    const int row = m_lines->rowCount();
    m_lines->insertRow(row);
    for (int column = 0; column < Columns; ++column) {
        auto* item = new QTableWidgetItem;
        if (column != Point && column != Note)
            item->setTextAlignment(Qt::AlignRight | Qt::AlignVCenter);
        if (column >= ByHeight)
            item->setFlags(Qt::ItemIsEnabled | Qt::ItemIsSelectable);
        m_lines->setItem(row, column, item);
    }
    m_filling = filling;
}

void LevelBookDialog::showBook(const QString& name)
{
    m_filling = true;
    const LevelBook book = m_session.project().byKey<LevelBook>(name.toStdString()).value_or(LevelBook());
    m_name->setText(name);
    m_by->setText(words(book.levelledBy));
    m_on->setText(words(book.levelledOn));
    m_k->setValue(book.toleranceK);
    m_distribute->setChecked(book.distribute);
    m_lines->setRowCount(0);
    const auto set = [this](int row, int column, const std::optional<double>& value) {
        m_lines->item(row, column)->setText(value ? words(fixed(*value, 3)) : QString());
    };
    for (const LevelRow& line : levelRows(book, m_session.project().all<LevelReading>())) {
        addLine();
        const int row = m_lines->rowCount() - 1;
        m_lines->item(row, Point)->setText(words(line.point));
        m_lines->item(row, Note)->setText(words(line.note));
        set(row, Back, line.backsightM);
        set(row, Intermediate, line.intermediateM);
        set(row, Fore, line.foresightM);
        set(row, Benchmark, line.benchmarkM);
        set(row, Booked, line.bookedM);
    }
    for (int i = 0; i < EmptyLines; ++i)
        addLine();
    m_filling = false;
    m_said->clear();
    reduce();
}

Result<std::pair<LevelBook, std::vector<LevelReading>>> LevelBookDialog::typed() const
{
    LevelBook book =
        m_session.project().byKey<LevelBook>(m_name->text().trimmed().toStdString()).value_or(LevelBook());
    book.name = m_name->text().trimmed().toStdString();
    book.levelledBy = m_by->text().trimmed().toStdString();
    book.levelledOn = m_on->text().trimmed().toStdString();
    book.toleranceK = m_k->value();
    book.distribute = m_distribute->isChecked();
    std::vector<LevelReading> readings;
    for (int row = 0; row < m_lines->rowCount(); ++row) {
        LevelReading reading;
        reading.book = book.name;
        reading.line = row + 1;
        reading.point = m_lines->item(row, Point)->text().trimmed().toStdString();
        reading.note = m_lines->item(row, Note)->text().trimmed().toStdString();
        bool any = !reading.point.empty();
        for (const auto& [column, target] : {std::pair{Back, &reading.backsightM},
                                             {Intermediate, &reading.intermediateM},
                                             {Fore, &reading.foresightM},
                                             {Benchmark, &reading.benchmarkM},
                                             {Booked, &reading.bookedM}}) {
            // A comma is how many write it, and a field cannot hold two numbers.
            const QString text = m_lines->item(row, column)->text().trimmed().replace(',', '.');
            if (text.isEmpty())
                continue;
            any = true;
            *target = parseNumber(text.toStdString());
            if (!*target)
                return Error{ErrorCode::BadInput,
                             "line " + std::to_string(row + 1) + ", " +
                                 m_lines->horizontalHeaderItem(column)->text().toStdString() + ": \"" +
                                 text.toStdString() + "\" is no number; give metres, e.g. 1.216"};
        }
        if (any)
            readings.push_back(std::move(reading));
    }
    return std::pair{std::move(book), std::move(readings)};
}

void LevelBookDialog::reduce()
{
    if (m_filling)
        return;
    const auto book = typed();
    const Palette& colours = inkpeg::palette();
    const auto say = [this](const QColor& colour, const QString& what) {
        m_closes->setText(
            QString("<span style='color:%1'><b>%2</b></span>").arg(colour.name(), what.toHtmlEscaped()));
    };
    m_filling = true;
    for (int row = 0; row < m_lines->rowCount(); ++row)
        for (const int column : {ByHeight, ByRise, Level})
            m_lines->item(row, column)->setText({});
    m_filling = false;
    if (!book)
        return say(colours.bad, tr("! ") + words(book.error().message));
    if (book->second.empty())
        return say(colours.faintInk, tr("Type the readings as booked, one line for each point"));
    const Result<ReducedBook> reduced = reduceBook(book->first, book->second);
    if (!reduced)
        return say(colours.doubtful, words(reduced.error().message));
    m_filling = true;
    // A change point booked on two lines is reduced as one: what is computed stands where it was begun.
    std::size_t next = 0;
    for (const ReducedLevel& row : reduced->rows) {
        while (next < book->second.size() && book->second[next].line != row.booked.line)
            ++next;
        if (next == book->second.size())
            break;
        const int line = book->second[next].line - 1;
        m_lines->item(line, ByHeight)->setText(words(fixed(metresFromTenthMm(row.byCollimation), 3)));
        m_lines->item(line, ByRise)->setText(words(fixed(metresFromTenthMm(row.byRiseAndFall), 3)));
        m_lines->item(line, Level)->setText(words(fixed(row.adjustedM(), 4)));
    }
    m_filling = false;
    QString what = words(bookInWords(*reduced));
    for (const LevelConflict& conflict : reduced->conflicts)
        what += "\n! " + words(conflict.message);
    say(reduced->check.holds() && reduced->conflicts.empty() ? colours.good : colours.bad, what);
}

void LevelBookDialog::keep()
{
    const auto book = typed();
    if (!book)
        return tell(words(book.error().message), true);
    if (book->first.name.empty())
        return tell(tr("The book needs a name"), true);
    const Result<Change> put = putLevelBook(m_session.project(), book->first, book->second);
    if (!put)
        return tell(words(put.error().message), true);
    m_session.refresh();
    tell(sentence(words(put->what)), false);
}

void LevelBookDialog::carry(bool overwrite)
{
    LevelFlowSettings settings;
    settings.book = m_name->text().trimmed().toStdString();
    settings.overwrite = overwrite;
    if (settings.book.empty() || !m_session.project().byKey<LevelBook>(settings.book))
        return tell(tr("Keep the book first; then its levels can be carried"), true);
    const Result<LevelFlow> flow = carryLevels(m_session.project(), settings);
    if (!flow)
        return tell(words(flow.error().message), true);
    m_session.refresh();
    QString what = tr("%1 records agree, %2 were given a level, %3 disagree")
                       .arg(flow->agreeing)
                       .arg(flow->carried.size())
                       .arg(flow->conflicts.size());
    for (const LevelUse& use : flow->conflicts)
        what += "\n" + words(use.inWords());
    tell(what, !flow->conflicts.empty());
}

void LevelBookDialog::askWhere()
{
    const QString folder = QFileDialog::getExistingDirectory(this, tr("Write the level book page"));
    if (folder.isEmpty())
        return;
    const Result<TableReport> report =
        levelReport(m_session.project(), m_name->text().trimmed().toStdString());
    if (!report)
        return tell(words(report.error().message), true);
    const auto files = writeTableReport(*report, folder.toStdString(), "levels");
    tell(files ? tr("Written: levels.pdf and levels.html in %1").arg(folder) : words(files.error().message),
         !files);
}

} // namespace inkpeg
