// SPDX-License-Identifier: GPL-3.0-or-later
// Draws the demo excavation: inkpeg_demo_generator FOLDER [--only DRAWING] [--dpi 400] [--variant N] [--poor]
#include <atomic>
#include <cstdio>
#include <filesystem>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include <cpl_conv.h>
#include <gdal_priv.h>

#include "core/base/Text.h"
#include "samples/generator/Clicks.h"
#include "samples/generator/Demo.h"
#include "samples/generator/Dice.h"
#include "samples/generator/Draughting.h"
#include "samples/generator/Film.h"
#include "samples/generator/Registers.h"

namespace {

using namespace inkpeg::demo;

constexpr const char* Usage =
    "usage: inkpeg_demo_generator FOLDER [--only DRAWING] [--dpi 400] [--variant N] [--poor]\n"
    "  writes FOLDER/film, FOLDER/registers, FOLDER/tracing and FOLDER/truth\n"
    "  --only P-01   scans only the sheet that carries this drawing\n"
    "  --dpi N       resolution of the scans, 50 to 1200\n"
    "  --variant N   another drawing of the same site: every chance falls differently\n"
    "  --poor        faint pencil, rubbed and smudged film\n";

struct Wishes {
    std::filesystem::path folder;
    std::string only;
    double dpi = 400;
    bool poor = false;
};

std::optional<Wishes> wishesFrom(const std::vector<std::string>& words)
{
    Wishes wishes;
    for (std::size_t i = 0; i < words.size(); ++i) {
        if (words[i] == "--only" && i + 1 < words.size()) {
            wishes.only = words[++i];
        } else if (words[i] == "--dpi" && i + 1 < words.size()) {
            const std::optional<double> dpi = inkpeg::parseNumber(words[++i]);
            if (!dpi || *dpi < 50 || *dpi > 1200)
                return std::nullopt;
            wishes.dpi = *dpi;
        } else if (words[i] == "--variant" && i + 1 < words.size()) {
            const std::optional<long long> variant = inkpeg::parseWhole(words[++i]);
            if (!variant || *variant < 0)
                return std::nullopt;
            Dice::throwFor(static_cast<std::uint64_t>(*variant));
        } else if (words[i] == "--poor") {
            wishes.poor = true;
        } else if (wishes.folder.empty() && words[i].front() != '-') {
            wishes.folder = words[i];
        } else {
            return std::nullopt;
        }
    }
    return wishes.folder.empty() ? std::nullopt : std::optional(wishes);
}

std::string scanSheet(const Demo& demo, const SheetPlan& sheet, const std::filesystem::path& folder)
{
    Pencil pencil(sheet.map, static_cast<std::uint32_t>(Dice("pencil on " + sheet.number).next()),
                  sheet.pressing);
    draughtSheet(demo, sheet, pencil);
    return writeScan(sheet, exposeSheet(sheet, pencil.graphite()), folder / sheet.file);
}

/// Every sheet by one of two threads; what went wrong, if anything.
std::string scanSheets(const Demo& demo, const std::vector<const SheetPlan*>& sheets,
                       const std::filesystem::path& folder)
{
    std::atomic<std::size_t> next = 0;
    std::mutex lock;
    std::string trouble;
    const auto work = [&] {
        for (std::size_t i = next++; i < sheets.size(); i = next++) {
            const std::string wrong = scanSheet(demo, *sheets[i], folder);
            const std::lock_guard held(lock);
            trouble += wrong.empty() ? "" : wrong + "\n";
        }
    };
    std::vector<std::jthread> threads;
    for (unsigned i = 0; i < std::max(1U, std::min(4U, std::thread::hardware_concurrency())); ++i)
        threads.emplace_back(work);
    threads.clear();
    return trouble;
}

std::vector<const SheetPlan*> sheetsWanted(const Demo& demo, const std::string& only)
{
    std::vector<const SheetPlan*> sheets;
    for (const SheetPlan& sheet : demo.sheets) {
        bool wanted = only.empty();
        for (const int index : sheet.drawings)
            wanted = wanted || demo.drawings[static_cast<std::size_t>(index)].number == only;
        if (wanted)
            sheets.push_back(&sheet);
    }
    return sheets;
}

} // namespace

int main(int count, char** words)
{
    const std::optional<Wishes> wishes = wishesFrom({words + 1, words + count});
    if (!wishes) {
        std::fputs(Usage, stderr);
        return 2;
    }
    GDALAllRegister();
    CPLSetErrorHandler(CPLQuietErrorHandler);
    CPLSetConfigOption("GDAL_PAM_ENABLED", "NO"); // no side files beside the scans
    Demo demo = skelderRigg(wishes->dpi);
    if (wishes->poor)
        wearFilm(demo);
    const std::vector<const SheetPlan*> sheets = sheetsWanted(demo, wishes->only);
    if (sheets.empty()) {
        std::fprintf(stderr, "--only %s: no such drawing; the demo has P-01 to P-10 and S-01 to S-04\n",
                     wishes->only.c_str());
        return 2;
    }
    std::error_code failed;
    std::filesystem::create_directories(wishes->folder / "film", failed);
    if (failed) {
        std::fprintf(stderr, "%s: cannot be made: %s\n", wishes->folder.c_str(), failed.message().c_str());
        return 2;
    }
    const std::string trouble =
        writeRegisters(demo, wishes->folder / "registers") + writeTruth(demo, wishes->folder / "truth") +
        writeClicks(demo, wishes->folder / "tracing") + scanSheets(demo, sheets, wishes->folder);
    if (!trouble.empty()) {
        std::fprintf(stderr, "%s\n", trouble.c_str());
        return 2;
    }
    std::printf(
        "%zu sheets, %zu drawings, %zu contexts, %zu finds, %zu timbers, %zu samples, %zu pegs in %s\n",
        sheets.size(), demo.drawings.size(), demo.contexts.size(), demo.finds.size(), demo.timbers.size(),
        demo.samples.size(), demo.pegs.size(), wishes->folder.c_str());
    return 0;
}
