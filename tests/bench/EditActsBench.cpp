// SPDX-License-Identifier: GPL-3.0-or-later
// Acts on outlines through the window's session, in a project of many: the part "acts" of EditBench.cpp.
#include <cstdio>
#include <stdexcept>

#include <QTemporaryDir>

#include "app/board/Board.h"
#include "app/window/Session.h"
#include "app/window/TraceCard.h"
#include "core/outline/OutlineActs.h"
#include "core/outline/RunEdit.h"
#include "core/store/OutlineEdits.h"
#include "tests/bench/ManyOutlines.h"

namespace inkpeg::bench {
namespace {

void must(const Result<Change>& change)
{
    if (!change)
        throw std::runtime_error(change.error().message);
}

void fillProject(const std::filesystem::path& file, int count, int drawings)
{
    ProjectFacts facts;
    facts.siteCode = "SKR26";
    Result<Project> project = Project::create(file, facts);
    if (!project)
        throw std::runtime_error(project.error().message);
    project->setPerson("MH");
    must(project->act("register", [&](Editor& edit) -> Result<void> {
        Sheet sheet;
        sheet.number = "F-1";
        sheet.frame = {widthPx, heightPx, 400, 400, false};
        if (const auto put = edit.put(sheet); !put)
            return put;
        for (int i = 0; i < drawings; ++i) {
            Drawing drawing;
            drawing.number = "P-" + std::to_string(i + 1);
            drawing.trench = "1";
            drawing.sheet = "F-1";
            if (const auto put = edit.put(drawing); !put)
                return put;
        }
        return {};
    }));
    constexpr int together = 5000;
    const int each = count / drawings;
    for (int i = 0; i < drawings; ++i) {
        std::vector<Outline> outlines = manyOutlines(each, i + 1, 0);
        for (std::size_t from = 0; from < outlines.size(); from += together)
            must(project->act("outlines", [&](Editor& edit) -> Result<void> {
                for (std::size_t n = from; n < std::min(outlines.size(), from + together); ++n) {
                    outlines[n].id = 0;
                    if (const auto put = edit.put(outlines[n]); !put)
                        return put;
                }
                return {};
            }));
    }
}

void tell(const char* what, const Spent& spent)
{
    std::printf("%-44s %9.2f ms   95 %% %9.2f ms\n", what, spent.medianMs, spent.ninetyFiveMs);
}

void benchProject(int count, int drawings)
{
    const QTemporaryDir folder;
    const std::filesystem::path file = folder.filePath("many.gpkg").toStdString();
    fillProject(file, count, drawings);
    Session session;
    const double before = threadMs();
    if (const Result<void> opened = session.open(file); !opened)
        throw std::runtime_error(opened.error().message);
    std::printf("%d outlines on %d drawing(s); project opened in %.0f ms\n", count, drawings,
                threadMs() - before);
    Board board;
    board.resize(1280, 800);
    TraceTool tool(board);
    board.setTool(&tool);
    TraceCard card(session, tool);
    QObject::connect(&session, &Session::recordsChanged, &board, [&] { board.setScene(session.scene()); });
    board.setScene(session.scene());
    const auto vertex = [&](int i) {
        const OutlineSet& outlines = session.scene().drawing->outlines;
        return outlines[static_cast<std::size_t>(i * 37) % outlines.size()].parts[0].outer.vertices[3];
    };
    Ring ring;
    ring.vertices = {{4000, 4000}, {4060, 4000}, {4060, 4060}, {4000, 4060}};
    ring.kinds.assign(4, EdgeKind::Certain);
    constexpr int calls = 20;
    tell("  outline traced", spentOn(calls, [&](int i) {
             session.addOutline(QString("9%1").arg(i), {{ring, {}}});
         }));
    tell("  vertex moved", spentOn(calls, [&](int i) {
             const ScanPx at = vertex(i);
             session.moveOutlineVertex(at, {at.column + 1, at.row});
         }));
    tell("  undone", spentOn(calls, [&](int) { session.undo(); }));
    tell("  done again", spentOn(calls, [&](int) { session.redo(); }));
    tell("  plainly, by reading all of the drawing", spentOn(3, [&](int i) {
             const ScanPx at = vertex(i);
             must(
                 editOutlines(session.project(), session.drawing()->id, "plainly", [&](DrawnOutlines& all) {
                     return moveVertexOf(all, at, {at.column + 1, at.row});
                 }));
             session.refresh();
         }));
}

} // namespace

void benchActs(int count)
{
    constexpr int drawings = 400;
    benchProject(count, drawings);
    benchProject(count, 1);
}

} // namespace inkpeg::bench
