// SPDX-License-Identifier: GPL-3.0-or-later
// Ties each find, sample and timber to the context outline it came from, and lists those that do not fit.
//
//   const std::vector<Placed> placed = placedOf(records);
//   const std::vector<Link> links = linkToOutlines(records, placed);    // links[i] belongs to placed[i]
//   if (links[i].verdict == LinkVerdict::Disagree && links[i].alternative)
//       propose(placed[i].number, links[i].alternative->context);
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/base/Progress.h"
#include "core/base/Result.h"
#include "core/checks/Evidence.h"
#include "core/checks/ProjectRecords.h"

namespace inkpeg {

enum class LinkVerdict {
    Agree,     ///< lies in the recorded context with at least SurelyWithin
    OnTheEdge, ///< between the two
    Disagree,  ///< lies in the recorded context with at most SurelyOutside
    NoOutline, ///< the recorded context has no outline on a plan whose pins are within tolerance
    NoPlace,   ///< it has no position
};

/// Probabilities at which a verdict is given (common practice, no source).
inline constexpr double SurelyWithin = 0.95;
inline constexpr double SurelyOutside = 0.05;

/// "agree", "on the edge", "disagree", "no outline", "no place".
std::string verdictName(LinkVerdict verdict);

struct Alternative {
    std::string context;
    double probability = 0; ///< of lying in it
    double distanceM = 0;   ///< to its edge; 0 inside
};

struct Link {
    LinkVerdict verdict = LinkVerdict::NoPlace;
    std::optional<GroundM> position; ///< as surveyed, else as drawn
    bool asDrawn = false;            ///< the position comes from a drawing
    /// Contexts one of whose plan outlines holds the position (its edge counts).
    std::vector<std::string> inside;
    double probability = 0; ///< of lying in the recorded context, given both standard errors
    double distanceM = 0;   ///< to the recorded context's nearest edge; 0 inside; only with an outline
    /// The context it more probably came from: of those that are not cuts the one with the highest
    /// probability, the smaller of equals; the nearest where none has any. Given unless the verdict is
    /// Agree.
    std::optional<Alternative> alternative;
    /// How far its level lies outside the recorded context's top and bottom: above positive, below
    /// negative.
    double levelDifferenceM = 0;
};

/// One link for each of `placed`, in its order. Works on all processors.
/// Errors: Cancelled.
Result<std::vector<Link>> linkToOutlines(const ProjectRecords& records, std::span<const Placed> placed,
                                         const Progress& progress);

/// The same, not watched.
std::vector<Link> linkToOutlines(const ProjectRecords& records, std::span<const Placed> placed);

/// What was found in one context: pieces by kind of record and material, e.g. {"find: pottery": 12}.
using CountByMaterial = std::map<std::string, int>;
std::map<std::string, CountByMaterial> countByContext(std::span<const Placed> placed);

} // namespace inkpeg
