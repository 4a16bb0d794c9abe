// SPDX-License-Identifier: GPL-3.0-or-later
// Random edits of the outlines of a drawing, one after the other, for tests that look at what they lead to.
#pragma once

#include <random>
#include <string>
#include <vector>

#include "core/outline/DrawnOutlines.h"

namespace inkpeg {

/// An edit tried: what it was, whether vertices only moved, came or went (areas stayed whole), and whether
/// it was taken.
struct TriedEdit {
    std::string what;
    bool ofVertices = false;
    Result<void> done;
};

/// Outlines that share edges, and a few that overlap them: a yard of layers with pits.
DrawnOutlines randomYard(std::mt19937& random);

/// Tries one random edit; refused, it leaves the outlines as they were.
TriedEdit tryRandomEdit(DrawnOutlines& outlines, std::mt19937& random);

/// The first thing wrong with the outlines, or empty: one that is not valid, off the lattice, or has a
/// neighbour's vertex on its edge without holding it.
std::string faultOfOutlines(const DrawnOutlines& outlines);

/// The first edge that several outlines held before and exactly one holds now, in words, or empty.
std::string tornEdge(const DrawnOutlines& before, const DrawnOutlines& now);

} // namespace inkpeg
