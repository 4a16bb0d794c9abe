// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/LoadRecords.h"

#include <filesystem>
#include <map>
#include <mutex>
#include <system_error>

#include "core/base/Digest.h"
#include "core/store/DrawingFit.h"
#include "core/store/PositionError.h"

namespace inkpeg {

namespace {

/// Digests of files already read, by path, size and time of change.
class DigestMemory {
public:
    ScanState stateOf(const std::filesystem::path& file)
    {
        std::error_code trouble;
        const std::uintmax_t size = std::filesystem::file_size(file, trouble);
        if (trouble)
            return {};
        const std::filesystem::file_time_type changed = std::filesystem::last_write_time(file, trouble);
        const std::lock_guard lock(m_mutex);
        Known& known = m_known[file];
        if (known.sha256.empty() || known.size != size || known.changed != changed) {
            const Result<std::string> digest = digestOfFile(file);
            known = {size, changed, digest ? *digest : std::string()};
        }
        return {true, known.sha256};
    }

private:
    struct Known {
        std::uintmax_t size = 0;
        std::filesystem::file_time_type changed;
        std::string sha256;
    };
    std::mutex m_mutex;
    std::map<std::filesystem::path, Known> m_known;
};

ScanState scanState(const std::filesystem::path& file)
{
    static DigestMemory memory;
    return memory.stateOf(file);
}

void readTables(const Project& project, ProjectRecords& records)
{
    records.facts = project.facts();
    records.people = project.all<Person>();
    records.trenches = project.all<Trench>();
    records.sheets = project.all<Sheet>();
    records.drawings = project.all<Drawing>();
    records.pegs = project.all<Peg>();
    records.pins = project.all<Pin>();
    records.contexts = project.all<Context>();
    records.relations = project.all<Relation>();
    records.finds = project.all<Find>();
    records.samples = project.all<Sample>();
    records.timbers = project.all<Timber>();
    records.photographs = project.all<Photograph>();
    records.outlines = project.all<Outline>();
    records.edgeLines = project.all<EdgeLine>();
    records.spotLevels = project.all<SpotLevel>();
    records.drawnPoints = project.all<DrawnPoint>();
    records.signOffs = project.all<SignOff>();
    records.waivers = project.all<Waiver>();
    records.levelBooks = project.all<LevelBook>();
    records.levelReadings = project.all<LevelReading>();
}

RingOnGround ringOnGround(const std::vector<ScanPx>& vertices, const DrawingGround& ground)
{
    RingOnGround ring;
    ring.reserve(vertices.size());
    for (const ScanPx vertex : vertices)
        ring.push_back(ground.toGround(vertex));
    return ring;
}

GroundCovariance isotropic(double varianceM2)
{
    return {varianceM2, 0, varianceM2};
}

/// Mean square standard error of the outer vertices.
GroundCovariance covarianceOf(const Outline& outline, const PositionErrors& errors)
{
    double sum = 0;
    int count = 0;
    for (const Part& part : outline.parts)
        for (const ScanPx vertex : part.outer.vertices) {
            const double totalM = errors.at(vertex).totalM();
            sum += totalM * totalM;
            ++count;
        }
    return isotropic(count > 0 ? sum / count : 0);
}

OutlineOnGround outlineOnGround(const Outline& outline, std::size_t index, const DrawingGround& ground,
                                const PositionErrors& errors)
{
    OutlineOnGround placed{index, {}, covarianceOf(outline, errors)};
    for (const Part& part : outline.parts) {
        PartOnGround onGround{ringOnGround(part.outer.vertices, ground), {}};
        for (const Ring& hole : part.holes)
            onGround.holes.push_back(ringOnGround(hole.vertices, ground));
        placed.parts.push_back(std::move(onGround));
    }
    return placed;
}

/// What lies on each drawing, as indices.
struct OnDrawing {
    std::vector<std::size_t> outlines, points, levels;
    std::vector<Pin> pins;
};

std::map<std::int64_t, OnDrawing> byDrawing(const ProjectRecords& records)
{
    std::map<std::int64_t, OnDrawing> grouped;
    for (std::size_t i = 0; i < records.outlines.size(); ++i)
        grouped[records.outlines[i].drawing].outlines.push_back(i);
    for (std::size_t i = 0; i < records.drawnPoints.size(); ++i)
        grouped[records.drawnPoints[i].drawing].points.push_back(i);
    for (std::size_t i = 0; i < records.spotLevels.size(); ++i)
        grouped[records.spotLevels[i].drawing].levels.push_back(i);
    for (const Pin& pin : records.pins)
        grouped[pin.drawing].pins.push_back(pin);
    return grouped;
}

void placeDrawing(const Project& project, const Drawing& drawing, const OnDrawing& on,
                  ProjectRecords& records)
{
    DrawingPlace& place = records.places[drawing.id];
    if (on.pins.empty())
        return;
    const Result<DrawingGround> ground = groundOfDrawing(project, drawing, on.pins);
    const Result<std::vector<ControlPoint>> control = controlPoints(project, drawing, on.pins);
    if (!ground || !control) {
        place.whyNot = !ground ? ground.error().message : control.error().message;
        return;
    }
    place.fit = ground->fit;
    place.section = ground->section;
    const double width = ground->film.widthPx, height = ground->film.heightPx;
    const std::vector<ScanPx> whole{{0, 0}, {width, 0}, {width, height}, {0, height}};
    place.footprint = ringOnGround(drawing.frame.size() >= 3 ? drawing.frame : whole, *ground);
    const PositionErrors errors(*ground, *control, records.facts.tracingErrorMm);
    for (const std::size_t i : on.outlines)
        records.groundOutlines.push_back(outlineOnGround(records.outlines[i], i, *ground, errors));
    for (const std::size_t i : on.points) {
        const ScanPx mark = records.drawnPoints[i].mark;
        const double totalM = errors.at(mark).totalM();
        records.groundPoints.push_back({i, ground->toGround(mark), isotropic(totalM * totalM)});
    }
    for (const std::size_t i : on.levels) {
        const ScanPx mark = records.spotLevels[i].mark;
        const double totalM = errors.at(mark).totalM();
        records.groundLevels.push_back({i, ground->toGround(mark), isotropic(totalM * totalM)});
    }
}

} // namespace

Result<ProjectRecords> loadRecords(const Project& project, const Progress& progress)
{
    ProjectRecords records;
    readTables(project, records);
    const std::map<std::int64_t, OnDrawing> grouped = byDrawing(records);
    const double steps = static_cast<double>(records.drawings.size() + records.sheets.size() + 1);
    double done = 1;
    for (const Drawing& drawing : records.drawings) {
        if (!report(progress, done++ / steps))
            return Error{ErrorCode::Cancelled, "reading the project was stopped"};
        const auto on = grouped.find(drawing.id);
        placeDrawing(project, drawing, on == grouped.end() ? OnDrawing() : on->second, records);
    }
    for (const Sheet& sheet : records.sheets) {
        if (!report(progress, done++ / steps))
            return Error{ErrorCode::Cancelled, "reading the scans was stopped"};
        if (!sheet.scanFile.empty())
            records.scans[sheet.number] = scanState(scanPath(project, sheet));
    }
    if (const auto trouble = project.takeReadingTrouble())
        return *trouble;
    return records;
}

} // namespace inkpeg
