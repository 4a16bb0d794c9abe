// SPDX-License-Identifier: GPL-3.0-or-later
// Everything the checks look at, as one value: the records as stored, and where the fitted drawings put
// their outlines and points on the ground. The layer that owns the project file fills it
// (core/store/LoadRecords.h).
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "core/base/Units.h"
#include "core/fit/ControlFit.h"
#include "core/records/Records.h"
#include "core/section/SectionFrame.h"

namespace inkpeg {

using RingOnGround = std::vector<GroundM>; ///< closed; the first vertex is not repeated

/// One part of an outline on the ground.
struct PartOnGround {
    RingOnGround outer;
    std::vector<RingOnGround> holes;
};

/// An outline carried to the ground by its drawing's fit, vertex by vertex as its parts in the records. For
/// sections, elevations and profiles a position is (distance along the section, level), as a fitted section
/// gives it.
struct OutlineOnGround {
    std::size_t outline = 0; ///< index into ProjectRecords::outlines
    std::vector<PartOnGround> parts;
    GroundCovariance covariance; ///< of a vertex: control, pegs, tracing and pixel size together
};

/// A drawn find, sample or timber carried to the ground.
struct PointOnGround {
    std::size_t drawnPoint = 0; ///< index into ProjectRecords::drawnPoints
    GroundM position;
    GroundCovariance covariance;
};

/// A level written on a drawing, carried to the ground.
struct LevelOnGround {
    std::size_t spotLevel = 0; ///< index into ProjectRecords::spotLevels
    GroundM position;
    GroundCovariance covariance;
};

/// What is known of one drawing's tie to the ground.
struct DrawingPlace {
    std::optional<ControlFit> fit; ///< absent while not pinned, or where the pins do not determine the fit
    std::optional<SectionFrame> section = {}; ///< of a fitted upright drawing
    std::string whyNot = {};                  ///< the fit's own words where there are pins and no fit
    /// The drawing's frame (or whole sheet) on the ground; empty without a fit.
    RingOnGround footprint = {};
};

/// The state of a sheet's scan file today.
struct ScanState {
    bool found = false;
    std::string sha256; ///< empty when the file was found but not read
};

struct ProjectRecords {
    ProjectFacts facts;
    std::vector<Person> people;
    std::vector<Trench> trenches;
    std::vector<Sheet> sheets;
    std::vector<Drawing> drawings;
    std::vector<Peg> pegs;
    std::vector<Pin> pins;
    std::vector<Context> contexts;
    std::vector<Relation> relations;
    std::vector<Find> finds;
    std::vector<Sample> samples;
    std::vector<Timber> timbers;
    std::vector<Photograph> photographs;
    std::vector<Outline> outlines;
    std::vector<EdgeLine> edgeLines;
    std::vector<SpotLevel> spotLevels;
    std::vector<DrawnPoint> drawnPoints;
    std::vector<SignOff> signOffs;
    std::vector<Waiver> waivers;
    std::vector<LevelBook> levelBooks;
    std::vector<LevelReading> levelReadings;

    std::map<std::int64_t, DrawingPlace> places; ///< by Drawing::id
    std::vector<OutlineOnGround> groundOutlines;
    std::vector<PointOnGround> groundPoints;
    std::vector<LevelOnGround> groundLevels;
    /// By Sheet::number; a sheet that was not looked at is not in it.
    std::map<std::string, ScanState> scans;
};

/// True if every pin that counts is within tolerance. What lies on a drawing that is not cannot be judged
/// by its place: one wrong peg would raise a matter for everything on the drawing.
inline bool fits(const DrawingPlace& place)
{
    if (!place.fit)
        return false;
    for (const PinResidual& residual : place.fit->residuals)
        if (residual.use != PinUse::LeftOut && !residual.withinTolerance)
            return false;
    return true;
}

/// True for the kinds whose vertical axis is the level: section, elevation, profile.
inline bool showsLevels(DrawingKind kind)
{
    return kind != DrawingKind::Plan;
}

} // namespace inkpeg
