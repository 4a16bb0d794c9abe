// SPDX-License-Identifier: GPL-3.0-or-later
// The whole hand-over, as the window and the command line ask for it: geodata, laid scans, plans, reports,
// as a folder or as an archive bag. It is complete or not there at all.
//
//   const HandOverOrder order{.folder = "hand-over", .plans = PlansOrder{}};
//   const Result<HandedOver> done = handOver(project, order, progress);
#pragma once

#include <cstdint>
#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "app/print/PlanSheet.h"
#include "core/base/Progress.h"
#include "core/base/Result.h"
#include "core/handover/Geodata.h"

namespace inkpeg {

/// Print-ready plans and sections.
struct PlansOrder {
    PlanChoice choice = {};
    SheetSettings sheet = {};
    bool overview = true;     ///< one plan of all that is chosen
    bool eachContext = false; ///< a plan of each single context
    bool eachPeriod = false;  ///< a plan of each trench and period
    bool sections = true;     ///< each section, unless the choice is narrowed to contexts or a period
    bool pdf = true, svg = true;
};

struct LaidOrder {
    bool cloudOptimised = false;
    bool worldFile = false;
};

struct HandOverOrder {
    std::filesystem::path folder = {};
    GeodataSettings geodata = {};
    std::optional<PlansOrder> plans = {};
    std::optional<LaidOrder> laid = {};
    bool reports = true; ///< residuals, and the project report with the data dictionary
    bool bag = false;    ///< RFC 8493, with the original scans, registers and metadata
    bool scans = true;   ///< of a bag
    bool replace = false;
};

struct HandedOver {
    std::filesystem::path folder;
    std::vector<std::string> files; ///< relative to the folder, in order
    std::uint64_t bytes = 0;
    std::vector<std::pair<std::string, std::size_t>> counts; ///< features in each layer; empty for a bag
    std::vector<std::string> remarks;
    std::string json; ///< hand-over.json, for programs; of a bag, what was bagged
};

/// Errors: as handOverGeodata and writeBag; Cancelled. Nothing stays behind when it fails.
Result<HandedOver> handOver(const Project& project, const HandOverOrder& order,
                            const Progress& progress = {});

/// The pages that an order asks for, with remarks on what does not fit on its paper. Errors: NotFound (the
/// choice shows nothing); BadInput (a scale that is none); Cancelled.
struct PlanPages {
    std::vector<PlanSheet> plans, sections;
    std::vector<std::string> remarks;
};
Result<PlanPages> planPages(const Project& project, const PlansOrder& order, const Progress& progress = {});

/// plans.pdf, sections.pdf, and each page as SVG, in `folder`. Gives the files' names.
Result<std::vector<std::string>> writePlans(const Project& project, const PlansOrder& order,
                                            const std::filesystem::path& folder,
                                            std::vector<std::string>& remarks,
                                            const Progress& progress = {});

/// What there is to hand over: counted once for each state of the project, so that every change of the
/// order can be answered at once.
struct HandOverStock {
    struct Drawn {
        std::size_t outlines = 0, vertices = 0; ///< on plans
        std::size_t sectionOutlines = 0, sectionVertices = 0;
    };
    /// By the stage that outline or drawing has come to, whichever is further.
    std::map<Stage, Drawn> drawn;
    std::size_t records = 0; ///< of the registers, pegs and pins among them
    std::size_t pinned = 0;  ///< drawings
    std::size_t singlePlans = 0, composites = 0, sections = 0; ///< pages that plans may have
    std::size_t scanFiles = 0;
    std::uint64_t scanBytes = 0;
    std::size_t layable = 0;
    std::uint64_t laidBytes = 0; ///< about; see HandOverForecast
    bool rightsStated = false;   ///< rights and depositor both
    std::vector<std::string> unfinished;
};
HandOverStock stockOf(const Project& project);

/// What an order will write, before it does: for the page that asks.
struct HandOverForecast {
    struct Part {
        std::string what, about;
        std::uint64_t bytes = 0; ///< about: see the source for what each is measured on
    };
    std::vector<Part> parts;
    std::vector<std::string> unfinished; ///< what stays behind or is not signed off
    std::uint64_t bytes() const;
};
HandOverForecast forecast(const HandOverStock& stock, const HandOverOrder& order);

/// A name that is safe on every system: ASCII letters, digits, hyphen, dot (within a word) and low line of
/// `text`, at most 80 of them, never empty, never beginning with a dot.
std::string safeFileName(const std::string& text);

} // namespace inkpeg
