// SPDX-License-Identifier: GPL-3.0-or-later
// Plans held against the sections that cross them: the same edge drawn twice, levels written on plans
// against the drawn face, finds and samples against the contexts that the face shows.
//
//   const PlanAgainstSection compared = comparePlansAndSections(records);
//   for (const EdgeMisfit& edge : compared.edges)
//       if (edge.verdict() == MisfitVerdict::Beyond) tell(edge.inWords());
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/checks/ProjectRecords.h"

namespace inkpeg {

struct CompareSettings {
    /// How far beside a section line a level, find or sample may lie and still be held against its face
    /// (common practice, no source).
    double reachM = 0.30;
    /// Edges further apart than this along the line are not the same edge (common practice, no source).
    double sameEdgeM = 1.0;
};

/// Misfits are judged against so many standard errors of both together.
inline constexpr double MisfitSigmas = 2;

enum class MisfitVerdict {
    Within,     ///< two sigma of both together
    Beyond,     ///< not so, whatever level the plan was drawn at
    CannotTell, ///< it depends on the level at which the plan shows the context, and none is written at
                ///< which the section shows it
};
/// "within two sigma", "beyond two sigma", "cannot be told".
std::string misfitVerdictName(MisfitVerdict verdict);

/// An edge of a context where the section line crosses it: in plan, and where the section ends it.
/// A cut is compared where it is widest on the section. What fills or covers is shown in plan as it was at
/// some level: the one written for it on the plan. Where none is written its side on the section lies
/// anywhere between `sectionFromM` and `sectionToM`.
struct EdgeMisfit {
    std::string context, plan, section;
    std::int64_t sectionId = 0;
    double planAlongM = 0;
    double sectionAlongM = 0;                ///< the place of the section nearest to that of the plan
    double sectionFromM = 0, sectionToM = 0; ///< equal where the level is known, and of a cut
    double planErrorM = 0;    ///< one sigma along the line: the plan's vertex over the sine of the crossing
    double sectionErrorM = 0; ///< one sigma along the line
    bool uncertain = false;   ///< drawn as an uncertain edge in either
    GroundM ground;           ///< where the plan has it
    std::optional<double> planLevelM = {}; ///< the mean of the levels written for the context on the plan
    std::optional<double> fitsAtM = {};    ///< CannotTell: the highest level at which both would agree

    double misfitM() const { return sectionAlongM - planAlongM; }
    double allowedM() const; ///< two sigma of both together
    MisfitVerdict verdict() const;
    std::string inWords() const;
};

/// A level written on a plan beside a section line, against the face.
struct LevelMisfit {
    std::string context, plan, section;
    std::int64_t sectionId = 0;
    double alongM = 0, offsetM = 0; ///< offset: left of the line positive
    double writtenM = 0, faceM = 0;
    bool base = false;        ///< held against the base of a cut and not its top
    double writtenErrorM = 0; ///< one sigma: rounding as written, and the slope of the face over the place
    double sectionErrorM = 0;
    GroundM ground;

    double misfitM() const { return writtenM - faceM; }
    double allowedM() const;
    MisfitVerdict verdict() const;
    std::string inWords() const;
};

enum class FaceVerdict {
    Agrees,    ///< its context is what the face shows there
    NearEdge,  ///< another is, but its own lies within two sigma
    Elsewhere, ///< another is, and its own lies further off
    NotShown,  ///< the face does not show its context at all
};
std::string faceVerdictName(FaceVerdict verdict);

/// A find, sample or timber with a level beside a section line, against the contexts of the face.
struct PlacedOnFace {
    PointKind kind = PointKind::Find;
    std::string number, context, section;
    std::int64_t sectionId = 0;
    double alongM = 0, offsetM = 0, levelM = 0;
    std::optional<double> depthM; ///< below the highest line of the face there; nothing beyond the face
    std::string shown;            ///< the context that the face shows there; empty above, below or beyond
    double awayM = 0;             ///< from the edge of its own context, on the face; 0 within
    double errorM = 0;            ///< one sigma of its place and the face together
    FaceVerdict verdict = FaceVerdict::Agrees;
    GroundM ground;

    std::string inWords() const;
};

/// One context of a column through a face, from the surface down.
struct ColumnLayer {
    std::string context;
    double topM = 0, bottomM = 0;               ///< levels
    double depthToTopM = 0, depthToBottomM = 0; ///< below the surface of the face
};

struct PlanAgainstSection {
    std::vector<EdgeMisfit> edges;
    std::vector<LevelMisfit> levels;
    std::vector<PlacedOnFace> placed;
    int sections = 0; ///< that are fitted and have outlines
};

/// Drawings whose pins are out of tolerance take no part: their places cannot be judged.
/// Only certain and uncertain edges count; what ends at a limit of excavation or is truncated says nothing of
/// where the context ends. Source of the error terms: docs/maths.md, Sections.
PlanAgainstSection comparePlansAndSections(const ProjectRecords& records,
                                           const CompareSettings& settings = {});

/// The contexts of a fitted section at a distance along its line, from the surface down. Fills and layers
/// come before the cuts that hold them. Empty where nothing is drawn.
std::vector<ColumnLayer> columnAt(const ProjectRecords& records, const std::string& section, double alongM);

} // namespace inkpeg
