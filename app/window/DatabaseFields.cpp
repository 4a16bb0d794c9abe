// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/DatabaseFields.h"

#include <QCheckBox>
#include <QComboBox>
#include <QGridLayout>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>

#include "app/window/Words.h"

namespace inkpeg {

DatabaseFields::DatabaseFields(QWidget* parent)
    : QWidget(parent), m_service(new QLineEdit(this)), m_schema(new QLineEdit(this)),
      m_stage(new QComboBox(this)), m_overwrite(new QCheckBox(tr("write over rows changed there"), this)),
      m_dryRun(new QPushButton(tr("Dr&y run"), this)), m_push(new QPushButton(tr("P&ush"), this))
{
    m_service->setObjectName("databaseService");
    m_service->setPlaceholderText(tr("name in the connection service file"));
    m_service->setToolTip(
        tr("Where the database is, the service file says (PGSERVICEFILE); the password comes from the "
           "password file (PGPASSFILE) or is asked for, and is never kept"));
    m_schema->setObjectName("databaseSchema");
    m_schema->setPlaceholderText(words(DatabaseSettings{}.schema));
    m_schema->setToolTip(tr("Schema of the database; made if it is not there"));
    m_schema->setAccessibleName(m_schema->toolTip());
    m_stage->setObjectName("databaseStage");
    m_stage->setToolTip(tr("What has not come so far stays behind"));
    m_stage->setAccessibleName(m_stage->toolTip());
    m_stage->addItem(tr("only what is signed off"), static_cast<int>(Stage::SignedOff));
    m_stage->addItem(tr("also what is checked"), static_cast<int>(Stage::Checked));
    m_stage->addItem(tr("also what is traced"), static_cast<int>(Stage::Traced));
    m_stage->addItem(tr("everything"), static_cast<int>(Stage::Listed));
    m_overwrite->setObjectName("databaseOverwrite");
    m_overwrite->setToolTip(
        tr("Also rows that other hands have changed in the database; otherwise they are listed "
           "and stay as they are"));
    m_dryRun->setObjectName("databaseDryRun");
    m_dryRun->setToolTip(
        tr("Counts what would change in the site database; leaves it as it is (Ctrl+Shift+D)"));
    m_push->setObjectName("databasePush");
    m_push->setToolTip(tr("Writes into the site database, in one transaction (Ctrl+Shift+U)"));
    connect(m_dryRun, &QPushButton::clicked, this, [this] { emit pushAsked(true); });
    connect(m_push, &QPushButton::clicked, this, [this] { emit pushAsked(false); });

    auto* caption = new QLabel(tr("&Site database (PostgreSQL with PostGIS)"), this);
    caption->setBuddy(m_service);
    auto* grid = new QGridLayout(this);
    grid->setContentsMargins(0, 0, 0, 0);
    grid->addWidget(caption, 0, 0, 1, 4);
    grid->addWidget(m_service, 1, 0);
    grid->addWidget(m_schema, 1, 1);
    grid->addWidget(m_dryRun, 1, 2);
    grid->addWidget(m_push, 1, 3);
    grid->addWidget(m_stage, 2, 0);
    grid->addWidget(m_overwrite, 2, 1, 1, 3);
    grid->setColumnStretch(0, 2);
    grid->setColumnStretch(1, 1);
}

DatabaseSettings DatabaseFields::settings(bool dryRun) const
{
    DatabaseSettings settings;
    settings.service = m_service->text().trimmed().toStdString();
    if (const QString schema = m_schema->text().trimmed(); !schema.isEmpty())
        settings.schema = schema.toStdString();
    settings.leastStage = static_cast<Stage>(m_stage->currentData().toInt());
    settings.overwrite = m_overwrite->isChecked();
    settings.dryRun = dryRun;
    return settings;
}

void DatabaseFields::askForService()
{
    m_service->setFocus();
}

void DatabaseFields::setBusy(bool busy)
{
    m_dryRun->setEnabled(!busy);
    m_push->setEnabled(!busy);
}

} // namespace inkpeg
