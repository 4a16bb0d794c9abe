// SPDX-License-Identifier: GPL-3.0-or-later
// Prints how the board feels on a large scan: the first look with and without levels, the time of a frame
// on a scripted way of moving and zooming against the plain copy of a picture of the same size, the cost of
// a tile that is in the cache, and the memory all that takes.
//
// A frame is the board's repaint up to the X server. Both times are told: on a machine that does other
// things meanwhile, the processor time of the window's thread is the steadier figure.
#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <ctime>
#include <functional>

#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <QApplication>
#include <QElapsedTimer>
#include <QPainter>
#include <QThread>
#include <QWidget>

#include "app/board/Board.h"
#include "core/base/Digest.h"
#include "core/base/Text.h"
#include "tests/bench/BenchScan.h"

using namespace inkpeg;
using namespace inkpeg::bench;
namespace fs = std::filesystem;

namespace {

constexpr int ScreenWidth = 1920, ScreenHeight = 1080;
constexpr int FrameMs = 16;

double secondsOf(clockid_t clock)
{
    timespec time{};
    ::clock_gettime(clock, &time);
    return double(time.tv_sec) + double(time.tv_nsec) * 1e-9;
}

struct FrameTimes {
    std::vector<double> wallMs, processorMs;

    void measure(QWidget& widget)
    {
        const double wall = secondsOf(CLOCK_MONOTONIC), processor = secondsOf(CLOCK_THREAD_CPUTIME_ID);
        widget.repaint();
        wallMs.push_back((secondsOf(CLOCK_MONOTONIC) - wall) * 1000);
        processorMs.push_back((secondsOf(CLOCK_THREAD_CPUTIME_ID) - processor) * 1000);
    }
};

double quantile(std::vector<double> values, double share)
{
    if (values.empty())
        return 0;
    std::ranges::sort(values);
    return values[std::min(values.size() - 1, static_cast<std::size_t>(share * double(values.size())))];
}

/// What any program must do for a frame: copy a picture to the screen.
class PlainCopy final : public QWidget {
public:
    explicit PlainCopy(QSize size) : m_picture(size)
    {
        setAttribute(Qt::WA_OpaquePaintEvent);
        m_picture.fill(Qt::lightGray);
    }

protected:
    void paintEvent(QPaintEvent*) override { QPainter(this).drawPixmap(0, 0, m_picture); }

private:
    QPixmap m_picture;
};

void putOnScreen(QWidget& widget)
{
    widget.setWindowFlag(Qt::FramelessWindowHint);
    widget.setGeometry(0, 0, ScreenWidth, ScreenHeight);
    widget.show();
    for (int i = 0; i < 20; ++i) {
        QApplication::processEvents();
        QThread::msleep(5);
    }
}

/// Lets everything go on for the rest of the frame, as a display of 60 pictures a second does.
void untilNextFrame(const QElapsedTimer& since)
{
    do {
        QApplication::processEvents();
        QThread::msleep(1);
    } while (since.elapsed() < FrameMs);
}

void waitUntil(const std::function<bool()>& done)
{
    while (!done()) {
        QApplication::processEvents();
        QThread::usleep(200);
    }
}

BoardScene sceneOf(const fs::path& folder, const FilmFrame& film, const std::string& sha256)
{
    BoardScene scene;
    scene.drawing.emplace();
    scene.drawing->record.id = 1;
    scene.drawing->scanFile = folder / "scan.tif";
    scene.drawing->scanSha256 = sha256;
    scene.drawing->film = film;
    scene.drawing->widthPx = static_cast<int>(film.widthPx);
    scene.drawing->heightPx = static_cast<int>(film.heightPx);
    scene.cacheFolder = folder / TilePyramid::FolderName;
    return scene;
}

void tellFirstLook(const char* what, Board& board, const BoardScene& scene)
{
    const double start = secondsOf(CLOCK_MONOTONIC), processor = secondsOf(CLOCK_PROCESS_CPUTIME_ID);
    board.setScene(scene);
    waitUntil([&] { return board.filmShown(); });
    board.repaint();
    const double look = secondsOf(CLOCK_MONOTONIC) - start;
    const double lookProcessor = secondsOf(CLOCK_PROCESS_CPUTIME_ID) - processor;
    waitUntil([&] { return !board.stillLoading() && !board.shelf().building(); });
    std::printf("  first look %-16s %6.3f s, processor %6.3f s   sharp and prepared after %6.2f s, "
                "processor %6.2f s\n",
                what, look, lookProcessor, secondsOf(CLOCK_MONOTONIC) - start,
                secondsOf(CLOCK_PROCESS_CPUTIME_ID) - processor);
}

/// In by the wheel to one pixel of the scan for two of the screen, across, turned and across, and out
/// again.
FrameTimes timesOfTheWay(Board& board)
{
    FrameTimes times;
    const auto frame = [&](const std::function<void()>& move) {
        QElapsedTimer since;
        since.start();
        move();
        times.measure(board);
        untilNextFrame(since);
    };
    for (int i = 0; i < 18; ++i)
        frame([&] { board.zoomIn(); });
    for (int i = 0; i < 150; ++i)
        frame([&] { board.panBy({i < 75 ? -24.0 : 24.0, 13}); });
    ViewSettings view;
    for (int i = 0; i < 60; ++i)
        frame([&] {
            view.turnDegrees = i;
            board.setViewSettings(view);
        });
    for (int i = 0; i < 150; ++i)
        frame([&] { board.panBy({17, i < 75 ? -20.0 : 20.0}); });
    for (int i = 0; i < 18; ++i)
        frame([&] { board.zoomOut(); });
    for (int i = 0; i < 60; ++i)
        frame([&] { board.panBy({i < 30 ? -30.0 : 30.0, 0}); });
    board.setViewSettings({});
    return times;
}

FrameTimes timesOfPlainCopy()
{
    PlainCopy plain({ScreenWidth, ScreenHeight});
    putOnScreen(plain);
    FrameTimes times;
    for (int i = 0; i < 200; ++i) {
        QElapsedTimer since;
        since.start();
        times.measure(plain);
        untilNextFrame(since);
    }
    return times;
}

void tellFrames(const char* what, const FrameTimes& times)
{
    std::printf(
        "  %-12s median %5.2f ms  p99 %5.2f ms   processor: median %5.2f ms  p99 %5.2f ms  (%zu frames)\n",
        what, quantile(times.wallMs, 0.5), quantile(times.wallMs, 0.99), quantile(times.processorMs, 0.5),
        quantile(times.processorMs, 0.99), times.wallMs.size());
}

void tellCacheHit(const fs::path& folder, const std::string& sha256)
{
    const auto cache = std::make_shared<TileCache>();
    const auto pyramid =
        TilePyramid::open(folder / "scan.tif", folder / TilePyramid::FolderName, cache, sha256);
    if (!pyramid)
        return;
    constexpr int Tiles = 200, Times = 500;
    for (const bool hit : {false, true}) {
        const double start = secondsOf(CLOCK_MONOTONIC);
        long found = 0;
        for (int time = 0; time < (hit ? Times : 1); ++time)
            for (int i = 0; i < Tiles; ++i) {
                const TilePlace place{1, i % 20, i / 20};
                found += (hit ? (*pyramid)->cached(place) : (*pyramid)->tile(place)) != nullptr;
            }
        std::printf("  a tile %-13s %9.4f ms   (%ld)\n", hit ? "in the cache" : "from levels",
                    (secondsOf(CLOCK_MONOTONIC) - start) * 1000 / (Tiles * (hit ? Times : 1)), found);
    }
}

double peakMiB()
{
    rusage usage{};
    ::getrusage(RUSAGE_SELF, &usage);
    return double(usage.ru_maxrss) / 1024;
}

bool writtenByAnother(const fs::path& scan, int width, int height)
{
    const pid_t child = ::fork(); // its memory is not to be counted here
    if (child == 0)
        ::_exit(writeScan(scan, width, height) ? 0 : 1);
    int status = 1;
    ::waitpid(child, &status, 0);
    return status == 0;
}

} // namespace

