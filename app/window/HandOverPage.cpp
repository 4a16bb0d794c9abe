// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/HandOverPage.h"

#include <QCheckBox>
#include <QGridLayout>
#include <QLabel>
#include <QLineEdit>
#include <QProgressBar>
#include <QPushButton>
#include <QTextBrowser>
#include <QVBoxLayout>

#include "app/window/PathField.h"
#include "app/window/Words.h"

namespace inkpeg {

HandOverPage::HandOverPage(Session& session, QWidget* parent)
    : QWidget(parent), m_session(session), m_work(new HandOverWork(this)), m_state(new QLabel(this)),
      m_folder(new PathField(PathField::Chooses::Folder, tr("Folder to hand over into"), {}, this)),
      m_geoPackage(choice(tr("&GeoPackage"),
                          tr("geodata.gpkg: every layer, each vertex with its standard error"), true)),
      m_geoJson(choice(tr("Geo&JSON"), tr("geojson/: longitude and latitude, RFC 7946"), true)),
      m_csv(choice(tr("&CSV"), tr("csv/: a table for each layer, places as well-known text"), true)),
      m_gml(choice(tr("G&ML"), tr("geodata.gml"), false)),
      m_shapefile(choice(tr("&Shapefile"), tr("shapefile/: one for each layer"), false)),
      m_report(choice(tr("&Residual report, PDF and HTML"),
                      tr("How each drawing lies on its pegs, with the picture of its residual arrows"),
                      true)),
      m_replace(choice(tr("Re&place a former hand-over in that folder"),
                       tr("Otherwise a folder that is taken is refused"), false)),
      m_start(new QPushButton(tr("&Hand over"), this)), m_cancel(new QPushButton(tr("Cancel"), this)),
      m_progress(new QProgressBar(this)), m_outcome(new QTextBrowser(this))
{
    setObjectName("page");
    auto* heading = new QLabel(tr("Hand over"), this);
    heading->setObjectName("heading");
    m_state->setWordWrap(true);
    m_folder->field()->setObjectName("handOverFolder");
    m_folder->field()->setPlaceholderText(tr("a folder that is not there yet"));
    m_start->setObjectName("chief");
    m_start->setToolTip(tr("Writes everything chosen; the folder is complete or not there at all"));
    m_cancel->setToolTip(tr("Stops; nothing half written stays behind"));
    m_progress->setRange(0, 1000);
    m_progress->hide();
    m_cancel->hide();
    m_outcome->setAccessibleName(tr("What was written"));
    m_outcome->setPlaceholderText(tr("What was written, and what stayed behind, is told here."));
    setFocusProxy(m_folder);

    auto* folderCaption = new QLabel(tr("&Folder"), this);
    folderCaption->setBuddy(m_folder->field());
    auto* choices = new QGridLayout;
    choices->setHorizontalSpacing(26);
    choices->addWidget(m_geoPackage, 0, 0);
    choices->addWidget(m_geoJson, 0, 1);
    choices->addWidget(m_csv, 0, 2);
    choices->addWidget(m_gml, 1, 0);
    choices->addWidget(m_shapefile, 1, 1);
    choices->addWidget(m_report, 1, 2);
    choices->setColumnStretch(3, 1);
    auto* acts = new QHBoxLayout;
    acts->addWidget(m_start);
    acts->addWidget(m_cancel);
    acts->addWidget(m_progress, 1);
    acts->addStretch(0);
    auto* layout = new QVBoxLayout(this);
    layout->setContentsMargins(28, 22, 28, 18);
    layout->setSpacing(12);
    layout->addWidget(heading);
    layout->addWidget(m_state);
    layout->addLayout(choices);
    layout->addWidget(folderCaption);
    layout->addWidget(m_folder);
    layout->addWidget(m_replace);
    layout->addLayout(acts);
    layout->addWidget(m_outcome, 1);

    connect(m_start, &QPushButton::clicked, this, &HandOverPage::start);
    connect(m_folder, &PathField::accepted, this, [this] { m_start->setFocus(); });
    connect(m_cancel, &QPushButton::clicked, m_work, &HandOverWork::cancel);
    connect(m_work, &HandOverWork::progressed, this,
            [this](double share) { m_progress->setValue(static_cast<int>(share * 1000)); });
    connect(m_work, &HandOverWork::finished, this, &HandOverPage::finished);
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
    return box;
}

void HandOverPage::refresh()
{
    if (!m_session.isOpen())
        return;
    int byStage[6] = {};
    for (const Drawing& drawing : m_session.project().all<Drawing>())
        ++byStage[static_cast<int>(drawing.stage)];
    QStringList parts;
    for (int i = 0; i < 6; ++i)
        if (byStage[i] > 0)
            parts << tr("%1 %2").arg(byStage[i]).arg(stageWord(static_cast<Stage>(i)));
    m_state->setText(
        tr("%1 outlines on %2. Drawings that are not pinned have no place on the ground and stay behind; "
           "the report names them.")
            .arg(m_session.project().all<Outline>().size())
            .arg(parts.isEmpty() ? tr("no drawings") : tr("drawings: %1").arg(parts.join(", "))));
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
    HandOverOrder order;
    order.project = m_session.project().file();
    order.folder = m_folder->path();
    order.geoPackage = m_geoPackage->isChecked();
    order.geoJson = m_geoJson->isChecked();
    order.csv = m_csv->isChecked();
    order.gml = m_gml->isChecked();
    order.shapefile = m_shapefile->isChecked();
    order.report = m_report->isChecked();
    order.replace = m_replace->isChecked();
    m_start->setEnabled(false);
    m_progress->setValue(0);
    m_progress->show();
    m_cancel->show();
    m_outcome->clear();
    m_work->start(order);
}

void HandOverPage::finished(const HandOverWords& said)
{
    m_start->setEnabled(true);
    m_progress->hide();
    m_cancel->hide();
    QString html;
    if (said.done)
        html = tr("<p><b>✓ Handed over into %1</b></p>").arg(m_folder->text().toHtmlEscaped());
    else
        html = tr("<p><b>! Not handed over: %1</b></p>").arg(said.trouble.toHtmlEscaped());
    if (!said.remarks.isEmpty()) {
        html += tr("<p>Mind:</p><ul>");
        for (const QString& remark : said.remarks)
            html += "<li>" + remark.toHtmlEscaped() + "</li>";
        html += "</ul>";
    }
    if (!said.files.isEmpty()) {
        html += tr("<p>%1 files:</p><ul>").arg(said.files.size());
        for (const QString& file : said.files)
            html += "<li>" + file.toHtmlEscaped() + "</li>";
        html += "</ul>";
    }
    m_outcome->setHtml(html);
}

} // namespace inkpeg
