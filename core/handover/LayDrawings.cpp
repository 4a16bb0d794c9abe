// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/LayDrawings.h"

#include <algorithm>
#include <atomic>
#include <mutex>
#include <set>
#include <thread>

#include "core/base/Digest.h"
#include "core/base/Text.h"

namespace inkpeg {
namespace {

/// Changes whenever the same input would give other pixels than before.
constexpr const char* Engine = "inkpeg lay 1";
constexpr int MostWorkers = 8;
constexpr std::size_t SourceBytesOfAll = std::size_t{160} << 20, SourceBytesAtLeast = std::size_t{32} << 20;

std::string fileNameFor(const std::string& number)
{
    std::string name;
    for (const char c : number) {
        const bool plain = (c >= '0' && c <= '9') || (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') ||
                           c == '-' || c == '.';
        name += plain ? c : '_';
    }
    return name.empty() || name.front() == '.' ? "_" + name : name.substr(0, 100);
}

/// Lines of "name value value ..."; numbers as they read back exactly.
class Description {
public:
    Description& line(const std::string& name)
    {
        m_text += "\n" + name;
        return *this;
    }
    Description& add(const std::string& word)
    {
        m_text += " " + std::to_string(word.size()) + ":" + word; // the length parts words from one another
        return *this;
    }
    Description& add(double number)
    {
        m_text += " " + exact(number);
        return *this;
    }
    const std::string& text() const { return m_text; }

private:
    std::string m_text;
};

bool worldFileIsThere(const LayTask& task)
{
    std::error_code ignored;
    std::filesystem::path file = task.file;
    return !task.settings.worldFile || std::filesystem::exists(file.replace_extension(".tfw"), ignored);
}

/// One run of layDrawings.
class Batch {
public:
    Batch(const LayPlan& plan, bool again, const LayWatch& watch)
        : m_plan(plan), m_again(again), m_watch(watch), m_results(plan.tasks.size()),
          m_shares(plan.tasks.size(), 0.0)
    {
        for (std::size_t i = 0; i < plan.tasks.size(); ++i) {
            m_results[i].drawing = plan.tasks[i].drawing;
            m_results[i].file = plan.tasks[i].file;
            m_sizePx += plan.tasks[i].sizePx;
        }
    }

    void run(int workers)
    {
        const int cores = std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
        const int most = std::min(MostWorkers, static_cast<int>(m_plan.tasks.size()));
        const int count = std::clamp(workers > 0 ? workers : cores, 1, std::max(1, most));
        m_threadsEach = std::max(1, cores / count);
        m_sourceBytesEach =
            std::max(SourceBytesAtLeast, SourceBytesOfAll / static_cast<std::size_t>(count));
        std::vector<std::jthread> threads;
        for (int i = 0; i < count; ++i)
            threads.emplace_back([this] { work(); });
    }

    std::vector<DrawingLaid> take() { return std::move(m_results); }

private:
    void work()
    {
        for (std::size_t i = m_next++; i < m_plan.tasks.size() && !m_stop; i = m_next++) {
            DrawingLaid& result = m_results[i];
            layOne(m_plan.tasks[i], result, [this, i](double share) { return tell(i, share); });
            if (result.outcome == LaidOutcome::Failed && result.error.code == ErrorCode::OutOfSpace)
                m_stop = true; // the others would fail the same way
            tell(i, 1);
            const std::lock_guard lock(m_watching);
            if (m_watch.done)
                m_watch.done(result);
        }
    }

    bool tell(std::size_t task, double share)
    {
        const std::lock_guard lock(m_watching);
        m_shares[task] = share;
        double done = 0;
        for (std::size_t i = 0; i < m_shares.size(); ++i)
            done += m_shares[i] * m_plan.tasks[i].sizePx;
        if (!m_stop && !report(m_watch.progress, m_sizePx > 0 ? done / m_sizePx : 1))
            m_stop = true;
        return !m_stop;
    }

    void layOne(const LayTask& task, DrawingLaid& result, const Progress& progress) const
    {
        const auto failed = [&](const Error& error) {
            result.outcome =
                error.code == ErrorCode::Cancelled ? LaidOutcome::Stopped : LaidOutcome::Failed;
            result.error = error;
        };
        if (!task.ground)
            return failed(task.ground.error());
        result.pinsHold = pinsHold(task.ground->fit);
        const Result<std::string> scanSha256 = digestOfFile(task.scan);
        if (!scanSha256)
            return failed(scanSha256.error());
        if (!task.scanSha256.empty() && *scanSha256 != task.scanSha256)
            return failed({ErrorCode::Conflict,
                           task.drawing + ": the scan " + task.scan.string() +
                               " is not the file that was pinned (its SHA-256 differs from the one kept in "
                               "the project); bring the former one back, or give the sheet this scan anew "
                               "and look at its pins"});
        LaySettings settings = task.settings;
        settings.laidFrom = digestOfTask(task, m_plan.crs, *scanSha256);
        if (!m_again && laidFrom(task.file) == settings.laidFrom && worldFileIsThere(task)) {
            result.outcome = LaidOutcome::UpToDate;
            return;
        }
        if (settings.threads == 0)
            settings.threads = m_threadsEach;
        settings.sourceBytes = std::min(settings.sourceBytes, m_sourceBytesEach);
        const Result<Scan> scan = Scan::open(task.scan);
        if (!scan)
            return failed(scan.error());
        const Result<LayReport> report = lay(*scan, task.ground->film, task.ground->fit.transform,
                                             m_plan.crs, task.file, settings, progress);
        if (!report)
            return failed(report.error());
        result.outcome = LaidOutcome::Laid;
        result.report = *report;
    }

    const LayPlan& m_plan;
    bool m_again;
    const LayWatch& m_watch;
    int m_threadsEach = 1;
    std::size_t m_sourceBytesEach = SourceBytesAtLeast;
    std::vector<DrawingLaid> m_results;
    std::vector<double> m_shares;
    double m_sizePx = 0;
    std::atomic<std::size_t> m_next{0};
    std::atomic<bool> m_stop{false};
    std::mutex m_watching;
};

LayTask taskFor(const Project& project, const Drawing& drawing, const LaySettings& settings)
{
    const std::vector<Pin> pins = project.ofDrawing<Pin>(drawing.id);
    LayTask task{.drawing = drawing.number,
                 .scan = {},
                 .file = {},
                 .scanSha256 = {},
                 .ground = groundOfDrawing(project, drawing, pins),
                 .pins = {},
                 .model = drawing.model,
                 .scaleDenominator = drawing.scaleDenominator,
                 .settings = settings};
    task.settings.frame = drawing.frame;
    if (auto points = controlPoints(project, drawing, pins))
        task.pins = *points;
    if (const auto sheet = project.byKey<Sheet>(drawing.sheet)) {
        task.scan = scanPath(project, *sheet);
        task.scanSha256 = sheet->scanSha256;
        task.sizePx = std::max(1.0, sheet->frame.widthPx * sheet->frame.heightPx);
    }
    return task;
}

} // namespace

std::string laidOutcomeName(LaidOutcome outcome)
{
    constexpr const char* names[] = {"laid", "up to date", "failed", "stopped"};
    return names[static_cast<std::size_t>(outcome)];
}

std::vector<Drawing> layableDrawings(const Project& project)
{
    std::vector<Drawing> drawings;
    // A section has no place in plan; its picture stands in the report, not on the ground.
    for (Drawing& drawing : project.all<Drawing>())
        if (!isUpright(drawing.kind))
            drawings.push_back(std::move(drawing));
    return drawings;
}

Result<LayPlan> planLaying(const Project& project, const std::vector<Drawing>& drawings,
                           const std::filesystem::path& folder, const LaySettings& settings)
{
    for (const Drawing& drawing : drawings)
        if (isUpright(drawing.kind))
            return Error{ErrorCode::BadInput, "drawing " + drawing.number +
                                                  " shows a face, not the ground: only plans are laid"};
    std::error_code failed;
    std::filesystem::create_directories(folder, failed);
    if (failed)
        return Error{ErrorCode::System, folder.string() + ": cannot be made: " + failed.message()};
    LayPlan plan{project.facts().crs, {}};
    std::set<std::string> taken;
    for (const Drawing& drawing : drawings) {
        std::string name = fileNameFor(drawing.number);
        while (!taken.insert(lowerAscii(name)).second) // some disks do not tell capitals apart
            name += "_";
        plan.tasks.push_back(taskFor(project, drawing, settings));
        plan.tasks.back().file = folder / (name + ".tif");
    }
    if (const auto trouble = project.takeReadingTrouble())
        return *trouble;
    return plan;
}

std::string digestOfTask(const LayTask& task, const std::string& crs, const std::string& scanSha256)
{
    Description d;
    d.line(Engine).add(scanSha256).add(crs).add(modelName(task.model)).add(task.scaleDenominator);
    if (task.ground) {
        const FilmFrame& film = task.ground->film;
        d.line("film").add(film.widthPx).add(film.heightPx).add(film.dpiX).add(film.dpiY);
        d.add(film.faceDown ? 1 : 0);
    }
    for (const ControlPoint& pin : task.pins) {
        d.line("pin").add(pin.peg).add(static_cast<int>(pin.use)).add(pin.film.x).add(pin.film.y);
        d.add(pin.ground.east).add(pin.ground.north);
        d.add(pin.standardErrorEastM).add(pin.standardErrorNorthM);
    }
    const LaySettings& s = task.settings;
    for (const ScanPx corner : s.frame)
        d.line("corner").add(corner.column).add(corner.row);
    d.line("settings").add(static_cast<int>(s.kernel)).add(static_cast<int>(s.packing));
    d.add(s.pixelM.value_or(0)).add(s.exactnessPx).add(s.overviews ? 1 : 0).add(s.cloudOptimised ? 1 : 0);
    d.add(s.worldFile ? 1 : 0);
    return digestOf(d.text());
}

std::vector<DrawingLaid> layDrawings(const LayPlan& plan, int workers, bool again, const LayWatch& watch)
{
    Batch batch(plan, again, watch);
    batch.run(workers);
    return batch.take();
}

} // namespace inkpeg