int main(int argc, char** argv)
{
    const double megapixels = argc > 1 ? parseNumber(argv[1]).value_or(279) : 279;
    const fs::path folder =
        (argc > 2 ? fs::path(argv[2]) : fs::temp_directory_path()) / "inkpeg-view-bench";
    const int width = static_cast<int>(std::sqrt(megapixels * 1e6 / std::sqrt(2.0)));
    const int height = static_cast<int>(width * std::sqrt(2.0));
    fs::create_directories(folder);
    if (!writtenByAnother(folder / "scan.tif", width, height)) {
        std::printf("the scan cannot be written to %s\n", folder.c_str());
        return 2;
    }
    std::setvbuf(stdout, nullptr, _IOLBF, 0);
    QApplication application(argc, argv);
    std::printf("%d x %d pixels on a screen of %d x %d\n", width, height, ScreenWidth, ScreenHeight);
    const Result<std::string> digest = digestOfFile(folder / "scan.tif");
    if (!digest)
        return 2;
    const BoardScene scene = sceneOf(folder, frameOf(width, height), *digest);
    fs::remove_all(folder / TilePyramid::FolderName);
    {
        Board board;
        putOnScreen(board);
        tellFirstLook("without levels", board, scene);
    }
    FrameTimes moving, still;
    {
        Board board;
        putOnScreen(board);
        tellFirstLook("with levels", board, scene);
        moving = timesOfTheWay(board);
    }
    still = timesOfPlainCopy();
    tellFrames("board", moving);
    tellFrames("plain copy", still);
    std::printf("  board / plain copy: %.2f in time, %.2f in processor time\n",
                quantile(moving.wallMs, 0.5) / quantile(still.wallMs, 0.5),
                quantile(moving.processorMs, 0.5) / quantile(still.processorMs, 0.5));
    tellCacheHit(folder, *digest);
    std::printf("  peak memory %.0f MiB\n", peakMiB());
    fs::remove_all(folder);
    return 0;
}
