// SPDX-License-Identifier: GPL-3.0-or-later
// Lays the drawings of a project into a folder, several at a time, and only those that need it.
//
//   const Result<LayPlan> plan = planLaying(project, drawings, "laid", settings);
//   for (const DrawingLaid& each : layDrawings(*plan, workers, watch)) ...
#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "core/base/Progress.h"
#include "core/base/Result.h"
#include "core/film/Lay.h"
#include "core/records/Records.h"
#include "core/store/DrawingFit.h"
#include "core/store/Project.h"

namespace inkpeg {

enum class LaidOutcome {
    Laid,
    UpToDate, ///< the file was laid from the same scan, pins, model and settings
    Failed,
    Stopped, ///< not begun, or given up without a trace
};

/// "laid", "up to date", "failed", "stopped".
std::string laidOutcomeName(LaidOutcome outcome);

/// What became of one drawing.
struct DrawingLaid {
    std::string drawing;
    std::filesystem::path file;
    LaidOutcome outcome = LaidOutcome::Stopped;
    LayReport report;     ///< when laid
    Error error;          ///< when failed
    bool pinsHold = true; ///< false: laid, but its pins are out of tolerance or not checked by any other
};

/// All that is needed to lay one drawing, so that no thread must ask the project.
struct LayTask {
    std::string drawing;
    std::filesystem::path scan, file;
    std::string scanSha256; ///< as registered; empty when the project does not know
    Result<DrawingGround> ground;
    std::vector<ControlPoint> pins;
    Model model = Model::Affine;
    double scaleDenominator = 20;
    LaySettings settings;
    double sizePx = 1; ///< of its part of the sheet, for the progress
};

struct LayPlan {
    std::string crs;
    std::vector<LayTask> tasks;
};

/// The drawings that can be laid: those that show the ground, not a face.
std::vector<Drawing> layableDrawings(const Project& project);

/// Each drawing becomes NUMBER.tif in `folder`, which is made; letters other than ASCII letters, digits,
/// hyphen and dot become low lines. A drawing without a fit stays in the plan and fails when its turn
/// comes. Errors: BadInput (a drawing that shows a face); System (folder); as
/// Project::takeReadingTrouble.
Result<LayPlan> planLaying(const Project& project, const std::vector<Drawing>& drawings,
                           const std::filesystem::path& folder, const LaySettings& settings);

/// SHA-256 over everything the laid picture depends on: the bytes of the scan (`scanSha256`), the film's
/// frame, pins with their pegs, model, CRS, the drawing's part of the sheet, and the settings that change a
/// pixel or the file's layout. Kept in the file (LaidFromItem), so that it travels with what it describes.
std::string digestOfTask(const LayTask& task, const std::string& crs, const std::string& scanSha256);

/// Who watches: `progress` is the share of all, `done` is told of each drawing as it ends. Both are called
/// from any of the threads, never two at once.
struct LayWatch {
    Progress progress;
    std::function<void(const DrawingLaid&)> done;
};

/// `workers` drawings at a time (0 = one for each core, as far as memory allows a few), the threads of the
/// settings shared among them. `again` lays what is up to date as well. When stopped or when the disk is
/// full, what is not finished leaves nothing behind, and the next call goes on where this one ended.
/// Returns one entry for each task, in order.
std::vector<DrawingLaid> layDrawings(const LayPlan& plan, int workers, bool again, const LayWatch& watch);

} // namespace inkpeg
