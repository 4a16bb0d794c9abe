// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/NewProjectDialog.h"

#include <QDialogButtonBox>
#include <QFormLayout>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QVBoxLayout>

#include "app/window/PathField.h"
#include "app/window/Present.h"
#include "app/window/Words.h"

namespace inkpeg {
namespace {

QLineEdit* named(const char* name, const QString& hint, QWidget* parent)
{
    auto* field = new QLineEdit(parent);
    field->setObjectName(name);
    field->setPlaceholderText(hint);
    return field;
}

} // namespace

NewProjectDialog::NewProjectDialog(Session& session, QWidget* parent)
    : QDialog(parent), m_session(session),
      m_file(new PathField(PathField::Chooses::FileToWrite, tr("Project file"),
                           tr("Inkpeg projects (*.gpkg)"), this)),
      m_siteCode(named("siteCode", tr("e.g. SKR26"), this)),
      m_title(named("title", tr("name of the site and season"), this)),
      m_crs(named("crs", tr("authority code, e.g. EPSG:25832"), this)),
      m_datum(named("datum", tr("name of the level datum, e.g. DHHN2016"), this)),
      m_initials(named("initials", tr("yours, e.g. MH"), this)),
      m_name(named("name", tr("your name"), this)), m_trouble(new QLabel(this))
{
    setWindowTitle(tr("New project"));
    setMinimumWidth(620);
    m_file->field()->setObjectName("projectFile");
    m_file->field()->setPlaceholderText(tr("where the project file goes; scans stay beside it"));
    m_crs->setText("EPSG:25832");
    m_trouble->setWordWrap(true);
    m_trouble->hide();
    auto* form = new QFormLayout;
    form->setFieldGrowthPolicy(QFormLayout::AllNonFixedFieldsGrow);
    form->setVerticalSpacing(10);
    form->addRow(tr("Project &file"), m_file);
    form->addRow(tr("&Site code"), m_siteCode);
    form->addRow(tr("&Title"), m_title);
    form->addRow(tr("&CRS"), m_crs);
    form->addRow(tr("Level &datum"), m_datum);
    form->addRow(tr("&Initials"), m_initials);
    form->addRow(tr("&Name"), m_name);
    auto* buttons = new QDialogButtonBox(QDialogButtonBox::Ok | QDialogButtonBox::Cancel, this);
    buttons->button(QDialogButtonBox::Ok)->setText(tr("Begin"));
    makeChief(buttons->button(QDialogButtonBox::Ok));
    auto* layout = new QVBoxLayout(this);
    layout->setSpacing(14);
    layout->addLayout(form);
    layout->addWidget(m_trouble);
    layout->addWidget(buttons);
    connect(buttons, &QDialogButtonBox::accepted, this, &NewProjectDialog::accept);
    connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
}

void NewProjectDialog::accept()
{
    const auto refuse = [this](const QString& words) {
        m_trouble->setText(words);
        m_trouble->show();
    };
    if (m_file->text().isEmpty())
        return refuse(tr("The project needs a file; type its path or choose one."));
    if (m_siteCode->text().trimmed().isEmpty())
        return refuse(tr("The project needs a site code."));
    if (m_initials->text().trimmed().isEmpty())
        return refuse(tr("Your initials are written beside everything you do; type them."));
    QString file = m_file->text();
    if (!file.endsWith(".gpkg", Qt::CaseInsensitive))
        file += ".gpkg";
    ProjectFacts facts;
    facts.siteCode = m_siteCode->text().trimmed().toStdString();
    facts.title = m_title->text().trimmed().toStdString();
    facts.crs = m_crs->text().trimmed().toStdString();
    facts.datum = m_datum->text().trimmed().toStdString();
    Person first;
    first.initials = m_initials->text().trimmed().toStdString();
    first.name = m_name->text().trimmed().toStdString();
    const Result<void> made = m_session.create(file.toStdString(), facts, first);
    if (!made)
        return refuse(words(made.error().message));
    QDialog::accept();
}

} // namespace inkpeg
