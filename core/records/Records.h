// SPDX-License-Identifier: GPL-3.0-or-later
// The records of an excavation as plain values. Registers are keyed by their number (text, as written on
// site); `id` is the row in the project file, 0 while not stored. Positions in scan pixels unless a name
// says otherwise.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/base/Units.h"
#include "core/fit/ControlFit.h"
#include "core/outline/Outline.h"
#include "core/survey/Peg.h"

namespace inkpeg {

/// listed -> scanned -> pinned -> traced -> checked -> signed off
enum class Stage { Listed, Scanned, Pinned, Traced, Checked, SignedOff };

enum class DrawingKind { Plan, Section, Elevation, Profile };

/// Facts of the project as a whole; one row.
struct ProjectFacts {
    std::string siteCode; ///< e.g. "SKR26"
    std::string title;
    std::string crs = "EPSG:25832"; ///< horizontal CRS, an authority code
    std::string datum;              ///< name of the level datum
    /// One sigma of pointing and tracing on the film (common practice, no source).
    double tracingErrorMm = 0.25;
    double pinToleranceMm = 0.5; ///< (common practice, no source)
    std::string rights;          ///< for the deposit
    std::string depositor;
    bool operator==(const ProjectFacts&) const = default;
};

struct Person {
    std::int64_t id = 0;
    std::string initials; ///< key
    std::string name;
    std::string role;
    bool operator==(const Person&) const = default;
};

/// A trench, test pit or sondage with its limit of excavation on the ground (may be empty).
struct Trench {
    std::int64_t id = 0;
    std::string name; ///< key
    std::string kind; ///< "trench", "test pit", "sondage"
    std::vector<GroundM> limit;
    bool operator==(const Trench&) const = default;
};

/// A piece of film and its scan. `scanFile` is relative to the project file.
struct Sheet {
    std::int64_t id = 0;
    std::string number;   ///< key
    std::string filmSize; ///< "A3"
    std::string scanFile;
    std::string scanSha256;
    FilmFrame frame;
    bool operator==(const Sheet&) const = default;
};

struct Drawing {
    std::int64_t id = 0;
    std::string number; ///< key
    DrawingKind kind = DrawingKind::Plan;
    std::string title;
    std::string trench;
    std::string sheet; ///< number of the sheet that carries it
    double scaleDenominator = 20;
    std::string drawnBy;          ///< initials
    std::string drawnOn;          ///< ISO 8601 date
    std::string facing;           ///< sections: "N", "NE", ... the way the drawn face looks
    std::optional<double> datumM; ///< sections: level of the drawn datum line
    std::string sectionLine = {}; ///< sections: pegs from A over its bends to B, "; " between; empty = the
                                  ///< straight line through its pins
    double verticalExaggeration = 1; ///< sections: how many times taller than wide it was drawn
    std::vector<ScanPx> frame;       ///< its part of the sheet; empty = all of it
    Model model = Model::Affine;
    Stage stage = Stage::Listed;
    std::string note;
    std::string modelReason = {}; ///< why this model, as whoever chose it said
    bool operator==(const Drawing&) const = default;
};

/// A peg tied to its mark on the film.
struct Pin {
    std::int64_t id = 0;
    std::int64_t drawing = 0; ///< Drawing::id
    std::string peg;          ///< Peg::name
    ScanPx mark;
    PinUse use = PinUse::Fit;
    std::string placedBy; ///< "hand", "cross" (centred on a grid cross), "lattice" (found by itself)
    bool onDatum = false; ///< sections: the mark lies on the datum line, whose level it has
    std::optional<double> datumM = {};          ///< of the piece this mark belongs to, if not the drawing's
    std::optional<double> standardErrorPx = {}; ///< of a mark centred on a cross, one sigma for each axis
    bool operator==(const Pin&) const = default;
};

struct Context {
    std::int64_t id = 0;
    std::string number; ///< key
    std::string kind;   ///< "cut", "fill", "layer", "structure", "timber", ...
    std::string trench;
    std::string description;
    std::string period;
    std::string recordedBy;
    std::string recordedOn;
    std::optional<double> topM;
    std::optional<double> bottomM;
    Stage stage = Stage::Listed;
    bool operator==(const Context&) const = default;
};

enum class RelationKind { Above, Below, Cuts, CutBy, Fills, FilledBy, SameAs, Abuts };

struct Relation {
    std::int64_t id = 0;
    std::string context; ///< the record it was written on
    RelationKind kind = RelationKind::Above;
    std::string other;
    bool operator==(const Relation&) const = default;
};

struct Find {
    std::int64_t id = 0;
    std::string number; ///< key
    std::string context;
    std::string trench;
    std::string material;
    std::string description;
    std::optional<GroundM> position;
    std::optional<double> levelM;
    double standardErrorM = 0.02;
    bool operator==(const Find&) const = default;
};

struct Sample {
    std::int64_t id = 0;
    std::string number; ///< key
    std::string context;
    std::string trench;
    std::string kind; ///< "bulk", "column", "dendro", ...
    std::string description;
    std::optional<GroundM> position;
    std::optional<double> levelM;
    double standardErrorM = 0.02;
    bool operator==(const Sample&) const = default;
};

struct Timber {
    std::int64_t id = 0;
    std::string number; ///< key
    std::string context;
    std::string trench;
    std::string kind; ///< "post", "stake", "plank", ...
    std::optional<GroundM> position;
    std::optional<double> topM;
    std::optional<double> bottomM;
    std::optional<double> lengthM;
    std::optional<double> diameterM;
    std::optional<double> leanDegrees;        ///< from the vertical
    std::optional<double> leanBearingDegrees; ///< clockwise from grid north
    double standardErrorM = 0.02;
    bool operator==(const Timber&) const = default;
};

struct Photograph {
    std::int64_t id = 0;
    std::string number; ///< key
    std::string subject;
    std::string takenOn;
    bool operator==(const Photograph&) const = default;
};

/// The outline of a context on one drawing.
struct Outline {
    std::int64_t id = 0;
    std::int64_t drawing = 0;
    std::string context;
    std::vector<Part> parts;
    std::string tracedBy;
    std::string tracedAt; ///< ISO 8601, UTC
    Stage stage = Stage::Traced;
    bool operator==(const Outline&) const = default;
};

enum class LineKind { BreakTop, BreakBottom, SectionLine, LimitOfExcavation, Other };

/// A line on a drawing that bounds no context by itself.
struct EdgeLine {
    std::int64_t id = 0;
    std::int64_t drawing = 0;
    LineKind kind = LineKind::Other;
    std::string context;
    std::string label; ///< section lines: "A-B"
    std::vector<ScanPx> vertices;
    bool operator==(const EdgeLine&) const = default;
};

/// A level written on a drawing.
struct SpotLevel {
    std::int64_t id = 0;
    std::int64_t drawing = 0;
    std::string context;
    ScanPx mark;
    double levelM = 0;
    std::string point = {}; ///< its name in the level book, if it was levelled under one
    bool operator==(const SpotLevel&) const = default;
};

/// A run of levels with one instrument: its readings are LevelReading rows of the same `book`.
struct LevelBook {
    std::int64_t id = 0;
    std::string name;       ///< key
    std::string levelledOn; ///< ISO 8601 date
    std::string levelledBy; ///< initials
    /// Misclosure allowed: k times root of the set-ups, mm (common practice, no source).
    double toleranceK = 5;
    double checkToleranceMm = 3; ///< one point levelled twice (common practice, no source)
    bool distribute = true;      ///< whether the misclosure is spread over the set-ups
    std::string note;
    bool operator==(const LevelBook&) const = default;
};

/// A line of a level book as booked. Metres.
struct LevelReading {
    std::int64_t id = 0;
    std::string book;
    int line = 0; ///< its order in the book, from 1
    std::string point;
    std::optional<double> backsightM = {}, intermediateM = {}, foresightM = {};
    std::optional<double> benchmarkM = {}; ///< known level of the point
    std::optional<double> bookedM = {};    ///< reduced level as worked out on site
    std::string note = {};
    bool operator==(const LevelReading&) const = default;
};

enum class PointKind { Find, Sample, Timber, Note };

/// A find, sample or timber marked on a drawing, or a note.
struct DrawnPoint {
    std::int64_t id = 0;
    std::int64_t drawing = 0;
    PointKind kind = PointKind::Note;
    std::string number; ///< of the find, sample or timber
    std::string text;   ///< of a note
    ScanPx mark;
    bool operator==(const DrawnPoint&) const = default;
};

/// A second person's word that a drawing or context is done. `sealSha256` is the digest of what was signed.
struct SignOff {
    std::int64_t id = 0;
    std::string subjectKind; ///< "drawing" or "context"
    std::string subject;     ///< number
    Stage stage = Stage::SignedOff;
    std::string person; ///< initials
    std::string at;     ///< ISO 8601, UTC
    std::string reason;
    std::string sealSha256;
    bool broken = false;
    bool operator==(const SignOff&) const = default;
};

/// A site's own name for a column of a register, remembered from taking one in.
struct ColumnMatch {
    std::int64_t id = 0;
    std::string registerName; ///< "contexts"
    std::string column;       ///< of the register
    std::string siteColumn;   ///< of the site's files
    bool operator==(const ColumnMatch&) const = default;
};

/// An open matter of the tally that was set aside, with a reason and a name.
struct Waiver {
    std::int64_t id = 0;
    std::string check;   ///< name of the check
    std::string subject; ///< what it is about, as the check gives it
    std::string reason;
    std::string person;
    std::string at;
    bool operator==(const Waiver&) const = default;
};

} // namespace inkpeg
