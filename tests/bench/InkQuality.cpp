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

struct Tally {
    int all = 0, good = 0;
    void add(const TracedOutline& outline)
    {
        ++all;
        good += outline.good() ? 1 : 0;
    }
    double share() const { return all > 0 ? 100.0 * good / all : 0; }
};

void tellFolder(const std::filesystem::path& folder)
{
    Tally oneClick, wider, limits;
    std::vector<std::filesystem::path> files;
    for (const auto& entry : std::filesystem::directory_iterator(folder / "truth"))
        if (entry.path().stem() != "faults")
            files.push_back(entry.path());
    std::sort(files.begin(), files.end());
    for (const auto& file : files)
        for (const TracedOutline& outline : traceAreas(folder, file.stem())) {
            (!outline.closed ? limits : outline.oneClick ? oneClick : wider).add(outline);
            std::printf("%-5s %-5s %-9s %s  mean %.3f  95%% %.3f mm  %3zu vertices %3zu gaps %8.0f mm2  "
                        "doubt %.2f  %s%s\n",
                        outline.drawing.c_str(), outline.context.c_str(), outline.kind.c_str(),
                        !outline.closed    ? "limit   "
                        : outline.oneClick ? "click   "
                                           : "wider   ",
                        outline.misfit.meanMm, outline.misfit.ninetyFiveMm, outline.vertices, outline.gaps,
                        outline.areaMm2, outline.doubt, outline.good() ? "" : "NOT GOOD ",
                        outline.trouble.c_str());
            std::fflush(stdout);
        }
    std::printf("%s: one click %d of %d (%.0f %%), click and key %d of %d, at the limit %d of %d\n",
                folder.c_str(), oneClick.good, oneClick.all, oneClick.share(), wider.good, wider.all,
                limits.good, limits.all);
}

} // namespace

int main(int count, char** words)
{
    try {
        for (int i = 1; i < count; ++i)
            tellFolder(words[i]);
    } catch (const std::exception& trouble) {
        std::fprintf(stderr, "%s\n", trouble.what());
        return 2;
    }
    return count > 1 ? 0 : 2;
}
