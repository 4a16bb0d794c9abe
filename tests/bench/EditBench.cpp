// SPDX-License-Identifier: GPL-3.0-or-later
// Prints how long hit testing, snapping and redrawing take with 100,000 outlines of 20 vertices on one
// drawing, against plainly looking at (or painting) all of them; in turn A B A B, processor time.
//
//   QT_QPA_PLATFORM=offscreen build/dev/tests/bench/inkpeg_edit_bench [outlines]
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <ctime>
#include <random>
#include <vector>

#include <QApplication>
#include <QPixmap>

#include "app/board/Board.h"
#include "app/board/BoardPainting.h"
#include "app/board/TraceTool.h"
#include "core/outline/Area.h"
#include "core/outline/OutlineEdit.h"

using namespace inkpeg;

namespace {

constexpr double widthPx = 24000, heightPx = 16000;

double processorMs()
{
    return static_cast<double>(std::clock()) * 1000.0 / CLOCKS_PER_SEC;
}

std::vector<Outline> manyOutlines(int count)
{
    std::mt19937 random(7);
    std::uniform_real_distribution<double> column(0, widthPx), row(0, heightPx), size(10, 60),
        share(0.7, 1);
    std::vector<Outline> all;
    for (int i = 0; i < count; ++i) {
        const ScanPx middle{column(random), row(random)};
        const double far = size(random);
        Ring ring;
        for (int k = 0; k < 20; ++k) {
            const double turn = 6.283185307179586 * k / 20, out = far * share(random);
            ring.vertices.push_back(
                onLattice({middle.column + out * std::cos(turn), middle.row + out * std::sin(turn)}));
            ring.kinds.push_back(static_cast<EdgeKind>(k / 4 % 5));
        }
        Outline outline;
        outline.id = i + 1;
        outline.drawing = 1;
        outline.context = std::to_string(1000 + i);
        outline.parts = {{ring, {}}};
        all.push_back(outline);
    }
    return all;
}

/// Median processor time of one call, in ms.
template<typename Call>
double median(int calls, Call call)
{
    std::vector<double> spent;
    for (int i = 0; i < calls; ++i) {
        const double before = processorMs();
        call(i);
        spent.push_back(processorMs() - before);
    }
    std::ranges::sort(spent);
    return spent[spent.size() / 2];
}

/// Rounds of A and B in turn.
template<typename A, typename B>
void compare(const char* what, int callsA, A a, int callsB, B b)
{
    double bestA = 1e300, bestB = 1e300;
    for (int round = 0; round < 3; ++round) {
        bestA = std::min(bestA, median(callsA, a));
        bestB = std::min(bestB, median(callsB, b));
    }
    std::printf("%-34s %9.4f ms   all of them %10.3f ms   1 : %.0f\n", what, bestA, bestB,
                bestB / std::max(bestA, 1e-6));
}

void benchQuestions(const std::vector<Outline>& all, const OutlineIndex& index)
{
    std::mt19937 random(11);
    std::uniform_real_distribution<double> column(0, widthPx), row(0, heightPx);
    std::vector<ScanPx> places;
    for (int i = 0; i < 1000; ++i)
        places.push_back({column(random), row(random)});
    constexpr double reach = 12;
    constexpr int many = 1000; // questions in one measured call: the clock's tick is a microsecond
    double sum = 0;
    const auto each = [&](auto ask) {
        return [&, ask](int) {
            for (int i = 0; i < many; ++i)
                sum += ask(places[static_cast<std::size_t>(i)]);
        };
    };
    const auto plain = [&](auto ask) {
        return [&, ask](int i) { sum += ask(places[static_cast<std::size_t>(i)]); };
    };
    std::printf("per 1000 questions against one plain question:\n");
    compare("nearest vertex (snap)", 5,
            each([&](ScanPx at) { return index.nearestVertex(at, reach) ? 1.0 : 0.0; }), 5,
            plain([&](ScanPx at) {
                double least = reach;
                for (const Outline& outline : all)
                    if (const auto vertex = nearestVertex(outline.parts, at, least))
                        least = distance(*vertex, at);
                return least;
            }));
    compare("nearest edge (snap)", 5,
            each([&](ScanPx at) { return index.nearestEdge(at, reach) ? 1.0 : 0.0; }), 5,
            plain([&](ScanPx at) {
                double least = reach;
                for (const Outline& outline : all)
                    if (const auto edge = nearestEdge(outline.parts, at, least))
                        least = edge->distancePx;
                return least;
            }));
    compare("smallest outline (hit test)", 5,
            each([&](ScanPx at) { return static_cast<double>(index.smallestAt(at, reach).value_or(0)); }),
            5, plain([&](ScanPx at) {
                double count = 0;
                for (const Outline& outline : all)
                    count += contains(outline.parts, at) || nearestEdge(outline.parts, at, reach);
                return count;
            }));
    std::printf("(sum %g)\n", sum);
}

void benchRedraw(const std::vector<Outline>& all)
{
    Board board;
    board.resize(1280, 800);
    BoardScene scene;
    BoardDrawing drawing;
    drawing.record.id = 1;
    drawing.film = {widthPx, heightPx, 400, 400, false};
    drawing.outlines = all;
    scene.drawing = std::move(drawing);
    board.setScene(std::move(scene));
    TraceTool tool(board);
    board.setTool(&tool);
    QPixmap screen(1280, 800);
    const BoardPicture picture{board.scene(),        board.frame(),     board.view(),
                               QRectF(board.rect()), inkpeg::palette(), board.font()};
    for (const bool near : {true, false}) {
        if (near)
            board.showOneToOne();
        else
            board.showAll();
        const std::string name = near ? "1:1 of the scan" : "the whole sheet";
        board.render(&screen);
        const auto hover = [&](int i) {
            tool.move({QPointF(300 + i % 50, 300), board.scanOfWidget(QPointF(300 + i % 50, 300)), {}},
                      false);
            board.render(&screen);
        };
        const auto panned = [&](int) {
            board.panBy({1, 0});
            board.render(&screen);
        };
        const auto plain = [&](int) {
            QPainter painter(&screen);
            painter.setRenderHint(QPainter::Antialiasing);
            for (const Outline& outline : all)
                paintOutline(painter, picture, outline, {});
        };
        compare(("redraw under a moving pointer, " + name).c_str(), 50, hover, 1, plain);
        std::printf("%-34s %9.4f ms\n", ("view moved, " + name).c_str(), median(20, panned));
    }
}

} // namespace

int main(int argc, char** argv)
{
    QApplication application(argc, argv);
    const int count = argc > 1 ? std::atoi(argv[1]) : 100000;
    const std::vector<Outline> all = manyOutlines(count);
    OutlineIndex index;
    const double before = processorMs();
    for (const Outline& outline : all)
        index.put(outline.id, outline.parts);
    std::printf("%d outlines, %d vertices; index made in %.0f ms\n", count, 20 * count,
                processorMs() - before);
    std::printf("one outline put anew               %9.4f ms\n", median(1000, [&](int i) {
                    index.put(all[static_cast<std::size_t>(i)].id, all[static_cast<std::size_t>(i)].parts);
                }));
    benchQuestions(all, index);
    benchRedraw(all);
    return 0;
}
