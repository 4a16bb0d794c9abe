// SPDX-License-Identifier: GPL-3.0-or-later
// Prints how long laying takes against GDAL's warper, in one process and in turn A B A B: the same kernel,
// two threads each, the same output options. Beside each figure stands the bound asked for, and whether it
// is met.
//
//   inkpeg_bench [lay] [megapixels] [folder] [rounds]    the table (279 megapixels, best of 2)
//   inkpeg_bench growth [folder]                         ours alone from 10 MP to 1 GP: the exponent
//
// Time is what bounds are judged by, on a machine that does nothing else; the ratio of processor time is
// the steadier figure where it does. Compression on both sides is DEFLATE at level 6, GDAL's default
// (TilePacker.h).
#include <algorithm>
#include <atomic>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <functional>
#include <thread>

#include <gdal_priv.h>
#include <gdal_utils.h>

#include "core/base/Text.h"
#include "core/film/Lay.h"
#include "core/film/RawFile.h"
#include "tests/bench/BenchScan.h"
#include "tests/bench/Measured.h"

using namespace inkpeg;
using namespace inkpeg::bench;
namespace fs = std::filesystem;

namespace {

constexpr int Threads = 2;
constexpr double MostPeakMiB = 300e6 / (1 << 20), MostOfFloor = 2, MostExponent = 1.05;

/// Which reference stands beside ours.
struct Case {
    const char* name;
    Model model;
    const char* referenceScan;             // with the affine map or the pins
    std::vector<std::string> referenceHow; // words for GDAL's warper
    double leastRatio;                     // asked of time, uncompressed
};

const char* kernelName(Kernel kernel)
{
    return kernel == Kernel::Nearest ? "nearest" : kernel == Kernel::Cubic ? "cubic" : "bilinear";
}

bool allMet = true;
GIntBig referenceCache = 0; ///< what GDAL gives itself; our own use of it is set to less (GdalSession.h)

/// "5.31 (at least 2.5: met)"
std::string judged(double value, double bound, bool atLeast)
{
    const bool met = atLeast ? value >= bound : value <= bound;
    allMet = allMet && met;
    return fixed(value, 2) + " (" + (atLeast ? "at least " : "at most ") + exact(bound) +
           (met ? ": met)" : ": NOT MET)");
}

Result<ControlFit> fitOf(Model model, const FilmFrame& film)
{
    return fitControl(pinsOf(film, model == Model::Affine ? 0 : 0.3),
                      {.model = model, .scaleDenominator = 20});
}

bool layOurs(const fs::path& folder, const FilmFrame& film, const GroundTransform& transform, Kernel kernel,
             Packing packing)
{
    const auto scan = Scan::open(folder / "scan.tif");
    LaySettings settings;
    settings.kernel = kernel;
    settings.packing = packing;
    settings.overviews = false; // the reference makes none
    settings.threads = Threads;
    const auto report = scan ? lay(*scan, film, transform, "EPSG:25832", folder / "ours.tif", settings)
                             : Result<LayReport>(scan.error());
    if (!report)
        std::printf("  %s\n", report.error().message.c_str());
    return bool(report);
}

bool warpReference(const fs::path& folder, const Case& which, double pixelM, Kernel kernel, Packing packing)
{
    GDALDatasetUniquePtr source(GDALDataset::Open((folder / which.referenceScan).c_str(), GDAL_OF_RASTER));
    CPLStringList options;
    for (const char* word : {"-overwrite", "-dstalpha", "-multi", "-wo", "NUM_THREADS=2", "-co",
                             "TILED=YES", "-co", "BIGTIFF=IF_SAFER", "-t_srs", "EPSG:25832", "-r"})
        options.AddString(word);
    options.AddString(kernel == Kernel::Nearest ? "near" : kernelName(kernel));
    if (packing == Packing::Deflate)
        for (const char* word : {"-co", "COMPRESS=DEFLATE", "-co", "ZLEVEL=6", "-co", "NUM_THREADS=2"})
            options.AddString(word);
    for (const std::string& word : which.referenceHow)
        options.AddString(word.c_str());
    for (const std::string& word : {std::string("-tr"), exact(pixelM), exact(pixelM)})
        options.AddString(word.c_str());
    const GIntBig ours = GDALGetCacheMax64();
    GDALSetCacheMax64(referenceCache);
    GDALWarpAppOptions* how = GDALWarpAppOptionsNew(options.List(), nullptr);
    GDALDatasetH sources[] = {GDALDataset::ToHandle(source.get())};
    GDALDatasetUniquePtr result(GDALDataset::FromHandle(
        GDALWarp((folder / "reference.tif").c_str(), nullptr, 1, sources, how, nullptr)));
    GDALWarpAppOptionsFree(how);
    const bool done = result != nullptr;
    result.reset();
    GDALSetCacheMax64(ours);
    return done;
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

/// Decoding and writing one after the other, as the bound has it.
double tellFloor(const fs::path& folder, const FilmFrame& film, int rounds)
{
    Spent decode, write, synced;
    const auto bytes =
        static_cast<std::uint64_t>(2 * film.widthPx * film.heightPx * 1.1); // grey and alpha, turned
    for (int round = 0; round < rounds; ++round) {
        takeBest(decode, measured([&] { return decodeOnly(folder / "scan.tif"); }));
        takeBest(write, measured([&] { return writeOnly(folder / "raw", bytes, false); }));
        takeBest(synced, measured([&] { return writeOnly(folder / "raw", bytes, true); }));
    }
    std::printf("floors\n");
    tell("decode", decode);
    tell("write", write);
    tell("+ sync", synced);
    fs::remove(folder / "raw");
    const double floor = decode.seconds + synced.seconds;
    std::printf("  decode every source tile, write and sync every output byte: %.2f s\n", floor);
    return floor;
}

void compare(const fs::path& folder, const FilmFrame& film, const Case& which, Kernel kernel,
             Packing packing, int rounds, double floor)
{
    const auto fit = fitOf(which.model, film);
    if (!fit) {
        std::printf("%s: %s\n", which.name, fit.error().message.c_str());
        return;
    }
    const double pixelM = 0.02 * MillimetresPerInch / film.dpiX;
    Spent ours, reference;
    for (int round = 0; round < rounds; ++round) {
        takeBest(ours, measured([&] { return layOurs(folder, film, fit->transform, kernel, packing); }));
        takeBest(reference,
                 measured([&] { return warpReference(folder, which, pixelM, kernel, packing); }));
    }
    const bool packed = packing == Packing::Deflate;
    std::printf("%s, %s, %s out\n", which.name, kernelName(kernel), packed ? "DEFLATE" : "uncompressed");
    tell("ours", ours);
    tell("reference", reference);
    allMet = allMet && ours.done && reference.done;
    const double ratio = reference.seconds / ours.seconds, overFloor = ours.seconds / floor;
    // The bounds are for bilinear; the other kernels must not be slower than the reference. With
    // compression, what dominates is the same library's work on both sides.
    const bool bounded = kernel == Kernel::Bilinear && !packed;
    std::printf("  reference / ours: time %s, processor time %.2f, memory %.2f\n",
                judged(ratio, bounded ? which.leastRatio : 1, true).c_str(),
                reference.processorSeconds / ours.processorSeconds, reference.peakMiB / ours.peakMiB);
    std::printf("  peak MiB %s, times the floor %s\n",
                judged(ours.peakMiB, std::floor(MostPeakMiB), false).c_str(),
                bounded ? judged(overFloor, MostOfFloor, false).c_str() : fixed(overFloor, 2).c_str());
    if (packed)
        std::printf("  bytes: ours %.1f MB, reference %.1f MB\n",
                    double(fs::file_size(folder / "ours.tif")) / 1e6,
                    double(fs::file_size(folder / "reference.tif")) / 1e6);
}

void tellTable(const fs::path& folder, const FilmFrame& film, int rounds)
{
    const double floor = tellFloor(folder, film, rounds);
    const Case cases[] = {
        {"affine", Model::Affine, "affine.tif", {}, 2.5},
        {"polynomial 3", Model::Polynomial3, "pins.tif", {"-order", "3"}, 2},
        {"spline, reference at its default approximation", Model::ThinPlateSpline, "pins.tif", {"-tps"}, 2},
        {"spline, reference with its approximation off",
         Model::ThinPlateSpline,
         "pins.tif",
         {"-tps", "-et", "0"},
         8},
        {"spline, reference asked for 0.02 px",
         Model::ThinPlateSpline,
         "pins.tif",
         {"-tps", "-et", "0.02"},
         8},
    };
    for (const Case& which : cases)
        for (const Packing packing : {Packing::None, Packing::Deflate})
            for (const Kernel kernel : {Kernel::Bilinear, Kernel::Nearest, Kernel::Cubic})
                if (packing == Packing::None || kernel == Kernel::Bilinear)
                    compare(folder, film, which, kernel, packing, rounds, floor);
}

bool prepare(const fs::path& folder, int width, int height)
{
    const FilmFrame film = frameOf(width, height);
    const auto affine = fitOf(Model::Affine, film);
    return affine && writeScan(folder / "scan.tif", width, height) &&
           writeWithAffine(folder / "scan.tif", folder / "affine.tif", film, affine->transform) &&
           writeWithPins(folder / "scan.tif", folder / "pins.tif", film, pinsOf(film, 0.3));
}

/// A sheet of that many megapixels, sides as A-series paper.
std::pair<int, int> sidesOf(double megapixels)
{
    const int width = static_cast<int>(std::sqrt(megapixels * 1e6 / std::sqrt(2.0)));
    return {width, static_cast<int>(width * std::sqrt(2.0))};
}

/// Slope of log time over log pixels, by least squares.
double exponentOf(const std::vector<std::pair<double, double>>& logs)
{
    double x = 0, y = 0, xx = 0, xy = 0;
    const double n = double(logs.size());
    for (const auto& [pixels, seconds] : logs)
        x += pixels / n, y += seconds / n;
    for (const auto& [pixels, seconds] : logs)
        xx += (pixels - x) * (pixels - x), xy += (pixels - x) * (seconds - y);
    return xy / xx;
}

int tellGrowth(const fs::path& folder)
{
    for (const Model model : {Model::Affine, Model::ThinPlateSpline}) {
        std::vector<std::pair<double, double>> times, processorTimes;
        double peak = 0;
        std::printf("%s, bilinear, uncompressed out\n", modelName(model).c_str());
        for (const double megapixels : {10.0, 31.6, 100.0, 316.0, 1000.0}) {
            const auto [width, height] = sidesOf(megapixels);
            const FilmFrame film = frameOf(width, height);
            const auto fit = fitOf(model, film);
            if (!fit || !writeScan(folder / "scan.tif", width, height)) {
                std::printf("the scan cannot be written to %s\n", folder.c_str());
                return 2;
            }
            Spent spent;
            for (int round = 0; round < 3; ++round)
                takeBest(spent, measured([&] {
                             return layOurs(folder, film, fit->transform, Kernel::Bilinear, Packing::None);
                         }));
            tell((fixed(megapixels, 0) + " MP").c_str(), spent);
            allMet = allMet && spent.done;
            times.emplace_back(std::log(megapixels), std::log(spent.seconds));
            processorTimes.emplace_back(std::log(megapixels), std::log(spent.processorSeconds));
            peak = std::max(peak, spent.peakMiB);
        }
        std::printf("  exponent of time %s, of processor time %.3f; peak MiB %s\n",
                    judged(exponentOf(times), MostExponent, false).c_str(), exponentOf(processorTimes),
                    judged(peak, std::floor(MostPeakMiB), false).c_str());
    }
    return 0;
}

} // namespace

int main(int argc, char** argv)
{
    std::setvbuf(stdout, nullptr, _IOLBF, 0);
    GDALAllRegister();
    referenceCache = GDALGetCacheMax64();
    std::vector<std::string> words(argv + 1, argv + argc);
    const bool growth = !words.empty() && words[0] == "growth";
    if (!words.empty() && (growth || words[0] == "lay"))
        words.erase(words.begin());
    double megapixels = 279;
    if (!growth && !words.empty()) {
        megapixels = parseNumber(words[0]).value_or(megapixels);
        words.erase(words.begin());
    }
    const fs::path folder =
        (words.empty() ? fs::temp_directory_path() : fs::path(words[0])) / "inkpeg-bench";
    const int rounds =
        words.size() > 1 ? std::max(1, static_cast<int>(parseWhole(words[1]).value_or(2))) : 2;
    fs::create_directories(folder);
    int end = 0;
    if (growth) {
        end = tellGrowth(folder);
    } else if (const auto [width, height] = sidesOf(megapixels); prepare(folder, width, height)) {
        std::printf("%d x %d pixels, %.0f MB packed, %d threads, best of %d, in turn ours, reference\n",
                    width, height, double(fs::file_size(folder / "scan.tif")) / 1e6, Threads, rounds);
        tellTable(folder, frameOf(width, height), rounds);
    } else {
        std::printf("the scan cannot be written to %s\n", folder.c_str());
        end = 2;
    }
    fs::remove_all(folder);
    if (end == 0)
        std::printf("%s\n", allMet ? "all bounds met" : "NOT all bounds met");
    return end != 0 ? end : allMet ? 0 : 1;
}
