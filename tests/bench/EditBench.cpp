// SPDX-License-Identifier: GPL-3.0-or-later
// Prints how long hit testing, snapping, redrawing and acts take with 100,000 outlines of 20 vertices, all
// on one drawing and spread over four hundred, each against plainly looking at, painting or reading all of
// them. Processor time; of a redraw, that of the window's thread, and beside it the time until a picture
// that was painted in another thread was there.
//
//   QT_QPA_PLATFORM=offscreen build/dev/tests/bench/inkpeg_edit_bench [questions|redraw|ground|acts]
//   [outlines]
#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstring>
#include <functional>

#include <QApplication>
#include <QMouseEvent>
#include <QPixmap>
#include <QThread>

#include "app/board/Board.h"
#include "app/board/BoardPainting.h"
#include "app/board/TraceTool.h"
#include "core/outline/Area.h"
#include "core/outline/OutlineEdit.h"
#include "tests/bench/ManyOutlines.h"

using namespace inkpeg;
using namespace inkpeg::bench;

namespace {

/// A and B in turn, B, the plain way, only twice: it takes long.
void compare(const char* what, int calls, const std::function<void(int)>& a,
             const std::function<void(int)>& b)
{
    Spent best{1e300, 1e300}, plain{1e300, 1e300};
    for (int round = 0; round < 2; ++round) {
        best = std::min(best, spentOn(calls, a));
        plain = std::min(plain, spentOn(1, b));
    }
    std::printf("%-44s %9.4f ms   95 %% %9.4f ms   all of them %10.2f ms   1 : %.0f\n", what, best.medianMs,
                best.ninetyFiveMs, plain.medianMs, plain.medianMs / std::max(best.medianMs, 1e-6));
}

void benchQuestions(int count)
{
    const std::vector<Outline> all = manyOutlines(count, 1, 1);
    OutlineIndex index;
    const double before = threadMs();
    for (const Outline& outline : all)
        index.put(outline.id, outline.parts);
    std::printf("%d outlines, %d vertices on one drawing; index made in %.0f ms\n", count, 20 * count,
                threadMs() - before);
    std::printf("%-44s %9.4f ms\n", "one outline put into the index anew",
                spentOn(1000, [&](int i) {
                    const auto n = static_cast<std::size_t>(i);
                    index.put(all[n].id, all[n].parts);
                }).medianMs);
    const std::vector<ScanPx> places = somePlaces(1000);
    constexpr double reach = 12;
    double sum = 0;
    const auto ask = [&](const char* what, const auto& quick, const auto& plain) {
        compare(
            what, 1000, [&](int i) { sum += quick(places[static_cast<std::size_t>(i)]); },
            [&](int i) { sum += plain(places[static_cast<std::size_t>(i)]); });
    };
    ask(
        "nearest vertex (snap)", [&](ScanPx at) { return index.nearestVertex(at, reach) ? 1.0 : 0.0; },
        [&](ScanPx at) {
            double least = reach;
            for (const Outline& outline : all)
                if (const auto vertex = nearestVertex(outline.parts, at, least))
                    least = distance(*vertex, at);
            return least;
        });
    ask(
        "nearest edge (snap)", [&](ScanPx at) { return index.nearestEdge(at, reach) ? 1.0 : 0.0; },
        [&](ScanPx at) {
            double least = reach;
            for (const Outline& outline : all)
                if (const auto edge = nearestEdge(outline.parts, at, least))
                    least = edge->distancePx;
            return least;
        });
    ask(
        "smallest outline (hit test)",
        [&](ScanPx at) { return static_cast<double>(index.smallestAt(at, reach).value_or(0)); },
        [&](ScanPx at) {
            double found = 0;
            for (const Outline& outline : all)
                found += contains(outline.parts, at) || nearestEdge(outline.parts, at, reach);
            return found;
        });
    std::printf("(sum %g)\n", sum);
}

/// Until the picture that is painted in another thread is there.
double settleMs(Board& board, QPixmap& screen)
{
    const auto from = std::chrono::steady_clock::now();
    do {
        QApplication::processEvents();
        board.render(&screen);
        QThread::usleep(200);
    } while (board.drawingBusy());
    return std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - from).count();
}

