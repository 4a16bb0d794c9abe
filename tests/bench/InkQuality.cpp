// SPDX-License-Identifier: GPL-3.0-or-later
// Prints how well a click inside each outline of the demo traces it: inkpeg_ink_quality FOLDER...
// A folder is made by inkpeg_demo_generator, with --variant and --poor for drawings that nobody looked at.
#include <algorithm>
#include <cstdio>
#include <exception>
#include <filesystem>

#include "tests/samples/TracingQuality.h"

using namespace inkpeg::quality;

namespace {

void tellOutline(const TracedOutline& outline)
{
    const char* sort = !outline.closed ? "limit" : outline.oneClick ? "click" : "wider";
    std::printf(
        "%-5s %-5s %-9s %s  mean %.3f  95%% %.3f mm  %3zu vertices %3zu gaps %8.0f mm2  doubt %.2f  %s%s\n",
        outline.drawing.c_str(), outline.context.c_str(), outline.kind.c_str(), sort, outline.misfit.meanMm,
        outline.misfit.ninetyFiveMm, outline.vertices, outline.gaps, outline.areaMm2, outline.doubt,
        outline.good() ? "" : "NOT GOOD ", outline.trouble.c_str());
}

std::string tellFolder(const std::filesystem::path& folder)
{
    Tally tally;
    std::vector<std::filesystem::path> files;
    for (const auto& entry : std::filesystem::directory_iterator(folder / "truth"))
        if (entry.path().stem() != "faults")
            files.push_back(entry.path());
    std::sort(files.begin(), files.end());
    for (const auto& file : files) {
        const TracedDrawing traced = traceDrawing(folder, file.stem());
        for (const TracedOutline& outline : traced.outlines)
            tellOutline(outline);
        for (const TracedPath& path : traced.paths)
            if (!path.good())
                std::printf("%-5s %-5s way of 60 mm  within %.2f\n", file.stem().c_str(),
                            path.context.c_str(), path.within);
        std::fflush(stdout);
        tally.add(traced);
    }
    return tally.line(folder.filename().string());
}

} // namespace

int main(int count, char** words)
{
    try {
        std::string table = Tally::header() + "\n";
        for (int i = 1; i < count; ++i)
            table += tellFolder(words[i]) + "\n";
        std::printf("\n%s", table.c_str());
    } catch (const std::exception& trouble) {
        std::fprintf(stderr, "%s\n", trouble.what());
        return 2;
    }
    return count > 1 ? 0 : 2;
}
