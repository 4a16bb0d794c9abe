// SPDX-License-Identifier: GPL-3.0-or-later
// The acts of the peg stage: their menu entries, keys and what they are for.
#include <string_view>

#include <QMenu>
#include <QMenuBar>
#include <QTableView>

#include "app/print/ResidualReport.h"
#include "app/window/MainWindow.h"
#include "app/window/Words.h"

namespace inkpeg {

void MainWindow::makePegMenu()
{
    QMenu* menu = menuBar()->addMenu(tr("Pegs"));
    const QList<Station> peg{Station::Peg};
    const auto onBoard = [&](const char* name, const QString& text, const QKeySequence& key,
                             const QString& tip, const std::function<void()>& run) {
        add(menu, {name, text, {key}, tip, run, peg, true});
    };
    onBoard("findGrid", tr("&Look for the grid"), QKeySequence("L"),
            tr("From two pinned neighbours: find all other crosses of the grid and the pegs they are"),
            [this] { m_pegGuide->findGrid(); });
    onBoard("nextPeg", tr("&Next peg"), QKeySequence("N"),
            tr("The next cross that was found, else the next peg that should lie on this drawing"),
            [this] { m_pegGuide->next(); });
    onBoard("acceptCross", tr("&Accept this cross"), QKeySequence("A"),
            tr("Pin the found cross at hand, doubtful or not"), [this] { m_pegGuide->acceptAtHand(); });
    onBoard("acceptCrosses", tr("Accept all &without doubt"), QKeySequence("Shift+A"),
            tr("Pin every found cross that is not doubtful"), [this] { m_pegGuide->acceptAll(); });
    onBoard("dropCrosses", tr("&Drop what was found"), QKeySequence("Shift+D"),
            tr("Forget the found crosses that are not pinned, and stop looking"),
            [this] { m_pegGuide->stopAndDrop(); });
    menu->addSeparator();
    onBoard("checkPoint", tr("&Check point or fit"), QKeySequence("C"),
            tr("Make the chosen pin a check point, or take it back into the fit"),
            [this] { m_pegGuide->toggleCheck(); });
    onBoard("leaveOut", tr("Leave &out or take in"), QKeySequence("O"),
            tr("Leave the chosen pin out, or take it back into the fit"),
            [this] { m_pegGuide->toggleLeftOut(); });
    onBoard("takeRemedy", tr("Take the likeliest &remedy"), QKeySequence("R"),
            tr("Do what would put the likeliest cause of wrong pins right; undo takes it back"),
            [this] { m_pegGuide->takeRemedy(); });
    onBoard("adviseModel", tr("Fit by the advised &model"), QKeySequence("M"),
            tr("Fit by the simplest model that is not significantly worse"),
            [this] { m_pegGuide->takeAdvisedModel(); });
    menu->addSeparator();
    onBoard("sharePins", tr("&Share the sheet's pins"), QKeySequence("H"),
            tr("Take over pins of the sheet's other drawings that lie on this one's part of it"),
            [this] { m_pegGuide->share(); });
    onBoard("drawFrame", tr("Draw the drawing's &part of the sheet"), QKeySequence("P"),
            tr("The next drag draws a rectangle round this drawing"),
            [this] { m_pegTool->setFraming(!m_pegTool->framing()); });
    onBoard("wholeSheet", tr("Give it the w&hole sheet"), QKeySequence("Shift+P"),
            tr("The drawing takes all of its sheet"), [this] { m_pegGuide->wholeSheet(); });
    add(menu, {"drawingReport",
               tr("&Write this drawing's residual report"),
               {QKeySequence("Ctrl+R")},
               tr("PDF, HTML, CSV and JSON of this drawing, into the folder residuals beside the project"),
               [this] { writeDrawingReport(); },
               peg});
    menu->addSeparator();
    onBoard(
        "errorEllipse", tr("Error &ellipse at the pointer"), QKeySequence("E"),
        tr("Show or hide the region that holds the true place with 95 %; as large as the arrows, its size "
           "in figures is that on the ground"),
        [this] { m_pegTool->setEllipseShown(!m_pegTool->ellipseShown()); });
    onBoard("errorSurface", tr("Standard error o&ver the sheet"), QKeySequence("Shift+E"),
            tr("Show or hide the standard error of the fit as shades with lines"),
            [this] { m_pegTool->setSurfaceShown(!m_pegTool->surfaceShown()); });
    // The chosen pin is chosen in the table, too: its use changes by the same keys there.
    for (const auto& [action, facts] : m_acts)
        if (const std::string_view name = facts.name; name == "checkPoint" || name == "leaveOut")
            m_pegCard->table()->addAction(action);
}

void MainWindow::writeDrawingReport()
{
    const auto drawing = m_session->drawing();
    if (!drawing)
        return;
    const auto figures = residualFigures(m_session->project(), {drawing->number});
    if (!figures || figures->drawings.empty()) {
        say(figures ? words(figures->unfitted.front().why) : words(figures.error().message), true);
        return;
    }
    const std::filesystem::path folder = m_session->project().file().parent_path() / "residuals";
    const auto written = writeEachResidualReport(*figures, folder);
    say(written ? tr("Written: %1").arg(words(written->front().parent_path().string()))
                : words(written.error().message),
        !written);
}

} // namespace inkpeg
