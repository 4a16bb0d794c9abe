// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/SequencePage.h"

#include <QComboBox>
#include <QFileDialog>
#include <QHBoxLayout>
#include <QLabel>
#include <QPushButton>
#include <QSignalBlocker>
#include <QVBoxLayout>

#include "app/print/SequencePainting.h"
#include "app/print/WholeFile.h"
#include "app/window/Present.h"
#include "app/window/Words.h"

namespace inkpeg {

SequencePage::SequencePage(Session& session, QWidget* parent)
    : QWidget(parent), m_session(session), m_trench(new QComboBox(this)), m_words(new QLabel(this)),
      m_remarks(new QLabel(this)), m_export(new QPushButton(tr("E&xport…"), this)),
      m_view(new SequenceView(this))
{
    setObjectName("page");
    auto* heading = new QLabel(tr("Stratigraphic sequence"), this);
    heading->setObjectName("heading");
    m_trench->setAccessibleName(tr("Trench of the diagram"));
    m_trench->setToolTip(tr("The whole site, or one trench"));
    m_words->setObjectName("faint");
    m_words->setWordWrap(true);
    m_trench->setSizeAdjustPolicy(QComboBox::AdjustToContents);
    m_remarks->setWordWrap(true);
    m_remarks->setTextInteractionFlags(Qt::TextSelectableByMouse);
    m_export->setToolTip(tr("Write the diagram as PDF or SVG (Ctrl+Shift+E)"));
    auto* strip = new QHBoxLayout;
    strip->addWidget(heading);
    strip->addSpacing(12);
    strip->addWidget(m_trench);
    strip->addStretch(1);
    strip->addWidget(m_export);
    auto* layout = new QVBoxLayout(this);
    layout->setContentsMargins(18, 12, 12, 8);
    layout->addLayout(strip);
    layout->addWidget(m_words);
    layout->addWidget(m_remarks);
    layout->addWidget(m_view, 1);
    setFocusProxy(m_view);
    m_pool.setMaxThreadCount(1);
    connect(m_trench, &QComboBox::activated, this, [this] {
        m_fresh = true;
        draw();
    });
    connect(m_export, &QPushButton::clicked, this, &SequencePage::askExport);
    connect(m_view, &SequenceView::unitActivated, this, [this](std::size_t unit) {
        emit contextActivated(words(m_view->diagram().units[unit].contexts.front()));
    });
    connect(&session, &Session::projectChanged, this, [this] {
        ++m_generation;
        m_fresh = true;
        m_view->setDiagram({});
        listTrenches();
    });
    connect(&session, &Session::recordsChanged, this, [this] {
        listTrenches();
        if (isVisible())
            draw();
    });
}

SequencePage::~SequencePage()
{
    ++m_generation;
    m_pool.waitForDone();
}

void SequencePage::showEvent(QShowEvent*)
{
    draw();
}

QString SequencePage::trench() const
{
    return m_trench->currentData().toString();
}

void SequencePage::listTrenches()
{
    const QSignalBlocker quiet(m_trench);
    const QString kept = trench();
    m_trench->clear();
    m_trench->addItem(tr("whole site"), QString());
    if (m_session.isOpen())
        for (const Trench& each : m_session.project().all<Trench>())
            m_trench->addItem(tr("trench %1").arg(words(each.name)), words(each.name));
    m_trench->setCurrentIndex(std::max(0, m_trench->findData(kept)));
}

void SequencePage::draw()
{
    if (!m_session.isOpen())
        return;
    m_running = true;
    m_words->setText(tr("drawing…"));
    const int generation = ++m_generation;
    m_pool.clear();
    m_pool.start([this, generation, contexts = m_session.project().all<Context>(),
                  relations = m_session.project().all<Relation>(), asked = trench().toStdString()] {
        SequenceDiagram diagram = drawSequence(contexts, relations, {asked});
        QMetaObject::invokeMethod(
            this,
            [this, generation, diagram = std::move(diagram)]() mutable {
                arrived(generation, std::move(diagram));
            },
            Qt::QueuedConnection);
    });
}

void SequencePage::arrived(int generation, SequenceDiagram diagram)
{
    if (generation != m_generation)
        return;
    m_running = false;
    m_words->setText(tr("%1 boxes, %2 lines, %3 crossings · the latest above · arrows walk, Enter leads to "
                        "the board, 0 shows all")
                         .arg(diagram.units.size())
                         .arg(diagram.lines.size())
                         .arg(diagram.crossings));
    QStringList lines;
    for (const std::string& remark : sequenceRemarks(diagram))
        lines << words(remark);
    m_remarks->setText(lines.join('\n'));
    m_remarks->setVisible(!lines.isEmpty());
    m_export->setEnabled(!diagram.units.empty());
    m_view->setDiagram(std::move(diagram));
    if (std::exchange(m_fresh, false))
        m_view->showAll();
}

void SequencePage::askExport()
{
    auto* dialog = new QFileDialog(this, tr("Export the diagram"));
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    dialog->setAcceptMode(QFileDialog::AcceptSave);
    dialog->setNameFilters({tr("PDF (*.pdf)"), tr("SVG (*.svg)")});
    dialog->setDefaultSuffix("pdf");
    connect(dialog, &QFileDialog::filterSelected, dialog, [dialog](const QString& filter) {
        dialog->setDefaultSuffix(filter.contains("svg") ? "svg" : "pdf");
    });
    connect(dialog, &QFileDialog::fileSelected, this, &SequencePage::exportTo);
    present(dialog);
}

bool SequencePage::exportTo(const QString& file)
{
    const ProjectFacts facts = m_session.project().facts();
    const std::vector<JournalEntry> journal = m_session.project().journal();
    const SequenceTitle title{facts.siteCode, facts.title, trench().toStdString(),
                              journal.empty() ? std::string() : journal.back().at};
    const bool svg = file.endsWith(".svg", Qt::CaseInsensitive);
    if (!svg && !file.endsWith(".pdf", Qt::CaseInsensitive)) {
        emit m_session.said(tr("%1: the name has to end in .pdf or .svg").arg(file), true);
        return false;
    }
    const Result<void> written =
        writeWhole(file.toStdString(),
                   svg ? sequenceSvg(m_view->diagram(), title) : sequencePdf(m_view->diagram(), title));
    emit m_session.said(written ? tr("The diagram is in %1").arg(file) : words(written.error().message),
                        !written);
    return static_cast<bool>(written);
}

} // namespace inkpeg