/// The window's own time for each of some redraws, and how long the last picture took to be there.
void tellRedraws(const char* what, Board& board, int calls, const std::function<void(int)>& act)
{
    QPixmap screen(board.size());
    settleMs(board, screen);
    double settled = 0;
    std::vector<double> times;
    for (int i = 0; i < calls; ++i) {
        const double before = threadMs();
        act(i);
        board.render(&screen);
        times.push_back(threadMs() - before);
        if (board.drawingBusy())
            settled = std::max(settled, settleMs(board, screen));
    }
    std::ranges::sort(times);
    std::printf("%-44s %9.4f ms   95 %% %9.4f ms", what, times[times.size() / 2],
                times[times.size() * 95 / 100]);
    if (settled > 0)
        std::printf("   sharp after %.0f ms at most", settled);
    std::printf("\n");
}

void benchRedraw(int count)
{
    Board board;
    board.resize(1280, 800);
    BoardScene scene;
    BoardDrawing drawing;
    drawing.record.id = 1;
    drawing.film = {widthPx, heightPx, 400, 400, false};
    drawing.widthPx = 0;
    drawing.record.frame = {{0, 0}, {widthPx, 0}, {widthPx, heightPx}, {0, heightPx}};
    drawing.outlines = manyOutlines(count, 1, 1);
    scene.drawing = std::move(drawing);
    board.setScene(scene);
    scene = board.scene();
    TraceTool tool(board);
    board.setTool(&tool);
    std::printf("%d outlines, %d vertices on one drawing, window 1280 x 800\n", count, 20 * count);
    for (const bool near : {true, false}) {
        if (near)
            board.showOneToOne();
        else
            board.showAll();
        std::printf("%s:\n", near ? "one to one" : "the whole sheet");
        const BoardPicture picture{board.scene(),        board.frame(),     board.view(),
                                   QRectF(board.rect()), inkpeg::palette(), board.font()};
        tellRedraws("  moving pointer", board, 200, [&](int i) {
            const QPointF at(300 + i % 90, 300 + i % 40);
            QMouseEvent moved(QEvent::MouseMove, at, at, Qt::NoButton, Qt::NoButton, {});
            QApplication::sendEvent(&board, &moved);
        });
        tellRedraws("  view moved by the hand, 3 pixels", board, 100, [&](int) { board.panBy({-3, 2}); });
        tellRedraws("  view moved by an arrow key, 80 pixels", board, 20, [&](int) {
            board.panBy({-80, 0});
        });
        if (near)
            board.goTo(ScanPx{widthPx / 2, heightPx / 2});
        else
            board.showAll();
        tellRedraws("  another outline chosen", board, 50, [&](int i) {
            const auto ids =
                board.scene().drawing->index->meeting(boxAbout(*board.scanOfWidget({600, 400}), 200));
            tool.selectOutline(ids[static_cast<std::size_t>(i) % ids.size()]);
        });
        tool.selectOutline(0);
        tellRedraws("  one outline changed by an act", board, 50, [&](int i) {
            BoardScene next = board.scene();
            const auto ids = next.drawing->index->meeting(boxAbout(*board.scanOfWidget({600, 400}), 200));
            Outline changed = *next.drawing->outlines.byId(ids[static_cast<std::size_t>(i) % ids.size()]);
            changed.parts.front().outer.vertices.front().column += 8;
            auto index = std::const_pointer_cast<OutlineIndex>(next.drawing->index);
            index->put(changed.id, changed.parts);
            next.drawing->outlines.put(std::move(changed));
            board.setScene(std::move(next));
        });
        if (near) {
            const QPointF from = board.widgetOfScan(
                board.scene().drawing->index->nearestVertex(*board.scanOfWidget({600, 400}), 200)->at);
            const auto mouse = [&](QEvent::Type type, QPointF at, Qt::MouseButton button) {
                QMouseEvent event(type, at, at, button, Qt::LeftButton, {});
                QApplication::sendEvent(&board, &event);
            };
            mouse(QEvent::MouseMove, from, Qt::NoButton);
            mouse(QEvent::MouseButtonPress, from, Qt::LeftButton);
            tellRedraws("  vertex dragged", board, 100, [&](int i) {
                mouse(QEvent::MouseMove, from + QPointF(5 + i % 40, i % 30), Qt::NoButton);
            });
            mouse(QEvent::MouseButtonRelease, from, Qt::LeftButton);
        }
        tellRedraws("  view grown and shrunk", board, 10, [&](int i) {
            if (i % 2 == 0)
                board.zoomIn();
            else
                board.zoomOut();
        });
        QPixmap screen(board.size());
        const double before = threadMs();
        QPainter painter(&screen);
        painter.setRenderHint(QPainter::Antialiasing);
        for (const Outline& outline : board.scene().drawing->outlines)
            paintOutline(painter, picture, outline, {});
        std::printf("%-44s %9.1f ms\n", "  plainly painting all of them", threadMs() - before);
    }
}

