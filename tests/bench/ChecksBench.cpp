// SPDX-License-Identifier: GPL-3.0-or-later
// Prints what checking, linking, searching and taking registers in cost, each against a reference measured in
// the same process, in turn A B A B, by processor time (the machine may do other things meanwhile).
//
//   inkpeg_checks_bench [part of: checks links search csv import] [rounds]
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <ctime>
#include <filesystem>
#include <fstream>
#include <functional>
#include <random>
#include <sstream>

#include <geos_c.h>
#include <sqlite3.h>

#include "core/base/Csv.h"
#include "core/checks/BoxIndex.h"
#include "core/checks/Checks.h"
#include "core/checks/Links.h"
#include "core/records/RegisterTable.h"
#include "core/store/RegisterImport.h"
#include "tests/bench/BenchSite.h"

using namespace inkpeg;
using namespace inkpeg::bench;

namespace {

double processorS()
{
    return static_cast<double>(std::clock()) / CLOCKS_PER_SEC;
}

double wallS()
{
    timespec now{};
    clock_gettime(CLOCK_MONOTONIC, &now);
    return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

struct Took {
    double processor = 1e9, wall = 1e9; ///< the least of the rounds, in seconds
};

/// Runs the works in turn and gives the least of each.
std::vector<Took> inTurn(int rounds, const std::vector<std::function<void()>>& works)
{
    std::vector<Took> took(works.size());
    for (int round = 0; round < rounds; ++round)
        for (std::size_t i = 0; i < works.size(); ++i) {
            const double processor = processorS(), wall = wallS();
            works[i]();
            took[i].processor = std::min(took[i].processor, processorS() - processor);
            took[i].wall = std::min(took[i].wall, wallS() - wall);
        }
    return took;
}

void benchChecks(int rounds)
{
    std::puts("all checks");
    double first = 0;
    for (const int times : {1, 3, 10}) {
        const ProjectRecords records = siteOf({10'000 * times, 500 * times, 100'000 * times});
        std::size_t matters = 0;
        const Took took =
            inTurn(times == 10 ? 1 : rounds, {[&] { matters = runChecks(records).size(); }})[0];
        std::printf(
            "  %7zu contexts %5zu drawings %8zu finds: %7.2f s wall, %7.2f s processor, %zu matters\n",
            records.contexts.size(), records.drawings.size(), records.finds.size(), took.wall,
            took.processor, matters);
        if (times == 1)
            first = took.processor;
        else
            std::printf("    growth exponent to %d times: %.3f\n", times,
                        std::log(took.processor / first) / std::log(times));
    }
}

/// Prepared GEOS polygons with bounding boxes, looked at one after the other.
class PlainLoop {
public:
    explicit PlainLoop(const ProjectRecords& records) : m_geos(GEOS_init_r())
    {
        for (const OutlineOnGround& outline : records.groundOutlines) {
            const RingOnGround& ring = outline.parts[0].outer;
            const unsigned count = static_cast<unsigned>(ring.size());
            GEOSCoordSequence* sequence = GEOSCoordSeq_create_r(m_geos, count + 1, 2);
            for (unsigned i = 0; i <= count; ++i)
                GEOSCoordSeq_setXY_r(m_geos, sequence, i, ring[i % count].east, ring[i % count].north);
            m_polygons.push_back(GEOSGeom_createPolygon_r(
                m_geos, GEOSGeom_createLinearRing_r(m_geos, sequence), nullptr, 0));
            m_prepared.push_back(GEOSPrepare_r(m_geos, m_polygons.back()));
            m_boxes.push_back(boxOf(ring));
        }
    }
    ~PlainLoop()
    {
        for (std::size_t i = 0; i < m_polygons.size(); ++i) {
            GEOSPreparedGeom_destroy_r(m_geos, m_prepared[i]);
            GEOSGeom_destroy_r(m_geos, m_polygons[i]);
        }
        GEOS_finish_r(m_geos);
    }
    PlainLoop(const PlainLoop&) = delete;
    PlainLoop& operator=(const PlainLoop&) = delete;

    std::size_t holding(GroundM place) const
    {
        GroundBox at;
        at.take(place);
        GEOSGeometry* point = GEOSGeom_createPointFromXY_r(m_geos, place.east, place.north);
        std::size_t count = 0;
        for (std::size_t i = 0; i < m_boxes.size(); ++i)
            count += m_boxes[i].meets(at) && GEOSPreparedIntersects_r(m_geos, m_prepared[i], point) == 1;
        GEOSGeom_destroy_r(m_geos, point);
        return count;
    }

private:
    GEOSContextHandle_t m_geos;
    std::vector<GEOSGeometry*> m_polygons;
    std::vector<const GEOSPreparedGeometry*> m_prepared;
    std::vector<GroundBox> m_boxes;
};

void benchLinks(int rounds)
{
    const ProjectRecords records = siteOf({100'000, 500, 1'000'000});
    const std::vector<Placed> placed = placedOf(records);
    const PlainLoop loop(records);
    // The loop would take the better part of an hour for all: a sample of its finds, counted up.
    constexpr std::size_t Step = 5000;
    std::size_t insideOurs = 0, insideLoop = 0;
    const std::vector<Took> took = inTurn(rounds, {[&] {
                                                       const std::vector<Link> links =
                                                           linkToOutlines(records, placed);
                                                       insideOurs = 0;
                                                       for (std::size_t i = 0; i < links.size(); i += Step)
                                                           insideOurs += links[i].inside.size();
                                                   },
                                                   [&] {
                                                       insideLoop = 0;
                                                       for (std::size_t i = 0; i < placed.size(); i += Step)
                                                           insideLoop += loop.holding(*placed[i].position);
                                                   }});
    const double loopS = took[1].processor * Step;
    std::printf(
        "links: %zu finds on %zu outlines\n  ours %.2f s wall, %.2f s processor (with verdicts, "
        "probabilities and alternatives)\n  plain loop over prepared GEOS polygons with boxes: %.1f s "
        "processor (from every %zuth find)\n  ratio %.0f\n  held by outlines among the sample: %zu and "
        "%zu\n",
        placed.size(), records.groundOutlines.size(), took[0].wall, took[0].processor, loopS, Step,
        loopS / took[0].processor, insideOurs, insideLoop);
}

void benchSearch(int rounds)
{
    const std::vector<std::vector<std::string>> rows = findCells(100'000);
    RegisterTable table({"number", "context", "trench", "material", "description"});
    for (const std::vector<std::string>& cells : rows)
        table.add(cells);
    std::puts("search in 100,000 finds");
    for (const char* query : {"rim", "kiln rim", "context:1042", "xyz", "a"}) {
        const std::string plain = std::string(query).find(':') == std::string::npos ? query : "1042";
        std::size_t ours = 0, reference = 0;
        const std::vector<Took> took = inTurn(
            rounds * 5,
            {[&] { ours = table.matching(query).size(); },
             [&] {
                 reference = 0;
                 for (const std::vector<std::string>& cells : rows) {
                     bool all = true;
                     std::istringstream words(plain);
                     for (std::string word; words >> word;)
                         all = all && std::any_of(cells.begin(), cells.end(), [&](const std::string& cell) {
                                   return foldedCase(cell).find(word) != std::string::npos;
                               });
                     reference += all;
                 }
             }});
        std::printf("  %-14s %6zu found in %6.2f ms; looking at every cell: %7.2f ms; ratio %.0f\n", query,
                    ours, took[0].processor * 1000, took[1].processor * 1000,
                    took[1].processor / took[0].processor);
    }
}

std::string csvText(std::size_t lines)
{
    std::string text = csvLine({"number", "context", "trench", "material", "description"});
    for (const std::vector<std::string>& cells : findCells(lines))
        text += csvLine(cells);
    return text;
}

void benchCsv(int rounds)
{
    const std::string text = csvText(1'000'000);
    std::size_t ours = 0, reference = 0;
    const std::vector<Took> took =
        inTurn(rounds, {[&] { ours = readCsv(text, "bench")->rows.size(); },
                        [&] {
                            // No quotes, no encodings, no line numbers.
                            std::vector<std::vector<std::string>> rows;
                            std::istringstream in(text);
                            for (std::string line; std::getline(in, line);) {
                                auto& row = rows.emplace_back();
                                std::istringstream cells(line);
                                for (std::string cell; std::getline(cells, cell, ',');)
                                    row.push_back(std::move(cell));
                            }
                            reference = rows.size() - 1;
                        }});
    std::printf(
        "CSV: %zu lines, %.0f MB: %.2f s; std::getline at line ends and commas: %.2f s (%zu lines); "
        "ratio %.2f\n",
        ours, static_cast<double>(text.size()) / 1e6, took[0].processor, took[1].processor, reference,
        took[1].processor / took[0].processor);
}

void insertPlainly(const std::filesystem::path& file, const std::vector<std::vector<std::string>>& rows)
{
    std::filesystem::remove(file);
    sqlite3* database = nullptr;
    sqlite3_open(file.c_str(), &database);
    sqlite3_exec(
        database,
        "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; CREATE TABLE finds (id INTEGER PRIMARY "
        "KEY, number TEXT UNIQUE, context TEXT, trench TEXT, material TEXT, description TEXT); BEGIN",
        nullptr, nullptr, nullptr);
    sqlite3_stmt* insert = nullptr;
    sqlite3_prepare_v2(
        database,
        "INSERT INTO finds (number, context, trench, material, description) VALUES (?, ?, ?, ?, ?)", -1,
        &insert, nullptr);
    for (const std::vector<std::string>& cells : rows) {
        for (int i = 0; i < 5; ++i)
            sqlite3_bind_text(insert, i + 1, cells[static_cast<std::size_t>(i)].c_str(), -1, SQLITE_STATIC);
        sqlite3_step(insert);
        sqlite3_reset(insert);
    }
    sqlite3_finalize(insert);
    sqlite3_exec(database, "COMMIT", nullptr, nullptr, nullptr);
    sqlite3_close(database);
}

void benchImport(int rounds)
{
    namespace fs = std::filesystem;
    const fs::path folder = fs::temp_directory_path() / "inkpeg-checks-bench";
    fs::create_directories(folder);
    const fs::path csv = folder / "finds.csv", file = folder / "bench.gpkg",
                   plain = folder / "plain.sqlite";
    std::ofstream(csv, std::ios::binary) << csvText(100'000);
    const std::vector<std::vector<std::string>> rows = findCells(100'000);
    int added = 0, unchanged = 0;
    const std::vector<Took> took = inTurn(rounds, {[&] {
                                                       fs::remove(file);
                                                       Project project = Project::create(file, {}).value();
                                                       added = importRegister(project, csv)->added;
                                                   },
                                                   [&] { insertPlainly(plain, rows); },
                                                   [&] {
                                                       Project project =
                                                           Project::open(file, Access::Write).value();
                                                       unchanged = importRegister(project, csv)->unchanged;
                                                   }});
    std::printf(
        "register import: %d finds added: %.2f s, again unchanged (%d): %.2f s; the same rows put into "
        "a bare SQLite table: %.2f s; ratio %.1f (with planning, undo and journal)\n",
        added, took[0].processor, unchanged, took[2].processor, took[1].processor,
        took[0].processor / took[1].processor);
    fs::remove_all(folder);
}

} // namespace

int main(int count, char** words)
{
    const std::string part = count > 1 ? words[1] : "";
    const int rounds = count > 2 ? std::max(1, std::atoi(words[2])) : 3;
    const std::pair<const char*, void (*)(int)> benches[] = {{"checks", benchChecks},
                                                             {"links", benchLinks},
                                                             {"search", benchSearch},
                                                             {"csv", benchCsv},
                                                             {"import", benchImport}};
    for (const auto& [name, bench] : benches)
        if (part.empty() || part == name)
            bench(rounds);
}
