// SPDX-License-Identifier: GPL-3.0-or-later
// Corrections that the places of finds, samples and timbers speak for. Nothing is changed by itself: a person
// takes a proposal, and can undo it (core/store/Corrections.h).
//
//   for (const Proposal& proposal : proposalsOf(placed, links))
//       show(proposal.words);      // "find SF-093 lies in 1005 (probability 0.998), not in 1012 (0.000)"
#pragma once

#include <span>
#include <string>
#include <vector>

#include "core/checks/Links.h"

namespace inkpeg {

struct Proposal {
    PointKind kind = PointKind::Find;
    std::string number;
    std::string from; ///< the context on its record; may be empty
    std::string to;   ///< the context it lies in
    double probabilityFrom = 0, probabilityTo = 0;
    std::string words;
    bool operator==(const Proposal&) const = default;
};

/// One for each record that disagrees with its context, or names none, and lies in another one at least
/// SurelyWithin. links[i] belongs to placed[i].
std::vector<Proposal> proposalsOf(std::span<const Placed> placed, std::span<const Link> links);

} // namespace inkpeg
