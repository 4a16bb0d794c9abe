// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/HandOverPage.h"

#include <QCheckBox>
#include <QComboBox>
#include <QGridLayout>
#include <QInputDialog>
#include <QLabel>
#include <QLineEdit>
#include <QProgressBar>
#include <QPushButton>
#include <QTextBrowser>
#include <QVBoxLayout>

#include "app/window/DatabaseFields.h"
#include "app/window/LongWork.h"
#include "app/window/PathField.h"
#include "app/window/PlanChoices.h"
#include "app/window/PlanPreview.h"
#include "app/window/Present.h"
#include "app/window/Words.h"
#include "core/base/Text.h"

namespace inkpeg {

namespace {

QLabel* caption(const QString& text, QWidget* buddy, QWidget* parent)
{
    auto* label = new QLabel(text, parent);
    label->setBuddy(buddy);
    return label;
}

} // namespace

HandOverPage::HandOverPage(Session& session, QWidget* parent)
    : QWidget(parent), m_session(session), m_work(new HandOverWork(this)),
      m_folder(new PathField(PathField::Chooses::Folder, tr("Folder to hand over into"), {}, this)),
      m_plans(new PlanChoices(this)), m_database(new DatabaseFields(this)),
      m_progress(new QProgressBar(this)), m_outcome(new QTextBrowser(this)), m_counting(new LongWork(this))
{
    setObjectName("page");
    auto* heading = new QLabel(tr("Hand over"), this);
    heading->setObjectName("heading");
    m_folder->field()->setObjectName("handOverFolder");
    m_folder->field()->setPlaceholderText(tr("a folder that is not there yet"));
    m_outcome->setObjectName("handOverOutcome");
    m_outcome->setAccessibleName(tr("What will be written, and what was"));
    setFocusProxy(m_folder);

    auto* choices = new QVBoxLayout;
    choices->setSpacing(10);
    choices->addLayout(makeGeodataChoices());
    choices->addWidget(m_plans);
    choices->addLayout(makeDepositFields());
    m_replace = choice(tr("Replace a former hand-over in that folder"),
                       tr("Otherwise a folder that is taken is refused"), false);
    choices->addWidget(caption(tr("&Folder"), m_folder->field(), this));
    choices->addWidget(m_folder);
    choices->addWidget(m_replace);
    choices->addLayout(makeActs());
    choices->addWidget(m_database);
    choices->addStretch(1);
    auto* across = new QHBoxLayout;
    across->setSpacing(24);
    across->addLayout(choices, 3);
    across->addWidget(m_outcome, 2);
    auto* layout = new QVBoxLayout(this);
    layout->setContentsMargins(28, 22, 28, 18);
    layout->setSpacing(12);
    layout->addWidget(heading);
    layout->addLayout(across, 1);

    connect(m_folder, &PathField::accepted, this, [this] { m_start->setFocus(); });
    connect(m_work, &HandOverWork::progressed, this,
            [this](double share) { m_progress->setValue(static_cast<int>(share * 1000)); });
    connect(m_work, &HandOverWork::finished, this, &HandOverPage::finished);
    connect(m_work, &HandOverWork::drawn, this, [this](const std::vector<PageArt>& pages) {
        if (pages.empty())
            return;
        auto* shown = new PlanPreview(pages, this);
        shown->setAttribute(Qt::WA_DeleteOnClose);
        present(shown);
    });
    connect(m_plans, &PlanChoices::changed, this, &HandOverPage::refresh);
    connect(m_plans, &PlanChoices::previewAsked, this, &HandOverPage::preview);
    connect(m_database, &DatabaseFields::pushAsked, this, &HandOverPage::push);
    connect(&session, &Session::projectChanged, this, [this] {
        // Another project is handed over beside itself, unless a folder was named on purpose.
        if (m_session.isOpen() && (m_folder->text().isEmpty() || m_folder->text() == m_offered)) {
            m_offered = words((m_session.project().file().parent_path() / "hand-over").string());
            m_folder->setText(m_offered);
        }
        takeStock();
    });
    connect(&session, &Session::recordsChanged, this, &HandOverPage::takeStock);
}

QCheckBox* HandOverPage::choice(const QString& text, const QString& tip, bool on)
{
    auto* box = new QCheckBox(text, this);
    box->setToolTip(tip);
    box->setChecked(on);
    connect(box, &QCheckBox::toggled, this, &HandOverPage::refresh);
    return box;
}

QPushButton* HandOverPage::button(const QString& text, const QString& tip, const char* name)
{
    auto* made = new QPushButton(text, this);
    made->setToolTip(tip);
    made->setObjectName(name);
    return made;
}

QLayout* HandOverPage::makeGeodataChoices()
{
    m_geoPackage = choice(tr("&GeoPackage"),
                          tr("geodata.gpkg: every layer, each vertex with its standard error"), true);
    m_geoJson = choice(tr("Geo&JSON"), tr("geojson/: longitude and latitude, RFC 7946"), true);
    m_csv = choice(tr("&CSV"), tr("csv/: a table for each layer, places as well-known text"), true);
    m_gml = choice(tr("G&ML"), tr("geodata.gml, ISO 19136"), false);
    m_shapefile = choice(tr("Shapefile"), tr("shapefile/: one for each layer, names shortened"), false);
    m_report =
        choice(tr("&Reports, PDF and HTML"),
               tr("Residuals with their pictures; summary, finds, checks, sign-offs, deposit statement, "
                  "data dictionary"),
               true);
    m_laid =
        choice(tr("&Laid scans"), tr("laid/: the plans' scans laid into the site grid, GeoTIFF"), false);
    m_cloud = choice(tr("cloud-optimised"), tr("Laid scans as cloud-optimised GeoTIFF"), false);
    m_world = choice(tr("with world files"), tr("A world file beside each laid scan"), false);
    m_bag = choice(tr("As an archive &bag"),
                   tr("RFC 8493: with the original scans, registers, metadata and digests of every file"),
                   false);
    m_stage = new QComboBox(this);
    m_stage->setObjectName("handOverStage");
    m_stage->setToolTip(tr("Outlines that have not come so far stay behind"));
    m_stage->setAccessibleName(m_stage->toolTip());
    m_stage->addItem(tr("outlines of every stage"), static_cast<int>(Stage::Listed));
    m_stage->addItem(tr("outlines that are checked"), static_cast<int>(Stage::Checked));
    m_stage->addItem(tr("outlines that are signed off"), static_cast<int>(Stage::SignedOff));
    connect(m_stage, &QComboBox::currentIndexChanged, this, &HandOverPage::refresh);
    auto* grid = new QGridLayout;
    grid->setHorizontalSpacing(22);
    int at = 0;
    for (QCheckBox* box :
         {m_geoPackage, m_geoJson, m_csv, m_gml, m_shapefile, m_report, m_laid, m_cloud, m_world, m_bag}) {
        grid->addWidget(box, at / 3, at % 3);
        ++at;
    }
    grid->addWidget(m_stage, at / 3, at % 3, 1, 2);
    grid->setColumnStretch(3, 1);
    return grid;
}

QLayout* HandOverPage::makeDepositFields()
{
    m_rights = new QLineEdit(this);
    m_rights->setObjectName("depositRights");
    m_rights->setPlaceholderText(tr("e.g. CC BY 4.0"));
    m_rights->setToolTip(tr("Rights of the deposit; kept in the project"));
    m_depositor = new QLineEdit(this);
    m_depositor->setObjectName("depositor");
    m_depositor->setPlaceholderText(tr("who deposits the archive"));
    m_depositor->setToolTip(tr("Kept in the project"));
    for (QLineEdit* field : {m_rights, m_depositor})
        connect(field, &QLineEdit::editingFinished, this, &HandOverPage::keepDepositWords);
    auto* row = new QGridLayout;
    row->addWidget(caption(tr("R&ights"), m_rights, this), 0, 0);
    row->addWidget(caption(tr("&Depositor"), m_depositor, this), 0, 1);
    row->addWidget(m_rights, 1, 0);
    row->addWidget(m_depositor, 1, 1);
    return row;
}

QLayout* HandOverPage::makeActs()
{
    m_start =
        button(tr("&Hand over"),
               tr("Writes everything chosen; it is complete or not there at all (Ctrl+Return)"), "chief");
    m_cancel = button(tr("Cancel"), tr("Stops; nothing half written stays behind"), "cancelHandOver");
    m_progress->setObjectName("handOverProgress");
    m_progress->setRange(0, 1000);
    m_progress->hide();
    m_cancel->hide();
    connect(m_start, &QPushButton::clicked, this, &HandOverPage::start);
    connect(m_cancel, &QPushButton::clicked, m_work, &HandOverWork::cancel);
    m_verify = button(
        tr("V&erify a bag"),
        tr("Holds the bag in the folder above against its digests, reads every record back, and says "
           "whether the project is still as it was (Ctrl+Shift+Y)"),
        "verifyBag");
    connect(m_verify, &QPushButton::clicked, this, &HandOverPage::verify);
    auto* acts = new QHBoxLayout;
    acts->addWidget(m_start);
    acts->addWidget(m_verify);
    acts->addWidget(m_cancel);
    acts->addWidget(m_progress, 1);
    acts->addStretch(0);
    return acts;
}

HandOverOrder HandOverPage::order() const
{
    HandOverOrder order;
    order.folder = m_folder->path();
    order.geodata.geoPackage = m_geoPackage->isChecked();
    order.geodata.geoJson = m_geoJson->isChecked();
    order.geodata.csv = m_csv->isChecked();
    order.geodata.gml = m_gml->isChecked();
    order.geodata.shapefile = m_shapefile->isChecked();
    order.reports = m_report->isChecked();
    order.replace = order.geodata.replace = m_replace->isChecked();
    order.bag = m_bag->isChecked();
    order.geodata.gather.leastStage = static_cast<Stage>(m_stage->currentData().toInt());
    if (m_laid->isChecked())
        order.laid = LaidOrder{m_cloud->isChecked(), m_world->isChecked()};
    if (m_plans->wanted())
        order.plans = m_plans->order();
    return order;
}

void HandOverPage::setBusy(bool busy)
{
    for (QPushButton* each : {m_start, m_verify})
        each->setEnabled(!busy);
    m_plans->setBusy(busy);
    m_database->setBusy(busy);
    m_progress->setVisible(busy);
    m_cancel->setVisible(busy);
}

void HandOverPage::begin()
{
    setBusy(true);
    m_toldOf = true;
    m_progress->setValue(0);
    m_outcome->clear();
}

void HandOverPage::start()
{
    if (!m_session.isOpen() || m_work->running())
        return;
    if (!folderNamed())
        return;
    keepDepositWords();
    const HandOverOrder wanted = order();
    begin();
    m_work->handOver(m_session.project().file(), wanted);
}

bool HandOverPage::folderNamed()
{
    if (!m_folder->text().isEmpty())
        return true;
    m_toldOf = true;
    m_outcome->setHtml(tr("<b>! Name a folder first.</b>"));
    m_folder->setFocus();
    return false;
}

void HandOverPage::preview()
{
    if (!m_session.isOpen() || m_work->running())
        return;
    begin();
    m_work->preview(m_session.project().file(), m_plans->order());
}

void HandOverPage::verify()
{
    if (!m_session.isOpen() || m_work->running() || !folderNamed())
        return;
    begin();
    m_work->verify(m_session.project().file(), m_folder->path());
}

void HandOverPage::push(bool dryRun)
{
    if (!m_session.isOpen() || m_work->running())
        return;
    const DatabaseSettings settings = m_database->settings(dryRun);
    if (settings.service.empty()) {
        m_toldOf = true;
        m_outcome->setHtml(tr("<b>! Name the database's service first.</b>"));
        m_database->askForService();
        return;
    }
    pushWith(settings);
}

void HandOverPage::pushWith(const DatabaseSettings& settings)
{
    m_pushing = settings;
    m_pushing.password.clear(); // the work alone has it, and lets it go
    begin();
    m_work->push(m_session.project().file(), settings);
}

void HandOverPage::askPassword()
{
    auto* dialog = new QInputDialog(this);
    dialog->setObjectName("databasePassword");
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    dialog->setWindowTitle(tr("Site database"));
    dialog->setLabelText(tr("Password for %1; it is not kept").arg(words(m_pushing.service)));
    dialog->setTextEchoMode(QLineEdit::Password);
    connect(dialog, &QInputDialog::textValueSelected, this, [this](const QString& password) {
        if (password.isEmpty() || m_work->running())
            return;
        DatabaseSettings settings = m_pushing;
        settings.password = password.toStdString();
        pushWith(settings);
    });
    present(dialog);
}

void HandOverPage::finished(const HandOverWords& said)
{
    setBusy(false);
    if (said.wantsPassword)
        askPassword();
    QString html = !said.done   ? tr("<p><b>! Not done: %1</b></p>").arg(said.trouble.toHtmlEscaped())
                   : said.fault ? tr("<p><b>! %1</b></p>").arg(said.headline.toHtmlEscaped())
                                : tr("<p><b>✓ %1</b></p>").arg(said.headline.toHtmlEscaped());
    html += list(tr("Mind:"), said.remarks);
    html += list(tr("%n in all:", nullptr, static_cast<int>(said.files.size())), said.files);
    m_outcome->setHtml(html);
}

} // namespace inkpeg