void benchGround(int count)
{
    Board board;
    board.resize(1280, 800);
    BoardScene scene;
    constexpr int drawings = 400;
    const std::vector<Outline> all = manyOutlines(count, 1, 1);
    // Twenty sheets each way, twelve metres by eight at 1:20.
    for (int i = 0; i < drawings; ++i) {
        Neighbour neighbour;
        neighbour.drawing = i + 1;
        const GroundM corner{(i % 20) * 12.0, (i / 20) * 8.0};
        const auto place = [&](ScanPx at) {
            return GroundM{corner.east + at.column * 12 / widthPx, corner.north + at.row * 8 / heightPx};
        };
        for (const ScanPx& at :
             {ScanPx{0, 0}, ScanPx{widthPx, 0}, ScanPx{widthPx, heightPx}, ScanPx{0, heightPx}})
            neighbour.sheet.ring.push_back(place(at));
        for (std::size_t n = static_cast<std::size_t>(i); n < all.size(); n += drawings) {
            NamedRing ring{all[n].context, {}};
            for (const ScanPx& at : all[n].parts.front().outer.vertices)
                ring.ring.push_back(place(at));
            neighbour.addOutline(std::move(ring));
        }
        scene.neighbours.push_back(std::move(neighbour));
    }
    board.setSide(BoardSide::Ground);
    board.setScene(std::move(scene));
    board.showAll();
    std::printf("%d outlines on %d drawings, on the ground, window 1280 x 800\n", count, drawings);
    tellRedraws("  moving pointer, the whole site", board, 200, [](int) {});
    tellRedraws("  view moved by the hand, 3 pixels", board, 50, [&](int) { board.panBy({-3, 2}); });
    for (int i = 0; i < 14; ++i)
        board.zoomIn();
    tellRedraws("  moving pointer, near", board, 200, [](int) {});
    tellRedraws("  view moved by the hand, 3 pixels", board, 50, [&](int) { board.panBy({-3, 2}); });
}

} // namespace

int main(int argc, char** argv)
{
    QApplication application(argc, argv);
    std::setvbuf(stdout, nullptr, _IOLBF, 0);
    const char* part = argc > 1 ? argv[1] : "all";
    const int count = argc > 2 ? std::atoi(argv[2]) : 100000;
    const auto wanted = [&](const char* name) {
        return !std::strcmp(part, "all") || !std::strcmp(part, name);
    };
    if (wanted("questions"))
        benchQuestions(count);
    if (wanted("redraw"))
        benchRedraw(count);
    if (wanted("ground"))
        benchGround(count);
    if (wanted("acts"))
        benchActs(count);
    return 0;
}
