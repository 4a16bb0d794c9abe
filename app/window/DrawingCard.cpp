// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/DrawingCard.h"

#include <QCheckBox>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QVBoxLayout>

#include "app/window/PathField.h"
#include "app/window/Words.h"

namespace inkpeg {

DrawingCard::DrawingCard(Session& session, QWidget* parent)
    : QWidget(parent), m_session(session), m_heading(new QLabel(this)), m_facts(new QLabel(this)),
      m_scanState(new QLabel(this)),
      m_scan(new PathField(PathField::Chooses::FileToOpen, tr("Scan"),
                           tr("Scans (*.tif *.tiff *.jpg *.jpeg *.png)"), this)),
      m_faceDown(new QCheckBox(tr("The film lay fac&e down"), this)),
      m_give(new QPushButton(tr("Give the sheet this scan"), this))
{
    m_heading->setObjectName("subheading");
    for (QLabel* label : {m_heading, m_facts, m_scanState}) {
        label->setWordWrap(true);
        label->setTextInteractionFlags(Qt::TextSelectableByMouse);
    }
    m_scan->field()->setObjectName("scanFile");
    m_scan->field()->setPlaceholderText(tr("TIFF, JPEG or PNG"));
    m_give->setToolTip(tr("The file stays where it is; the project keeps its path and its SHA-256"));
    auto* scanCaption = new QLabel(tr("Sc&an of the sheet"), this);
    scanCaption->setObjectName("subheading");
    scanCaption->setBuddy(m_scan->field());
    auto* layout = new QVBoxLayout(this);
    layout->addWidget(m_heading);
    layout->addWidget(m_facts);
    layout->addSpacing(14);
    layout->addWidget(scanCaption);
    layout->addWidget(m_scanState);
    layout->addWidget(m_scan);
    layout->addWidget(m_faceDown);
    layout->addWidget(m_give, 0, Qt::AlignLeft);
    layout->addStretch(1);
    const auto give = [this] {
        if (!m_scan->text().isEmpty() && m_session.setScan(m_scan->path(), m_faceDown->isChecked()))
            m_scan->setText({});
    };
    connect(m_give, &QPushButton::clicked, this, give);
    connect(m_scan, &PathField::accepted, this, give);
    connect(m_scan, &PathField::changed, this,
            [this] { m_give->setEnabled(!m_scan->text().isEmpty() && m_session.canWrite()); });
    connect(&session, &Session::projectChanged, this, &DrawingCard::refresh);
    connect(&session, &Session::recordsChanged, this, &DrawingCard::refresh);
    connect(&session, &Session::drawingChosen, this, &DrawingCard::refresh);
    refresh();
}

QString DrawingCard::facts(const Drawing& drawing) const
{
    QString text = "<table cellspacing='0' cellpadding='2'>";
    const auto row = [&](const QString& name, const QString& value) {
        if (!value.isEmpty())
            text += QString("<tr><td>%1&nbsp;&nbsp;</td><td><b>%2</b></td></tr>")
                        .arg(name, value.toHtmlEscaped());
    };
    row(tr("Title"), words(drawing.title));
    row(tr("Kind"), drawingKindWord(drawing.kind));
    row(tr("Scale"), scaleWords(drawing.scaleDenominator));
    row(tr("Trench"), words(drawing.trench));
    row(tr("Sheet"), words(drawing.sheet));
    row(tr("Drawn by"), words(drawing.drawnBy));
    row(tr("Drawn on"), words(drawing.drawnOn));
    row(tr("Facing"), words(drawing.facing));
    if (drawing.datumM)
        row(tr("Datum line"), tr("%1 m").arg(*drawing.datumM, 0, 'f', 3));
    row(tr("Fitted by"), words(modelName(drawing.model)));
    row(tr("Stage"), stageWord(drawing.stage));
    row(tr("Note"), words(drawing.note));
    return text + "</table>";
}

void DrawingCard::refresh()
{
    const auto& drawing = m_session.scene().drawing;
    setEnabled(drawing.has_value());
    m_give->setEnabled(false);
    if (!drawing) {
        m_heading->setText(tr("No drawing at hand"));
        m_facts->setText(tr("Choose one in the plan chest."));
        m_scanState->clear();
        return;
    }
    m_heading->setText(tr("Drawing %1").arg(words(drawing->record.number)));
    m_facts->setText(facts(drawing->record));
    if (drawing->scanFile.empty())
        m_scanState->setText(tr("None yet."));
    else if (drawing->widthPx == 0)
        m_scanState->setText(
            tr("<b>Missing:</b> %1").arg(words(drawing->scanFile.string()).toHtmlEscaped()));
    else
        m_scanState->setText(tr("%1 · %2 × %3 px · %4 dpi%5")
                                 .arg(words(drawing->scanFile.filename().string()).toHtmlEscaped())
                                 .arg(drawing->widthPx)
                                 .arg(drawing->heightPx)
                                 .arg(drawing->film.dpiX, 0, 'f', 0)
                                 .arg(drawing->film.faceDown ? tr(" · face down") : QString()));
}

} // namespace inkpeg
