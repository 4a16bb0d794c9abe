// SPDX-License-Identifier: GPL-3.0-or-later
// What there is to see in space: plans lying at their levels, sections standing, posts, trenches.
//
//   const SpaceScene scene = spaceScene(project);
//   for (const SpaceFace& face : scene.faces) draw(face);
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/handover/FeatureLayer.h"
#include "core/store/Project.h"

namespace inkpeg {

enum class SpaceFaceKind { Plan, Section, Post, Trench };

struct SpaceFace {
    SpaceFaceKind kind = SpaceFaceKind::Plan;
    std::string name;    ///< context, timber or trench
    std::string drawing; ///< number; empty for posts and trenches
    SpaceRings rings;    ///< the outer one first
    std::string trench = {};
};

/// The trace of a section on the ground, at its datum, and the way it is looked at.
struct SpaceTrace {
    std::string drawing;
    std::vector<SpacePoint> line;
    double facingRad = 0; ///< the way the face looks, clockwise from grid north
    std::string trench = {};
};

struct SpaceScene {
    std::vector<SpaceFace> faces;
    std::vector<SpaceTrace> traces;
    std::vector<std::string> remarks; ///< e.g. plans whose level had to be taken from elsewhere

    bool empty() const { return faces.empty(); }
    /// The trenches that something in it belongs to, by name.
    std::vector<std::string> trenches() const;
    /// What belongs to one of them.
    SpaceScene ofTrench(const std::string& trench) const;
    /// The corners of the box around everything; nothing when the scene is empty.
    std::optional<std::pair<SpacePoint, SpacePoint>> box() const;
};

/// A plan outline lies at the top level of its context; else at the mean of the levels written for it, then
/// of all on its drawing; else at the mean level of the drawing's pegs; else of all pegs. The remarks say
/// where that was done. Drawings that are not fitted are left out and named.
SpaceScene spaceScene(const Project& project);

} // namespace inkpeg
