// SPDX-License-Identifier: GPL-3.0-or-later
// How the drawing at hand is looked at, and the preparing of scans for quick looking.
#include <algorithm>
#include <cmath>

#include <QLabel>
#include <QMenu>

#include "app/window/MainWindow.h"
#include "app/window/ViewMemory.h"
#include "app/window/ViewPanel.h"
#include "app/window/Words.h"

namespace inkpeg {
namespace {

constexpr int toneSteps = 10; // from as scanned to the most

double stepped(double value, int steps, double least)
{
    return std::clamp((std::round(value * toneSteps) + steps) / toneSteps, least, 1.0);
}

} // namespace

void MainWindow::addViewActs(QMenu* menu)
{
    const QList<Station> onBoard{Station::Peg, Station::Trace, Station::Check};
    using ViewChange = std::function<void(ViewSettings&)>;
    const auto addChange = [&](const char* name, const QString& text, const QKeySequence& key,
                               const QString& tip, const ViewChange& change) {
        add(menu, {name,
                   text,
                   {key},
                   tip,
                   [this, change] {
                       ViewSettings view = m_view;
                       change(view);
                       setView(view);
                   },
                   onBoard,
                   true});
    };
    add(menu, {"viewPanel",
               tr("&View of this drawing…"),
               {QKeySequence("V")},
               tr("Ink strength, brightness, contrast, turning and mirroring; only what is seen changes"),
               [this] {
                   if (m_session->scene().drawing)
                       m_viewPanel->toggle();
               },
               onBoard,
               true});
    const auto turnBy = [](double degrees) {
        return [degrees](ViewSettings& view) {
            view.turnDegrees = std::remainder(view.turnDegrees + degrees, 360);
        };
    };
    addChange("turnLeft", tr("Turn the film to the &left"), QKeySequence("Ctrl+Left"),
              tr("Turn the film a quarter to the left"), turnBy(-90));
    addChange("turnRight", tr("Turn the film to the &right"), QKeySequence("Ctrl+Right"),
              tr("Turn the film a quarter to the right"), turnBy(90));
    addChange("mirror", tr("&Mirror the film"), QKeySequence("Ctrl+M"), tr("Show the film from behind"),
              [](ViewSettings& view) { view.mirrored = !view.mirrored; });
    struct Tone {
        const char *more, *less;
        QString moreText, lessText, moreTip, lessTip;
        const char* modifier;
        double FilmTone::*value;
        double least;
    };
    const Tone tones[] = {
        {"inkStronger", "inkWeaker", tr("Ink &stronger"), tr("Ink &weaker"), tr("Make faint pencil darker"),
         tr("Make the ink less strong"), "", &FilmTone::inkStrength, 0},
        {"brighter", "darker", tr("&Brighter"), tr("&Darker"), tr("Make the film brighter"),
         tr("Make the film darker"), "Ctrl+", &FilmTone::brightness, -1},
        {"moreContrast", "lessContrast", tr("&More contrast"), tr("&Less contrast"),
         tr("Lights and darks farther apart"), tr("Lights and darks closer together"), "Shift+",
         &FilmTone::contrast, -1}};
    for (const Tone& tone : tones)
        for (const bool more : {true, false})
            addChange(more ? tone.more : tone.less, more ? tone.moreText : tone.lessText,
                      QKeySequence(QString(tone.modifier) + (more ? "PgUp" : "PgDown")),
                      more ? tone.moreTip : tone.lessTip,
                      [value = tone.value, least = tone.least, more](ViewSettings& view) {
                          view.tone.*value = stepped(view.tone.*value, more ? 1 : -1, least);
                      });
    addChange("asScanned", tr("As s&canned"), QKeySequence("Ctrl+0"),
              tr("Neither turned nor mirrored nor brightened"), [](ViewSettings& view) { view = {}; });
    menu->addSeparator();
    add(menu, {"prepareScans",
               tr("&Prepare scans, or stop it"),
               {QKeySequence("Ctrl+Alt+B")},
               tr("Stop preparing scans for quick looking, or go on with it; nothing half made stays"),
               [this] {
                   const bool wanted = !m_board->shelf().buildingWanted();
                   m_board->shelf().setBuildingWanted(wanted);
                   say(wanted ? tr("Scans are prepared for quick looking")
                              : tr("Scans are not prepared: large ones show more slowly"),
                       false);
               },
               onBoard});
    menu->addSeparator();
}

void MainWindow::connectView()
{
    m_viewPanel = new ViewPanel(m_board);
    connect(m_viewPanel, &ViewPanel::changed, this, &MainWindow::setView);
    connect(&m_board->shelf(), &ScanShelf::buildingShare, this, [this](double share, const QString& name) {
        m_preparingLabel->setVisible(share < 1);
        m_preparingLabel->setText(
            tr("Preparing %1: %2 %").arg(name).arg(static_cast<int>(std::floor(share * 100))));
    });
    m_preparingLabel->setObjectName("faint");
    m_preparingLabel->setToolTip(
        tr("The scan is made ready for quick looking, beside the project; Ctrl+Alt+B stops"));
    m_preparingLabel->hide();
}

void MainWindow::setView(const ViewSettings& view)
{
    const auto& drawing = m_session->scene().drawing;
    if (!drawing)
        return;
    m_view = view;
    rememberView(m_session->project().file(), drawing->record.number, view);
    m_viewPanel->setSettings(view);
    m_board->setViewSettings(view);
    refreshBoardStrip();
}

/// The drawing at hand is another one: it is seen as it was left.
void MainWindow::recallView()
{
    const auto& drawing = m_session->scene().drawing;
    const std::string number = drawing ? drawing->record.number : std::string();
    if (number == m_viewOf)
        return;
    m_viewOf = number;
    m_view = drawing ? rememberedView(m_session->project().file(), number) : ViewSettings{};
    m_viewPanel->setSettings(m_view);
    if (!drawing && m_viewPanel->isVisible())
        m_viewPanel->toggle();
}

QString MainWindow::viewWords() const
{
    QStringList said;
    if (m_view.mirrored)
        said << tr("mirrored");
    if (m_view.turnDegrees != 0)
        said << tr("turned %1°").arg(m_view.turnDegrees);
    if (m_view.tone.inkStrength > 0)
        said << tr("ink +%1").arg(std::lround(m_view.tone.inkStrength * 100));
    return said.isEmpty() ? QString() : tr(" · ") + said.join(", ");
}

} // namespace inkpeg
