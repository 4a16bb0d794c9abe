// SPDX-License-Identifier: GPL-3.0-or-later
// Prints how long laying takes against GDAL's warper: same kernel, same threads, same kind of output, in
// turn A B A B. Every run is a process of its own, so that its peak memory is its own; time is measured
// inside. On a machine that does other things meanwhile, the ratio of processor time is the steadier
// figure.
#include <algorithm>
#include <chrono>
#include <cstdio>
#include <functional>
#include <thread>

#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <gdal_priv.h>
#include <gdal_utils.h>

#include "core/base/Text.h"
#include "core/film/Lay.h"
#include "core/film/Pyramid.h"
#include "core/film/RawFile.h"
#include "tests/bench/BenchScan.h"

using namespace inkpeg;
using namespace inkpeg::bench;
namespace fs = std::filesystem;

namespace {

constexpr int Threads = 2;

struct Spent {
    double seconds = 1e9, processorSeconds = 1e9;
    double peakMiB = 0;
    bool done = false;
};

double now()
{
    return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

/// Runs `work` in a process of its own.
Spent measured(const std::function<bool()>& work)
{
    int pipeEnds[2];
    if (::pipe(pipeEnds) != 0)
        return {};
    const pid_t child = ::fork();
    if (child == 0) {
        const double start = now();
        const bool done = work();
        const double seconds = now() - start;
        const bool told = ::write(pipeEnds[1], &seconds, sizeof seconds) == sizeof seconds;
        ::_exit(done && told ? 0 : 1);
    }
    Spent spent;
    rusage usage{};
    int status = 0;
    ::wait4(child, &status, 0, &usage);
    if (status == 0 && ::read(pipeEnds[0], &spent.seconds, sizeof spent.seconds) == sizeof spent.seconds)
        spent.done = true;
    ::close(pipeEnds[0]);
    ::close(pipeEnds[1]);
    const auto seconds = [](const timeval& t) { return double(t.tv_sec) + double(t.tv_usec) / 1e6; };
    spent.processorSeconds = seconds(usage.ru_utime) + seconds(usage.ru_stime);
    spent.peakMiB = double(usage.ru_maxrss) / 1024;
    return spent;
}

void takeBest(Spent& best, const Spent& next)
{
    best.done = best.done || next.done;
    best.seconds = std::min(best.seconds, next.seconds);
    best.processorSeconds = std::min(best.processorSeconds, next.processorSeconds);
    best.peakMiB = std::max(best.peakMiB, next.peakMiB);
}

struct Case {
    const char* name;
    Model model;
    const char* referenceScan;             // with the affine map or the pins
    std::vector<std::string> referenceHow; // words for GDAL's warper
    Packing packing = Packing::None;
};

bool layOurs(const fs::path& folder, const FilmFrame& film, const GroundTransform& transform,
             Packing packing)
{
    const auto scan = Scan::open(folder / "scan.tif");
    LaySettings settings;
    settings.packing = packing;
    settings.overviews = false;
    settings.threads = Threads;
    const auto report = scan ? lay(*scan, film, transform, "EPSG:25832", folder / "ours.tif", settings)
                             : Result<LayReport>(scan.error());
    if (!report)
        std::printf("  %s\n", report.error().message.c_str());
    return bool(report);
}

bool warpReference(const fs::path& folder, const Case& which, double pixelM)
{
    GDALAllRegister();
    GDALDatasetUniquePtr source(GDALDataset::Open((folder / which.referenceScan).c_str(), GDAL_OF_RASTER));
    CPLStringList options;
    for (const char* word : {"-overwrite", "-r", "bilinear", "-dstalpha", "-multi", "-wo", "NUM_THREADS=2",
                             "-co", "TILED=YES", "-co", "BIGTIFF=IF_SAFER", "-t_srs", "EPSG:25832"})
        options.AddString(word);
    if (which.packing == Packing::Deflate)
        for (const char* word : {"-co", "COMPRESS=DEFLATE", "-co", "NUM_THREADS=2"})
            options.AddString(word);
    for (const std::string& word : which.referenceHow)
        options.AddString(word.c_str());
    for (const std::string& word : {std::string("-tr"), exact(pixelM), exact(pixelM)})
        options.AddString(word.c_str());
    GDALWarpAppOptions* how = GDALWarpAppOptionsNew(options.List(), nullptr);
    GDALDatasetH sources[] = {GDALDataset::ToHandle(source.get())};
    GDALDatasetUniquePtr result(GDALDataset::FromHandle(
        GDALWarp((folder / "reference.tif").c_str(), nullptr, 1, sources, how, nullptr)));
    GDALWarpAppOptionsFree(how);
    return result != nullptr;
}

/// The least any program must do: decode every tile of the scan, write every byte of the result.
bool decodeOnly(const fs::path& scanFile)
{
    std::atomic<int> next{0};
    const auto work = [&] {
        const auto scan = Scan::open(scanFile);
        const ScanFacts& facts = scan->facts();
        std::vector<std::uint8_t> tile(static_cast<std::size_t>(facts.blockWidth) *
                                       static_cast<std::size_t>(facts.blockHeight));
        const int columns = (facts.widthPx + facts.blockWidth - 1) / facts.blockWidth;
        const int rows = (facts.heightPx + facts.blockHeight - 1) / facts.blockHeight;
        for (int i = next++; i < columns * rows; i = next++) {
            const int left = i % columns * facts.blockWidth, top = i / columns * facts.blockHeight;
            const PxRect part{left, top, std::min(facts.blockWidth, facts.widthPx - left),
                              std::min(facts.blockHeight, facts.heightPx - top)};
            if (!scan->readPixels(part, 1, tile.data(), static_cast<std::size_t>(facts.blockWidth)))
                return;
        }
    };
    std::jthread helper(work);
    work();
    return true;
}

bool writeOnly(const fs::path& file, std::uint64_t bytes, bool sync)
{
    RawFile out;
    if (!out.create(file))
        return false;
    const std::vector<std::uint8_t> piece(std::size_t{1} << 20, 200);
    for (std::uint64_t at = 0; at < bytes; at += piece.size())
        if (!out.write(at, piece.data(), piece.size()))
            return false;
    return !sync || out.sync();
}

void tell(const char* who, const Spent& spent)
{
    std::printf("  %-10s %7.2f s   processor %7.2f s   peak %5.0f MiB%s\n", who, spent.seconds,
                spent.processorSeconds, spent.peakMiB, spent.done ? "" : "   FAILED");
}

void compareLaying(const fs::path& folder, const FilmFrame& film, int rounds)
{
    const Case cases[] = {
        {"affine", Model::Affine, "affine.tif", {}},
        {"affine, DEFLATE out", Model::Affine, "affine.tif", {}, Packing::Deflate},
        {"polynomial 3", Model::Polynomial3, "pins.tif", {"-order", "3"}},
        {"spline, reference at its default approximation", Model::ThinPlateSpline, "pins.tif", {"-tps"}},
        {"spline, both to 0.02 px", Model::ThinPlateSpline, "pins.tif", {"-tps", "-et", "0.02"}},
        {"spline, reference exact", Model::ThinPlateSpline, "pins.tif", {"-tps", "-et", "0"}},
    };
    for (const Case& which : cases) {
        const bool affine = which.model == Model::Affine;
        const auto fit =
            fitControl(pinsOf(film, affine ? 0 : 0.3), {.model = which.model, .scaleDenominator = 20});
        if (!fit) {
            std::printf("%s: %s\n", which.name, fit.error().message.c_str());
            continue;
        }
        const double pixelM = 0.02 * MillimetresPerInch / film.dpiX;
        Spent ours, reference;
        for (int round = 0; round < rounds; ++round) {
            takeBest(ours, measured([&] { return layOurs(folder, film, fit->transform, which.packing); }));
            takeBest(reference, measured([&] { return warpReference(folder, which, pixelM); }));
        }
        std::printf("%s\n", which.name);
        tell("ours", ours);
        tell("reference", reference);
        std::printf("  reference / ours: %.2f in time, %.2f in processor time\n",
                    reference.seconds / ours.seconds, reference.processorSeconds / ours.processorSeconds);
        std::fflush(stdout);
    }
}

void tellFloors(const fs::path& folder, const FilmFrame& film, int rounds)
{
    Spent decode, write, writeSync;
    const auto bytes =
        static_cast<std::uint64_t>(2 * film.widthPx * film.heightPx * 1.1); // grey and alpha, turned
    for (int round = 0; round < rounds; ++round) {
        takeBest(decode, measured([&] { return decodeOnly(folder / "scan.tif"); }));
        takeBest(write, measured([&] { return writeOnly(folder / "raw", bytes, false); }));
        takeBest(writeSync, measured([&] { return writeOnly(folder / "raw", bytes, true); }));
    }
    std::printf("floors\n");
    tell("decode", decode);
    tell("write", write);
    tell("+ sync", writeSync);
    fs::remove(folder / "raw");
}

void tellViewing(const fs::path& folder)
{
    const auto cache = std::make_shared<TileCache>();
    const std::string key(64, 'b');
    fs::remove_all(folder / TilePyramid::FolderName);
    double start = now();
    auto pyramid = TilePyramid::open(folder / "scan.tif", folder / TilePyramid::FolderName, cache, key);
    if (!pyramid || !(*pyramid)->firstLook(1200))
        return;
    std::printf("viewing\n  first look without levels %6.2f s\n", now() - start);
    start = now();
    const auto built = (*pyramid)->build();
    std::printf("  building the levels       %6.2f s%s\n", now() - start, built ? "" : "  FAILED");
    start = now();
    pyramid = TilePyramid::open(folder / "scan.tif", folder / TilePyramid::FolderName, cache, key);
    const bool looked = bool((*pyramid)->firstLook(1200));
    std::printf("  first look with levels    %6.3f s%s\n", now() - start, looked ? "" : "  FAILED");
    constexpr int Tiles = 200;
    for (const bool again : {false, true}) {
        start = now();
        for (int i = 0; i < Tiles; ++i)
            (*pyramid)->tile({0, i % 20, i / 20});
        std::printf("  a tile, %-16s  %6.3f ms\n", again ? "in the cache" : "decoded",
                    (now() - start) / Tiles * 1000);
    }
}

} // namespace

int main(int argc, char** argv)
{
    std::setvbuf(stdout, nullptr, _IOLBF, 0); // children must not repeat what waits to be printed
    const double megapixels = argc > 1 ? parseNumber(argv[1]).value_or(279) : 279;
    const fs::path folder = (argc > 2 ? fs::path(argv[2]) : fs::temp_directory_path()) / "inkpeg-bench";
    const int rounds = argc > 3 ? std::max(1, static_cast<int>(parseWhole(argv[3]).value_or(2))) : 2;
    const int width = static_cast<int>(std::sqrt(megapixels * 1e6 / std::sqrt(2.0)));
    const int height = static_cast<int>(width * std::sqrt(2.0));
    fs::create_directories(folder);
    const FilmFrame film = frameOf(width, height);
    // In a process of its own as well: GDAL's threads do not outlive a fork, and the reference would wait
    // for them.
    const Spent prepared = measured([&] {
        const auto affine = fitControl(pinsOf(film, 0), {.model = Model::Affine, .scaleDenominator = 20});
        return affine && writeScan(folder / "scan.tif", width, height) &&
               writeWithAffine(folder / "scan.tif", folder / "affine.tif", film, affine->transform) &&
               writeWithPins(folder / "scan.tif", folder / "pins.tif", film, pinsOf(film, 0.3));
    });
    if (!prepared.done) {
        std::printf("the scan cannot be written to %s\n", folder.c_str());
        return 2;
    }
    std::printf("%d x %d pixels, %.0f MB packed, bilinear, %d threads, best of %d\n", width, height,
                double(fs::file_size(folder / "scan.tif")) / 1e6, Threads, rounds);
    tellFloors(folder, film, rounds);
    compareLaying(folder, film, rounds);
    tellViewing(folder);
    fs::remove_all(folder);
    return 0;
}
