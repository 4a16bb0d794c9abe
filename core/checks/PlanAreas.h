// SPDX-License-Identifier: GPL-3.0-or-later
// Outlines in plan as areas: where they overlap, and where they reach beyond a limit. Wraps GEOS.
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "core/base/Units.h"
#include "core/checks/ProjectRecords.h"

namespace inkpeg {

class Evidence;

/// A piece of ground that should not be there, wider than the tolerance.
struct Excess {
    double areaM2 = 0; ///< of the whole piece
    GroundM at;        ///< a place well within it
};

struct Overlap {
    std::size_t a = 0, b = 0; ///< outlines, a < b
    Excess excess;
};

/// Outlines that cross themselves are mended (GEOS MakeValid) before they are compared.
class PlanAreas {
public:
    explicit PlanAreas(const Evidence& evidence);
    ~PlanAreas();

    /// Plan outlines on the ground, as indices into records.outlines, in rising order.
    std::span<const std::size_t> outlines() const { return m_outlines; }

    /// Standard error of a vertex per axis, in metres. Only for outlines() members, as everything below.
    double standardErrorM(std::size_t outline) const;

    /// Pairs of outlines that share a piece wider than three times their joint standard error (and 2 cm),
    /// but for those that `explained(a, b)` says it knows about.
    std::vector<Overlap> overlaps(const std::function<bool(std::size_t, std::size_t)>& explained) const;

    /// The piece of an outline that lies outside a limit, or outside all of `others`, if it is wider than
    /// `toleranceM`.
    std::optional<Excess> outside(std::size_t outline, std::span<const GroundM> limit,
                                  double toleranceM) const;
    std::optional<Excess> outside(std::size_t outline, std::span<const std::size_t> others,
                                  double toleranceM) const;

    /// Three times the joint standard error of two outlines, at least 2 cm.
    double toleranceM(std::size_t a, std::size_t b) const;

private:
    struct Inside;
    std::vector<std::size_t> m_outlines;
    std::unique_ptr<Inside> m_inside;
};

} // namespace inkpeg
