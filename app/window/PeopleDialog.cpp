// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/PeopleDialog.h"

#include <QDialogButtonBox>
#include <QHBoxLayout>
#include <QHeaderView>
#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QPushButton>
#include <QSettings>
#include <QSignalBlocker>
#include <QTableWidget>
#include <QVBoxLayout>

#include "app/window/Words.h"

namespace inkpeg {

namespace {

constexpr auto LastPersonKey = "lastPerson";

QString shown(const Person& person)
{
    QString text = words(person.initials);
    if (!person.name.empty())
        text += QStringLiteral(" · ") + words(person.name);
    if (!person.role.empty())
        text += QStringLiteral(" · ") + words(person.role);
    return text;
}

} // namespace

void WhoDialog::takeLast(Session& session)
{
    const QString last = QSettings().value(LastPersonKey).toString();
    if (session.project().byKey<Person>(last.toStdString()))
        session.setPerson(last);
}

WhoDialog::WhoDialog(Session& session, QWidget* parent)
    : QDialog(parent), m_session(session), m_list(new QListWidget(this))
{
    setWindowTitle(tr("Who is at the keyboard?"));
    auto* explain =
        new QLabel(tr("Your initials are written beside each act. Nobody may check what they drew "
                      "or traced themselves."),
                   this);
    explain->setWordWrap(true);
    const QString now = words(session.project().person());
    for (const Person& person : session.project().all<Person>()) {
        auto* item = new QListWidgetItem(shown(person), m_list);
        item->setData(Qt::UserRole, words(person.initials));
        if (words(person.initials) == now || m_list->count() == 1)
            m_list->setCurrentItem(item);
    }
    m_list->setAccessibleName(tr("People of the project"));
    m_list->setToolTip(tr("Arrows or the first letter choose, Enter takes"));
    auto* buttons = new QDialogButtonBox(QDialogButtonBox::Ok, this);
    auto* other = buttons->addButton(tr("&Somebody else…"), QDialogButtonBox::ActionRole);
    auto* layout = new QVBoxLayout(this);
    layout->addWidget(explain);
    layout->addWidget(m_list);
    layout->addWidget(buttons);
    m_list->setFocus();
    connect(m_list, &QListWidget::itemActivated, this, &WhoDialog::take);
    connect(buttons, &QDialogButtonBox::accepted, this, &WhoDialog::take);
    connect(other, &QPushButton::clicked, this, [this] {
        accept();
        emit somebodyElse();
    });
}

void WhoDialog::take()
{
    if (const QListWidgetItem* item = m_list->currentItem()) {
        const QString initials = item->data(Qt::UserRole).toString();
        QSettings().setValue(LastPersonKey, initials);
        m_session.setPerson(initials);
    }
    accept();
}

PeopleDialog::PeopleDialog(Session& session, QWidget* parent)
    : QDialog(parent), m_session(session), m_table(new QTableWidget(0, 3, this)),
      m_initials(new QLineEdit(this)), m_name(new QLineEdit(this)), m_role(new QLineEdit(this)),
      m_add(new QPushButton(tr("&Add"), this)), m_remove(new QPushButton(tr("&Remove"), this)),
      m_trouble(new QLabel(this))
{
    setWindowTitle(tr("People of the project"));
    resize(620, 420);
    m_table->setHorizontalHeaderLabels({tr("Initials"), tr("Name"), tr("Role")});
    m_table->horizontalHeader()->setStretchLastSection(true);
    m_table->verticalHeader()->hide();
    m_table->setSelectionBehavior(QAbstractItemView::SelectRows);
    m_table->setSelectionMode(QAbstractItemView::SingleSelection);
    m_table->setAccessibleName(tr("People"));
    m_table->setToolTip(tr("F2 changes a name or role; initials stand on film and records and stay"));
    m_initials->setPlaceholderText(tr("initials"));
    m_initials->setMaximumWidth(90);
    m_name->setPlaceholderText(tr("name"));
    m_role->setPlaceholderText(tr("role, e.g. supervisor"));
    m_add->setToolTip(tr("Adds a person; can be undone"));
    m_remove->setToolTip(tr("Removes the chosen person, unless they have signed something; can be undone"));
    m_trouble->setWordWrap(true);
    auto* row = new QHBoxLayout;
    for (QWidget* widget : std::initializer_list<QWidget*>{m_initials, m_name, m_role, m_add, m_remove})
        row->addWidget(widget);
    auto* buttons = new QDialogButtonBox(QDialogButtonBox::Close, this);
    auto* layout = new QVBoxLayout(this);
    layout->addWidget(m_table);
    layout->addLayout(row);
    layout->addWidget(m_trouble);
    layout->addWidget(buttons);
    connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
    connect(m_add, &QPushButton::clicked, this, &PeopleDialog::add);
    connect(m_remove, &QPushButton::clicked, this, &PeopleDialog::removeChosen);
    // Queued: the act lists the people anew, and the cell that tells of its change would be gone under it.
    connect(m_table, &QTableWidget::cellChanged, this, &PeopleDialog::cellChanged, Qt::QueuedConnection);
    connect(&session, &Session::recordsChanged, this, &PeopleDialog::refresh);
    connect(&session, &Session::said, this, [this](const QString& text, bool trouble) {
        m_trouble->setText(trouble ? QStringLiteral("! ") + text : text);
    });
    refresh();
}

void PeopleDialog::refresh()
{
    const QSignalBlocker quiet(m_table);
    const int kept = m_table->currentRow();
    m_table->setRowCount(0);
    if (!m_session.isOpen())
        return;
    for (const Person& person : m_session.project().all<Person>()) {
        const int row = m_table->rowCount();
        m_table->insertRow(row);
        auto* initials = new QTableWidgetItem(words(person.initials));
        initials->setFlags(initials->flags() & ~Qt::ItemIsEditable);
        m_table->setItem(row, 0, initials);
        m_table->setItem(row, 1, new QTableWidgetItem(words(person.name)));
        m_table->setItem(row, 2, new QTableWidgetItem(words(person.role)));
    }
    m_table->setCurrentCell(std::min(kept, m_table->rowCount() - 1), 0);
}

void PeopleDialog::add()
{
    Person person;
    person.initials = m_initials->text().trimmed().toStdString();
    person.name = m_name->text().trimmed().toStdString();
    person.role = m_role->text().trimmed().toStdString();
    if (person.initials.empty()) {
        m_trouble->setText(tr("! A person needs initials, as they stand on film and records"));
        m_initials->setFocus();
        return;
    }
    // Adding here does not change who is at the keyboard.
    const QString atKeyboard = words(m_session.project().person());
    if (!m_session.addPerson(person))
        return;
    if (!atKeyboard.isEmpty())
        m_session.setPerson(atKeyboard);
    for (QLineEdit* field : {m_initials, m_name, m_role})
        field->clear();
    m_initials->setFocus();
}

void PeopleDialog::removeChosen()
{
    const QTableWidgetItem* item = m_table->item(m_table->currentRow(), 0);
    if (!item)
        return;
    if (const auto person = m_session.project().byKey<Person>(item->text().toStdString()))
        m_session.removePerson(*person);
}

void PeopleDialog::cellChanged(int row, int column)
{
    auto person = m_session.project().byKey<Person>(m_table->item(row, 0)->text().toStdString());
    if (!person || column == 0)
        return;
    (column == 1 ? person->name : person->role) =
        m_table->item(row, column)->text().trimmed().toStdString();
    if (!m_session.changePerson(*person))
        refresh();
}

} // namespace inkpeg
