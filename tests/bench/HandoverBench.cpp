// SPDX-License-Identifier: GPL-3.0-or-later
// Not a test: prints how long the vector exports of 10,000 outlines take together and how they grow with
// the number of outlines; and how fast a push into PostGIS is, beside a plain COPY of the same rows into
// the same server.
//   cmake --build --preset dev --target inkpeg_handover_bench &&
//   build/dev/tests/bench/inkpeg_handover_bench [outlines] [rounds]
#include <chrono>
#include <cmath>
#include <cstdio>
#include <ctime>

#include <QTemporaryDir>

#include "core/base/Text.h"
#include "core/handover/FeatureLayers.h"
#include "core/handover/Geodata.h"
#include "core/handover/SiteDatabase.h"
#include "tests/core/handover/ManyOutlines.h"
#include "tests/core/handover/SiteServer.h"

using namespace inkpeg;

namespace fs = std::filesystem;

namespace {

double now()
{
    return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

double processorTime()
{
    timespec time{};
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &time);
    return static_cast<double>(time.tv_sec) + static_cast<double>(time.tv_nsec) * 1e-9;
}

Project yardWith(const fs::path& file, int outlines)
{
    Project project = yard::make(file);
    yard::addOutlines(project, outlines);
    return project;
}

void tellExports(const fs::path& folder, int most, int rounds)
{
    GeodataSettings settings;
    settings.gml = settings.shapefile = settings.replace = true;
    std::vector<double> logN, logT;
    for (int count = most / 8; count <= most; count *= 2) {
        const Project project = yardWith(folder / ("yard-" + std::to_string(count) + ".gpkg"), count);
        double seconds = 1e9, processor = 1e9;
        for (int round = 0; round < rounds; ++round) {
            const double start = now(), startProcessor = processorTime();
            const Result<HandOverReport> done = handOverGeodata(project, folder / "out", settings);
            if (!done) {
                std::printf("%s\n", done.error().message.c_str());
                return;
            }
            seconds = std::min(seconds, now() - start);
            processor = std::min(processor, processorTime() - startProcessor);
        }
        std::printf("%6d outlines, five formats: %6.2f s, %6.2f s of processor time\n", count, seconds,
                    processor);
        logN.push_back(std::log(count));
        logT.push_back(std::log(processor));
    }
    // slope of the regression line of log time on log number
    const double n = static_cast<double>(logN.size());
    double sumX = 0, sumY = 0, sumXX = 0, sumXY = 0;
    for (std::size_t i = 0; i < logN.size(); ++i) {
        sumX += logN[i];
        sumY += logT[i];
        sumXX += logN[i] * logN[i];
        sumXY += logN[i] * logT[i];
    }
    std::printf("growth exponent of the processor time: %.3f\n",
                (n * sumXY - sumX * sumY) / (n * sumXX - sumX * sumX));
}

/// Seconds that psql takes to copy the rows of a file into a fresh table like `table`.
double plainCopy(const SiteServer& server, const QString& table, const QString& file)
{
    server.sql("DROP TABLE IF EXISTS plain; CREATE TABLE plain (LIKE " + table + " INCLUDING DEFAULTS)");
    const double start = now();
    server.sql("\\copy plain FROM '" + file + "'");
    return now() - start;
}

void tellPush(const fs::path& folder, int outlines, int rounds)
{
    SiteServer server;
    if (const QString trouble = server.start(); !trouble.isEmpty()) {
        std::printf("no database: %s\n", qPrintable(trouble));
        return;
    }
    const Project project = yardWith(folder / "push.gpkg", outlines);
    const Result<HandOverContent> content = gatherLayers(project);
    std::size_t features = 0;
    for (const FeatureLayer& layer : content->layers)
        features += layer.features.size();
    DatabaseSettings settings;
    settings.service = "site";
    double pushed = 1e9, copied = 1e9, again = 1e9;
    std::size_t rows = 0;
    for (int round = 0; round < rounds; ++round) {
        server.sql("DROP SCHEMA IF EXISTS excavation CASCADE");
        double start = now();
        const Result<PushReport> first =
            pushLayers(content->layers, "SKR26", "EPSG:25832", "now", settings);
        if (!first) {
            std::printf("%s\n", first.error().message.c_str());
            return;
        }
        pushed = std::min(pushed, now() - start);
        start = now();
        if (pushLayers(content->layers, "SKR26", "EPSG:25832", "now", settings))
            again = std::min(again, now() - start);
        const QString file = QString::fromStdString((folder / "rows.txt").string());
        server.sql("\\copy excavation.outline_vertices TO '" + file + "'");
        rows = static_cast<std::size_t>(
            server.sql("SELECT count(*) FROM excavation.outline_vertices").toULongLong());
        copied = std::min(copied, plainCopy(server, "excavation.outline_vertices", file));
    }
    std::printf("push of %zu features: %.2f s, %.0f features/s; again, nothing changed: %.2f s\n", features,
                pushed, static_cast<double>(features) / pushed, again);
    std::printf("plain COPY of %zu of them, no key, no index, no comparison: %.2f s, %.0f rows/s\n", rows,
                copied, static_cast<double>(rows) / copied);
}

} // namespace

int main(int argc, char** argv)
{
    std::setvbuf(stdout, nullptr, _IOLBF, 0);
    const int outlines = argc > 1 ? static_cast<int>(parseWhole(argv[1]).value_or(10'000)) : 10'000;
    const int rounds = argc > 2 ? std::max(1, static_cast<int>(parseWhole(argv[2]).value_or(2))) : 2;
    QTemporaryDir folder;
    const fs::path path = folder.path().toStdString();
    tellExports(path, outlines, rounds);
    tellPush(path, outlines, rounds);
    return 0;
}
