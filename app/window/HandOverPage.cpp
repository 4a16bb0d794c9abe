// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/HandOverPage.h"

#include <QCheckBox>
#include <QComboBox>
#include <QGridLayout>
#include <QInputDialog>
#include <QLabel>
#include <QLineEdit>
#include <QLocale>
#include <QProgressBar>
#include <QPushButton>
#include <QTextBrowser>
#include <QVBoxLayout>

#include "app/window/PathField.h"
#include "app/window/PlanPreview.h"
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

QString list(const QString& heading, const QStringList& lines)
{
    if (lines.isEmpty())
        return {};
    QString html = "<p>" + heading.toHtmlEscaped() + "</p><ul>";
    for (const QString& line : lines)
        html += "<li>" + line.toHtmlEscaped() + "</li>";
    return html + "</ul>";
}

} // namespace

HandOverPage::HandOverPage(Session& session, QWidget* parent)
    : QWidget(parent), m_session(session), m_work(new HandOverWork(this)),
      m_folder(new PathField(PathField::Chooses::Folder, tr("Folder to hand over into"), {}, this)),
      m_progress(new QProgressBar(this)), m_outcome(new QTextBrowser(this))
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
    choices->addLayout(makePlanChoices());
    choices->addLayout(makeDepositFields());
    m_replace = choice(tr("Replace a former hand-over in that folder"),
                       tr("Otherwise a folder that is taken is refused"), false);
    choices->addWidget(caption(tr("&Folder"), m_folder->field(), this));
    choices->addWidget(m_folder);
    choices->addWidget(m_replace);
    choices->addLayout(makeActs());
    choices->addLayout(makeDatabaseFields());
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
        shown->open();
    });
    connect(&session, &Session::projectChanged, this, [this] {
        if (m_session.isOpen() && m_folder->text().isEmpty())
            m_folder->setText(words((m_session.project().file().parent_path() / "hand-over").string()));
        refresh();
    });
    connect(&session, &Session::recordsChanged, this, &HandOverPage::refresh);
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
    auto* grid = new QGridLayout;
    grid->setHorizontalSpacing(22);
    int at = 0;
    for (QCheckBox* box :
         {m_geoPackage, m_geoJson, m_csv, m_gml, m_shapefile, m_report, m_laid, m_cloud, m_world, m_bag}) {
        grid->addWidget(box, at / 3, at % 3);
        ++at;
    }
    grid->setColumnStretch(3, 1);
    return grid;
}

QLayout* HandOverPage::makePlanChoices()
{
    m_plans =
        choice(tr("&Plans and sections"), tr("plans/: print-ready at an exact scale, PDF and SVG"), false);
    m_paper = new QComboBox(this);
    m_paper->setObjectName("planPaper");
    m_paper->setToolTip(tr("Paper of the plans"));
    for (const PaperSize paper :
         {PaperSize::A4, PaperSize::A3, PaperSize::A2, PaperSize::A1, PaperSize::A0})
        m_paper->addItem(words(paperName(paper)));
    m_paper->setCurrentIndex(1);
    m_scale = new QComboBox(this);
    m_scale->setObjectName("planScale");
    m_scale->setToolTip(tr("Scale of the plans; what does not fit is named, not shrunk"));
    m_scale->addItem(tr("largest that fits"), 0.0);
    for (const double scale : customaryScales())
        m_scale->addItem("1:" + words(exact(scale)), scale);
    m_standing = choice(tr("upright"), tr("The paper upright instead of lying"), false);
    m_eachContext = choice(tr("each context"), tr("A plan of each single context as well"), false);
    m_eachPeriod = choice(tr("each period"), tr("A plan of each trench and period as well"), false);
    m_finds =
        choice(tr("surveyed finds"), tr("Finds, samples and timbers where they were surveyed"), false);
    m_preview =
        button(tr("Pre&view…"), tr("Shows the pages and writes nothing (Ctrl+Shift+V)"), "planPreview");
    connect(m_preview, &QPushButton::clicked, this, &HandOverPage::preview);
    auto* row = new QGridLayout;
    row->setHorizontalSpacing(14);
    row->addWidget(m_plans, 0, 0);
    row->addWidget(m_paper, 0, 1);
    row->addWidget(m_scale, 0, 2);
    row->addWidget(m_standing, 0, 3);
    row->addWidget(m_preview, 0, 4);
    row->addWidget(m_eachContext, 1, 1);
    row->addWidget(m_eachPeriod, 1, 2);
    row->addWidget(m_finds, 1, 3, 1, 2);
    row->setColumnStretch(5, 1);
    return row;
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
    m_progress->setRange(0, 1000);
    m_progress->hide();
    m_cancel->hide();
    connect(m_start, &QPushButton::clicked, this, &HandOverPage::start);
    connect(m_cancel, &QPushButton::clicked, m_work, &HandOverWork::cancel);
    auto* acts = new QHBoxLayout;
    acts->addWidget(m_start);
    acts->addWidget(m_cancel);
    acts->addWidget(m_progress, 1);
    acts->addStretch(0);
    return acts;
}

