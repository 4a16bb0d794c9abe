// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/SpaceWindow.h"

#include <algorithm>

#include <QAction>
#include <QComboBox>
#include <QDoubleSpinBox>
#include <QFileDialog>
#include <QHBoxLayout>
#include <QLabel>
#include <QPushButton>
#include <QSaveFile>
#include <QVBoxLayout>

#include "app/window/Words.h"

namespace inkpeg {

SpaceWindow::SpaceWindow(Session& session, QWidget* parent)
    : QDialog(parent), m_session(session), m_view(new SpaceView(this)), m_trench(new QComboBox(this)),
      m_sections(new QComboBox(this)), m_said(new QLabel(this))
{
    setWindowTitle(tr("View in space"));
    setWindowFlag(Qt::WindowMaximizeButtonHint);
    setAttribute(Qt::WA_DeleteOnClose);
    auto* above = new QPushButton(tr("From &above"), this);
    above->setToolTip(tr("Looks straight down, grid north up (A)"));
    auto* all = new QPushButton(tr("Show a&ll"), this);
    all->setToolTip(tr("Brings everything into the picture (0)"));
    auto* save = new QPushButton(tr("&Save as picture…"), this);
    save->setObjectName("chief");
    save->setShortcut(QKeySequence("Ctrl+S"));
    save->setToolTip(tr("Writes what is shown as PNG, twice as fine as on the screen (Ctrl+S)"));
    auto* taller = new QDoubleSpinBox(this);
    taller->setRange(1, 10);
    taller->setSingleStep(0.5);
    taller->setDecimals(1);
    taller->setPrefix(tr("levels × "));
    taller->setToolTip(tr("Draws levels so many times taller than they are"));
    taller->setAccessibleName(tr("Levels drawn taller"));
    m_trench->setToolTip(tr("The whole site, or one trench"));
    m_trench->setAccessibleName(tr("Trench shown"));
    m_trench->setSizeAdjustPolicy(QComboBox::AdjustToContents);
    m_sections->setSizeAdjustPolicy(QComboBox::AdjustToContents);
    m_sections->setToolTip(tr("Looks square at a section"));
    m_sections->setAccessibleName(tr("Look square at a section"));
    m_said->setObjectName("faint");
    m_said->setWordWrap(true);
    for (QPushButton* button : {above, all, save})
        button->setAutoDefault(false); // Enter belongs to the view

    auto* strip = new QHBoxLayout;
    for (QWidget* widget : std::initializer_list<QWidget*>{above, all, m_trench, m_sections, taller})
        strip->addWidget(widget);
    strip->addStretch(1);
    strip->addWidget(save);
    auto* layout = new QVBoxLayout(this);
    layout->addLayout(strip);
    layout->addWidget(m_view, 1);
    layout->addWidget(m_said);
    resize(960, 720);

    connect(above, &QPushButton::clicked, m_view, &SpaceView::lookFromAbove);
    connect(all, &QPushButton::clicked, m_view, &SpaceView::showAll);
    connect(save, &QPushButton::clicked, this, &SpaceWindow::askWhere);
    connect(taller, &QDoubleSpinBox::valueChanged, m_view, &SpaceView::setUpScale);
    connect(m_sections, &QComboBox::activated, this, [this](int index) {
        if (index > 0)
            m_view->faceSection(m_sections->itemText(index));
        m_view->setFocus();
    });
    connect(m_trench, &QComboBox::activated, this, [this] {
        showScene();
        m_view->setFocus();
    });
    connect(&session, &Session::recordsChanged, this, &SpaceWindow::refresh);
    connect(&session, &Session::projectChanged, this, &QDialog::close);
    refresh();
    m_view->setFocus();
}

void SpaceWindow::refresh()
{
    if (!m_session.isOpen())
        return;
    m_whole = spaceScene(m_session.project());
    const QString shown = m_trench->currentIndex() > 0 ? m_trench->currentData().toString() : QString();
    m_trench->clear();
    m_trench->addItem(tr("The whole site"));
    for (const std::string& trench : m_whole.trenches())
        m_trench->addItem(tr("Trench %1").arg(words(trench)), words(trench));
    m_trench->setCurrentIndex(shown.isEmpty() ? 0 : std::max(0, m_trench->findData(shown)));
    showScene();
}

void SpaceWindow::showScene()
{
    m_view->setScene(m_trench->currentIndex() > 0
                         ? m_whole.ofTrench(m_trench->currentData().toString().toStdString())
                         : m_whole);
    m_sections->clear();
    m_sections->addItem(tr("Square at section…"));
    for (const SpaceTrace& trace : m_view->scene().traces)
        m_sections->addItem(words(trace.drawing));
    QStringList said{tr("Drag turns · Shift and drag moves · the wheel zooms · arrow keys turn")};
    for (const std::string& remark : m_view->scene().remarks)
        said << words(remark);
    m_said->setText(said.mid(0, 3).join(tr(" · ")) + (said.size() > 3 ? tr(" · …") : QString()));
    m_said->setToolTip(said.join('\n'));
}

QString SpaceWindow::savePicture(const QString& file) const
{
    QSaveFile out(file);
    if (!out.open(QIODevice::WriteOnly) || !m_view->picture().save(&out, "PNG") || !out.commit())
        return tr("%1 cannot be written: %2").arg(file, out.errorString());
    return {};
}

void SpaceWindow::askWhere()
{
    QString file = QFileDialog::getSaveFileName(this, tr("Save as picture"), {}, tr("Pictures (*.png)"));
    if (file.isEmpty())
        return;
    if (!file.endsWith(".png", Qt::CaseInsensitive))
        file += ".png";
    const QString trouble = savePicture(file);
    m_said->setText(trouble.isEmpty() ? tr("Written: %1").arg(file) : trouble);
}

} // namespace inkpeg
