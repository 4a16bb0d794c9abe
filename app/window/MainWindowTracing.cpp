// SPDX-License-Identifier: GPL-3.0-or-later
// The acts of tracing: their menu entries, keys and what they are for.
#include <QMenu>
#include <QMenuBar>

#include "app/window/MainWindow.h"
#include "app/window/Words.h"

namespace inkpeg {

void MainWindow::makeTraceMenu()
{
    QMenu* menu = menuBar()->addMenu(tr("Trace"));
    const QList<Station> trace{Station::Trace};
    add(menu, {"nextOutline",
               tr("&Next outline…"),
               {QKeySequence("N")},
               tr("Ask for a context number and begin its outline"),
               [this] { askContext(); },
               trace});
    add(menu, {"closeOutline",
               tr("&Close or end"),
               {QKeySequence(Qt::Key_Return), QKeySequence(Qt::Key_Enter), QKeySequence("C")},
               tr("Close the outline being drawn, take the one that is proposed, or end the line"),
               [this] { m_board->tool()->finish(); },
               trace,
               true});
    add(menu, {"takeBackVertex",
               tr("&Take the last click back"),
               {QKeySequence(Qt::Key_Backspace)},
               tr("Take back what the last click added"),
               [this] { m_board->tool()->takeBack(); },
               trace,
               true});
    add(menu, {"giveUp",
               tr("&Give up"),
               {QKeySequence(Qt::Key_Escape)},
               tr("Give up the outline being drawn, or let go of what is chosen"),
               [this] { m_board->tool()->giveUp(); },
               trace,
               true});
    menu->addSeparator();
    makeInkActs(menu);
    menu->addSeparator();
    add(menu, {"cycleKind",
               tr("Next &kind of edge"),
               {QKeySequence("K")},
               tr("Go through the kinds of the next edge"),
               [this] { m_board->tool()->takeNextKind(); },
               trace,
               true});
    static constexpr const char* kinds[] = {"kindCertain", "kindUncertain", "kindTruncated", "kindLimit",
                                            "kindBeyond"};
    for (int i = 0; i < 5; ++i) {
        const auto kind = static_cast<EdgeKind>(i);
        add(menu, {kinds[i],
                   tr("Edge %1").arg(words(edgeKindName(kind))),
                   {QKeySequence(QString::number(i + 1))},
                   tr("The next edge, or the one under the pointer, is of this kind"),
                   [this, kind] { m_board->tool()->takeKind(kind); },
                   trace,
                   true});
    }
    menu->addSeparator();
    add(menu, {"insertVertex",
               tr("&Insert a vertex"),
               {QKeySequence("I")},
               tr("Put a vertex into the edge under the pointer"),
               [this] { m_traceTool->insertAtPointer(); },
               trace,
               true});
    add(menu, {"removeVertex",
               tr("&Remove vertex or outline"),
               {QKeySequence("X"), QKeySequence(Qt::Key_Delete)},
               tr("Take out the vertex under the pointer, else the chosen outline"),
               [this] { m_traceTool->removeAtPointer(); },
               trace,
               true});
}

void MainWindow::makeInkActs(QMenu* menu)
{
    const QList<Station> trace{Station::Trace};
    InkTracing& ink = m_traceTool->ink();
    add(menu, {"followInk",
               tr("Follow the &ink or go straight"),
               {QKeySequence("W")},
               tr("The next line follows the pencil, or goes straight from click to click"),
               [this] { m_traceTool->followInkOrNot(); },
               trace,
               true});
    add(menu, {"enclose",
               tr("Outline around a &place"),
               {QKeySequence("E")},
               tr("A click inside a closed pencil outline proposes it, or back to clicks along the edge"),
               [this] { m_traceTool->encloseOrNot(); },
               trace,
               true});
    add(menu, {"largerOutline",
               tr("Next &larger outline"),
               {QKeySequence(".")},
               tr("Propose the next larger outline around the place"),
               [&ink] { ink.stepWider(1); },
               trace,
               true});
    add(menu, {"smallerOutline",
               tr("Next &smaller outline"),
               {QKeySequence(",")},
               tr("Propose the next smaller outline around the place"),
               [&ink] { ink.stepWider(-1); },
               trace,
               true});
    add(menu, {"bridgeGaps",
               tr("&Bridge wider gaps"),
               {QKeySequence("B")},
               tr("Go through the widths of gaps that are bridged: from 1 to 6 mm on the film"),
               [&ink] { ink.cycleGap(); },
               trace,
               true});
}

} // namespace inkpeg