QLayout* HandOverPage::makeDatabaseFields()
{
    m_service = new QLineEdit(this);
    m_service->setObjectName("databaseService");
    m_service->setPlaceholderText(tr("name in the connection service file"));
    m_service->setToolTip(
        tr("Where the database is, the service file says (PGSERVICEFILE); the password comes from the "
           "password file (PGPASSFILE) or is asked for, and is never kept"));
    m_dryRun =
        button(tr("Dr&y run"), tr("Counts what would change in the site database; leaves it as it is"),
               "databaseDryRun");
    m_push = button(tr("P&ush"), tr("Writes what is signed off into the site database, in one transaction"),
                    "databasePush");
    connect(m_dryRun, &QPushButton::clicked, this, [this] { push(true); });
    connect(m_push, &QPushButton::clicked, this, [this] { push(false); });
    auto* row = new QGridLayout;
    row->addWidget(
        caption(tr("&Site database (PostgreSQL with PostGIS): what is signed off"), m_service, this), 0, 0,
        1, 3);
    row->addWidget(m_service, 1, 0);
    row->addWidget(m_dryRun, 1, 1);
    row->addWidget(m_push, 1, 2);
    return row;
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
    if (m_laid->isChecked())
        order.laid = LaidOrder{m_cloud->isChecked(), m_world->isChecked()};
    PlansOrder plans;
    plans.sheet.paper = static_cast<PaperSize>(m_paper->currentIndex());
    plans.sheet.standing = m_standing->isChecked();
    if (const double scale = m_scale->currentData().toDouble(); scale > 0)
        plans.sheet.scaleDenominator = scale;
    plans.eachContext = m_eachContext->isChecked();
    plans.eachPeriod = m_eachPeriod->isChecked();
    plans.choice.surveyedFinds = m_finds->isChecked();
    if (m_plans->isChecked())
        order.plans = plans;
    return order;
}

void HandOverPage::refresh()
{
    m_cloud->setEnabled(m_laid->isChecked());
    m_world->setEnabled(m_laid->isChecked());
    if (!m_session.isOpen() || m_work->running() || !isVisible())
        return;
    const ProjectFacts facts = m_session.project().facts();
    if (!m_rights->hasFocus())
        m_rights->setText(words(facts.rights));
    if (!m_depositor->hasFocus())
        m_depositor->setText(words(facts.depositor));
    const HandOverForecast said = forecast(m_session.project(), order());
    QStringList parts, unfinished;
    for (const auto& [what, about] : said.parts)
        parts << words(what) + ": " + words(about);
    for (const std::string& line : said.unfinished)
        unfinished << words(line);
    QString html = "<p><b>" +
                   tr("To be written, about %1")
                       .arg(QLocale().formattedDataSize(static_cast<qint64>(said.bytes)))
                       .toHtmlEscaped() +
                   "</b></p>";
    html += list(tr("In %1:").arg(m_folder->text()), parts);
    html += unfinished.isEmpty() ? "<p>" + tr("✓ Nothing is unfinished.").toHtmlEscaped() + "</p>"
                                 : list(tr("! Unfinished:"), unfinished);
    m_outcome->setHtml(html);
}

void HandOverPage::showEvent(QShowEvent* event)
{
    QWidget::showEvent(event);
    refresh();
}

void HandOverPage::keepDepositWords()
{
    if (!m_session.isOpen() || !m_session.canWrite())
        return;
    const ProjectFacts facts = m_session.project().facts();
    if (words(facts.rights) != m_rights->text() || words(facts.depositor) != m_depositor->text())
        m_session.setDepositWords(m_rights->text(), m_depositor->text());
}

void HandOverPage::begin()
{
    for (QPushButton* each : {m_start, m_preview, m_dryRun, m_push})
        each->setEnabled(false);
    m_progress->setValue(0);
    m_progress->show();
    m_cancel->show();
    m_outcome->clear();
}

void HandOverPage::start()
{
    if (!m_session.isOpen() || m_work->running())
        return;
    if (m_folder->text().isEmpty()) {
        m_outcome->setHtml(tr("<b>! Name a folder first.</b>"));
        m_folder->setFocus();
        return;
    }
    keepDepositWords();
    const HandOverOrder wanted = order();
    begin();
    m_work->handOver(m_session.project().file(), wanted);
}

void HandOverPage::preview()
{
    if (!m_session.isOpen() || m_work->running())
        return;
    const bool before = m_plans->isChecked();
    m_plans->setChecked(true);
    const PlansOrder wanted = *order().plans;
    m_plans->setChecked(before);
    begin();
    m_work->preview(m_session.project().file(), wanted);
}

void HandOverPage::push(bool dryRun)
{
    if (!m_session.isOpen() || m_work->running())
        return;
    m_pushing = {};
    m_pushing.service = m_service->text().trimmed().toStdString();
    m_pushing.dryRun = dryRun;
    if (m_pushing.service.empty()) {
        m_outcome->setHtml(tr("<b>! Name the database's service first.</b>"));
        m_service->setFocus();
        return;
    }
    begin();
    m_work->push(m_session.project().file(), m_pushing);
}

void HandOverPage::finished(const HandOverWords& said)
{
    for (QPushButton* each : {m_start, m_preview, m_dryRun, m_push})
        each->setEnabled(true);
    m_progress->hide();
    m_cancel->hide();
    if (said.wantsPassword && m_pushing.password.empty()) {
        bool given = false;
        const QString password = QInputDialog::getText(
            this, tr("Site database"), tr("Password for %1; it is not kept").arg(words(m_pushing.service)),
            QLineEdit::Password, {}, &given);
        if (given && !password.isEmpty()) {
            m_pushing.password = password.toStdString();
            begin();
            m_work->push(m_session.project().file(), m_pushing);
            m_pushing.password.clear();
            return;
        }
    }
    QString html = said.done ? tr("<p><b>✓ %1</b></p>").arg(said.headline.toHtmlEscaped())
                             : tr("<p><b>! Not done: %1</b></p>").arg(said.trouble.toHtmlEscaped());
    html += list(tr("Mind:"), said.remarks);
    html += list(tr("%n in all:", nullptr, static_cast<int>(said.files.size())), said.files);
    m_outcome->setHtml(html);
}

} // namespace inkpeg
