// SPDX-License-Identifier: GPL-3.0-or-later
// Editing outlines and drawing what stands beside them: the acts, their keys, and what they ask.
#include <utility>

#include <QCursor>
#include <QMenu>
#include <QMenuBar>

#include "app/window/MainWindow.h"
#include "app/window/Words.h"

namespace inkpeg {

void MainWindow::makeOutlineMenu()
{
    QMenu* menu = menuBar()->addMenu(tr("Outline"));
    const QList<Station> trace{Station::Trace};
    const auto entry = [&](const char* name, const QString& text, const char* keys, const QString& tip,
                           std::function<void()> run) {
        add(menu,
            {name, text, {QKeySequence(QString::fromLatin1(keys))}, tip, std::move(run), trace, true});
    };
    entry("followEdge", tr("&Follow an edge"), "Shift+E",
          tr("While tracing: go on along the outline, limit of excavation or line up to the pointer"),
          [this] { m_traceTool->followEdge(); });
    entry("closeAlongEdge", tr("&Close along the limit"), "Shift+Return",
          tr("While tracing: close along the limit of excavation or edge that both ends lie on"),
          [this] { m_traceTool->closeAlongEdge(); });
    menu->addSeparator();
    entry("redrawEdge", tr("Draw an edge &anew"), "R",
          tr("Draw a stretch of an outline's edge again; outlines that share it change with it"),
          [this] { beginLine(LinePurpose::Redraw); });
    entry("turnRun", tr("The run the other &way round"), "Shift+W",
          tr("Choose the run between the two vertices the other way round the outline"),
          [this] { m_traceTool->turnRun(); });
    menu->addSeparator();
    entry("divideOutline", tr("&Divide"), "D", tr("Divide the chosen outline along a line across it"),
          [this] { beginLine(LinePurpose::Divide); });
    entry("joinOutlines", tr("&Join"), "J",
          tr("Make one outline of the chosen one and the one under the pointer, under the chosen one's "
             "number"),
          [this] {
              std::int64_t chosen = 0, other = 0;
              if (twoOutlines(chosen, other))
                  m_session->mergeOutlinesOf(chosen, other);
          });
    entry("cutOut", tr("C&ut out of what is under the pointer"), "U",
          tr("Take the area of the chosen outline out of the older one under the pointer"), [this] {
              std::int64_t chosen = 0, other = 0;
              if (twoOutlines(chosen, other))
                  m_session->cutOutlineOut(chosen, other);
          });
    entry("cutHole", tr("Cut a &hole"), "H", tr("Cut a hole into the chosen outline"),
          [this] { beginLine(LinePurpose::Hole); });
    entry("closeHole", tr("Clo&se the hole under the pointer"), "Shift+H",
          tr("Close the chosen outline's hole under the pointer"), [this] {
              std::int64_t chosen = 0;
              ScanPx at;
              if (outlineAndPlace(chosen, at))
                  m_session->closeHoleAt(chosen, at);
          });
    entry("removePart", tr("Remove the &part under the pointer"), "Shift+X",
          tr("Remove the chosen outline's part under the pointer"), [this] {
              std::int64_t chosen = 0;
              ScanPx at;
              if (outlineAndPlace(chosen, at))
                  m_session->removePartAt(chosen, at);
          });
    menu->addSeparator();
    entry("copyOutline", tr("Copy to another dra&wing…"), "Shift+C",
          tr("Put a copy of the chosen outline on another drawing, by way of the ground"),
          [this] { askCopy(); });
}

void MainWindow::makeMarksMenu()
{
    QMenu* menu = menuBar()->addMenu(tr("Marks"));
    const QList<Station> trace{Station::Trace};
    const auto entry = [&](const char* name, const QString& text, const char* keys, const QString& tip,
                           std::function<void()> run) {
        add(menu,
            {name, text, {QKeySequence(QString::fromLatin1(keys))}, tip, std::move(run), trace, true});
    };
    entry("spotLevel", tr("&Levels"), "L",
          tr("Set levels written on the drawing: metres, the name of a point of a level book, or both"),
          [this] { beginPoint(PointPurpose::Level); });
    entry("markFind", tr("Small &finds"), "P", tr("Mark small finds drawn on the film"),
          [this] { beginPoint(PointPurpose::Find); });
    entry("markSample", tr("&Samples"), "A", tr("Mark samples drawn on the film"),
          [this] { beginPoint(PointPurpose::Sample); });
    entry("markTimber", tr("&Timbers"), "T", tr("Mark timbers drawn on the film"),
          [this] { beginPoint(PointPurpose::Timber); });
    entry("note", tr("&Notes"), "Shift+T", tr("Write notes onto the drawing"),
          [this] { beginPoint(PointPurpose::Note); });
    menu->addSeparator();
    entry("breakTop", tr("T&op of slope"), "S",
          tr("Draw the upper break of slope; hachures run from it to the lower one of the same context"),
          [this] { beginLine(LinePurpose::BreakTop); });
    entry("breakBottom", tr("&Bottom of slope"), "Shift+S", tr("Draw the lower break of slope"),
          [this] { beginLine(LinePurpose::BreakBottom); });
    entry("sectionLine", tr("Section l&ine"), "Shift+A",
          tr("Draw a section line from A to B; the face looks to the right of the way"),
          [this] { beginLine(LinePurpose::SectionLine); });
    entry("limitLine", tr("Limit of &excavation"), "Shift+L", tr("Draw a limit of excavation"),
          [this] { beginLine(LinePurpose::Limit); });
    menu->addSeparator();
    entry("measure", tr("&Measure"), "M",
          tr("Measure length, area and difference of level on the ground, with their standard errors"),
          [this] { beginMeasuring(); });
}

void MainWindow::connectTracing()
{
    connect(m_traceTool, &TraceTool::partsClosed, this,
            [this](const QString& context, const std::vector<Part>& parts) {
                if (m_session->addOutline(context, parts))
                    m_traceTool->arm({});
            });
    connect(m_session, &Session::mendOffered, this, &MainWindow::showMending);
    connect(m_traceTool, &TraceTool::mendingTaken, this, &MainWindow::takeMending);
    connect(m_traceTool, &TraceTool::mendingLeft, this, &MainWindow::leaveMending);
    connect(m_traceTool, &TraceTool::vertexMoved, m_session, &Session::moveOutlineVertex);
    connect(m_traceTool, &TraceTool::vertexInserted, m_session, &Session::insertOutlineVertex);
    connect(m_traceTool, &TraceTool::vertexRemoved, m_session, &Session::removeOutlineVertex);
    connect(m_traceTool, &TraceTool::edgeKindSet, m_session, &Session::setOutlineEdgeKind);
    connect(m_traceTool, &TraceTool::runMoved, m_session, &Session::moveOutlineRun);
    connect(m_traceTool, &TraceTool::runRemoved, m_session, &Session::removeOutlineRun);
    connect(m_traceTool, &TraceTool::runKindSet, m_session, &Session::setOutlineRunKind);
    connect(m_traceTool, &TraceTool::markMoved, m_session, &Session::moveMark);
    connect(m_traceTool, &TraceTool::markRemoved, m_session, &Session::removeMark);
    connect(m_traceTool, &TraceTool::markRewritten, this, &MainWindow::askMark);
    connect(m_traceTool, &TraceTool::outlineRemoved, this,
            [this](qint64 outline) { m_session->removeOutline(outline); });
    connect(m_traceTool, &TraceTool::refused, this, [this](const QString& why) { say(why, true); });
    connect(m_traceTool, &TraceTool::stateChanged, this, &MainWindow::updateActs);
    connect(m_lineTool, &LineTool::drawn, this, &MainWindow::takeLine);
    connect(m_lineTool, &LineTool::refused, this, [this](const QString& why) { say(why, true); });
    connect(m_lineTool, &LineTool::givenUp, this, &MainWindow::backToTracing);
    connect(m_pointTool, &PointTool::placed, this, &MainWindow::askPoint);
    connect(m_pointTool, &PointTool::givenUp, this, &MainWindow::backToTracing);
    connect(m_measureTool, &MeasureTool::givenUp, this, &MainWindow::backToTracing);
}

/// A line that was drawn waits for what becomes of it.
void MainWindow::showMending(const DrawnOutlines& outlines, const Mendings& mendings)
{
    m_lineWaits = m_board->tool() == m_lineTool;
    m_board->setTool(m_traceTool);
    m_traceTool->offerMending(outlines, mendings);
}

/// Refused, as when what is signed off is to stay so, it is left: a line that was drawn is not lost.
void MainWindow::takeMending()
{
    if (m_session->takeMending())
        m_lineWaits = false;
    else
        leaveMending();
}

void MainWindow::leaveMending()
{
    m_session->leaveMending();
    if (std::exchange(m_lineWaits, false))
        m_board->setTool(m_lineTool);
}

/// Gives up what is being traced, and a line that waits: they belong to this stage and drawing.
void MainWindow::giveUpTracing()
{
    m_lineWaits = false;
    m_traceTool->arm({});
}

bool MainWindow::mayWrite()
{
    if (!m_session->scene().drawing)
        return false;
    if (!m_session->canWrite())
        say(tr("This project is open for reading only"), true);
    return m_session->canWrite();
}

QPointF MainWindow::handOnBoard() const
{
    const QPointF at = m_board->mapFromGlobal(QCursor::pos());
    return m_board->rect().contains(at.toPoint()) ? at : QPointF(m_board->rect().center());
}

void MainWindow::beginLine(LinePurpose purpose)
{
    if (!mayWrite() || m_traceTool->editWaits())
        return;
    const std::int64_t chosen = m_traceTool->selectedOutline();
    if ((purpose == LinePurpose::Divide || purpose == LinePurpose::Hole) && chosen == 0) {
        say(tr("Choose an outline first: click it"), true);
        return;
    }
    if (m_traceTool->drawing()) {
        say(tr("Close the outline first, or give it up"), true);
        return;
    }
    m_lineTool->begin(purpose, chosen);
    m_board->setTool(m_lineTool);
}

void MainWindow::beginPoint(PointPurpose purpose)
{
    if (!mayWrite() || m_traceTool->editWaits())
        return;
    if (m_traceTool->drawing()) {
        say(tr("Close the outline first, or give it up"), true);
        return;
    }
    m_pointTool->begin(purpose);
    m_board->setTool(m_pointTool);
}

void MainWindow::beginMeasuring()
{
    if (!m_session->scene().drawing || m_traceTool->editWaits() || m_traceTool->drawing())
        return;
    m_measureTool->reset();
    m_board->setTool(m_measureTool);
}

void MainWindow::backToTracing()
{
    if (m_rail->station() == Station::Trace)
        m_board->setTool(m_traceTool);
}

void MainWindow::takeLine(LinePurpose purpose, qint64 outline, const std::vector<ScanPx>& vertices,
                          const std::vector<EdgeKind>& kinds)
{
    const auto done = [this](bool taken) {
        if (taken)
            backToTracing();
        return taken;
    };
    const QString context = words(m_session->contextAt(vertices.front()));
    switch (purpose) {
    case LinePurpose::Redraw:
        done(m_session->redrawOutlineRun(vertices, kinds));
        break;
    case LinePurpose::Hole: {
        std::vector<EdgeKind> closed = kinds;
        closed.push_back(kinds.back());
        done(m_session->holeOutline(outline, {vertices, closed}));
        break;
    }
    case LinePurpose::Divide:
        m_field->ask(handOnBoard(), tr("Second piece, context"), m_session->undrawnContexts().value(0),
                     m_session->undrawnContexts(),
                     [=, this](const QString& number) {
                         return done(m_session->divideOutline(outline, vertices, kinds.front(), number));
                     },
                     {});
        break;
    case LinePurpose::SectionLine:
        m_field->ask(handOnBoard(), tr("Letters of its ends"), "A-B", {},
                     [=, this](const QString& letters) {
                         return done(m_session->addLine(LineKind::SectionLine, vertices, {}, letters));
                     },
                     {});
        break;
    case LinePurpose::BreakTop:
    case LinePurpose::BreakBottom: {
        const LineKind kind = purpose == LinePurpose::BreakTop ? LineKind::BreakTop : LineKind::BreakBottom;
        m_field->ask(handOnBoard(), tr("Slope of context"), context, m_session->undrawnContexts(),
                     [=, this](const QString& number) {
                         return done(m_session->addLine(kind, vertices, number, {}));
                     },
                     {});
        break;
    }
    case LinePurpose::Limit:
        done(m_session->addLine(LineKind::LimitOfExcavation, vertices, {}, {}));
        break;
    }
}

void MainWindow::askPoint(PointPurpose purpose, ScanPx at, QPointF widget)
{
    if (purpose == PointPurpose::Level) {
        m_field->ask(widget, tr("Level, m, or levelled point"), {}, m_session->levelledPointNames(),
                     [=, this](const QString& level) { return m_session->addLevel(at, level); }, {});
        return;
    }
    const PointKind kind = purpose == PointPurpose::Find     ? PointKind::Find
                           : purpose == PointPurpose::Sample ? PointKind::Sample
                           : purpose == PointPurpose::Timber ? PointKind::Timber
                                                             : PointKind::Note;
    const QString question = purpose == PointPurpose::Find     ? tr("Small find")
                             : purpose == PointPurpose::Sample ? tr("Sample")
                             : purpose == PointPurpose::Timber ? tr("Timber")
                                                               : tr("Note");
    m_field->ask(widget, question, {}, m_session->undrawnNumbers(kind),
                 [=, this](const QString& text) { return m_session->addPoint(kind, at, text); }, {});
}

void MainWindow::askMark(const MarkHit& mark, QPointF widget)
{
    if (mayWrite())
        m_field->ask(widget, tr("Write anew"), m_session->textOfMark(mark), {},
                     [=, this](const QString& text) { return m_session->rewriteMark(mark, text); }, {});
}

void MainWindow::askCopy()
{
    const std::int64_t chosen = m_traceTool->selectedOutline();
    if (!mayWrite())
        return;
    if (chosen == 0) {
        say(tr("Choose an outline first: click it"), true);
        return;
    }
    QStringList plans;
    for (const Drawing& drawing : m_session->project().all<Drawing>())
        if (drawing.id != m_session->drawing()->id && !isUpright(drawing.kind))
            plans << words(drawing.number);
    m_field->ask(handOnBoard(), tr("Copy to drawing"), {}, plans,
                 [=, this](const QString& number) { return m_session->copyOutlineTo(chosen, number); }, {});
}

bool MainWindow::twoOutlines(std::int64_t& chosen, std::int64_t& other)
{
    if (m_traceTool->editWaits())
        return false;
    chosen = m_traceTool->selectedOutline();
    other = m_traceTool->otherAtPointer();
    if (chosen != 0 && other != 0)
        return mayWrite();
    say(chosen == 0 ? tr("Choose an outline first: click it")
                    : tr("Point at the other outline: none but the chosen one is under the pointer"),
        true);
    return false;
}

bool MainWindow::outlineAndPlace(std::int64_t& chosen, ScanPx& at)
{
    if (m_traceTool->editWaits())
        return false;
    chosen = m_traceTool->selectedOutline();
    const std::optional<ScanPx> pointer = m_traceTool->pointerInScan();
    if (chosen != 0 && pointer) {
        at = *pointer;
        return mayWrite();
    }
    say(tr("Choose an outline first, then point into it"), true);
    return false;
}

} // namespace inkpeg
