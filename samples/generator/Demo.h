// SPDX-License-Identifier: GPL-3.0-or-later
// The invented excavation as it truly is: Skelder Rigg, its drawings, records and survey, and the faults
// planted in the registers. Values only; the other files of this folder draw and write them.
#pragma once

#include <array>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "core/base/Units.h"
#include "samples/generator/Shape.h"
#include "samples/generator/SheetMap.h"

namespace inkpeg::demo {

inline const std::string Certain = "certain";
inline const std::string Uncertain = "uncertain";
inline const std::string Truncated = "truncated";
inline const std::string LimitOfExcavation = "limit of excavation";
inline const std::string BeyondTheSheet = "beyond the sheet";

/// The local site grid: 100/200 lies at a round place of EPSG:25832, its north 14 degrees clockwise of grid
/// north; one metre on the ground is 0.99964 m of the projected grid there.
GroundM groundOfSite(Metres site);
Metres siteOfGround(GroundM ground);
inline constexpr double ProjectedScale = 0.99964;

struct PersonRecord {
    std::string initials, name, role;
};

struct TrenchRecord {
    std::string name, kind;
    Path limit; ///< site grid
};

struct PegRecord {
    std::string name;
    bool inSiteFrame = false;
    Metres true_;               ///< site grid
    double east = 0, north = 0; ///< as the register gives it, in its frame
    std::optional<double> levelM;
    double standardErrorM = 0.002;
    std::optional<double> standardErrorLevelM;
    std::string note;
};

/// Relations of one context: words of the register's columns to numbers.
using Relations = std::map<std::string, std::vector<std::string>>;

struct ContextRecord {
    std::string number, kind, trench, description, period, recordedBy, recordedOn;
    std::optional<double> topM, bottomM;
    Relations relations;
};

/// A find, sample or timber: what the registers have in common.
struct PlacedRecord {
    std::string number, context, trench, kind, description;
    Metres place; ///< site grid
    double topM = 0;
    std::optional<double> bottomM, lengthM, diameterM, leanDegrees, leanBearingDegrees;
    double standardErrorM = 0.02;
    std::string drawing; ///< where it is drawn
};

/// The edge of a context as the pencil drew it. `edges[i]` belongs to the side from ring[i] to the next.
struct DrawnOutline {
    std::string context, contextKind;
    Path ring;
    std::vector<std::string> edges;
};

struct Cross {
    std::string peg;
    Metres place;
    std::string use = "fit";
};

struct SpotLevelMark {
    Metres place;
    double levelM = 0;
};

struct DrawingPlan {
    std::string number, kind, title, trench, sheet;
    double scale = 20;
    std::string drawnBy, drawnOn, facing;
    std::optional<double> datumM;
    Window window;    ///< what is drawn, in metres of the drawing
    FilmMm lowerLeft; ///< where the window's lower left corner lies on the film
    double crossStepM = 2;
    Metres lineStart, lineDirection; ///< upright drawings: nail A and the unit vector towards B, site grid
    std::vector<Cross> crosses;
    std::vector<DrawnOutline> outlines;
    std::vector<SpotLevelMark> levels;
    std::vector<Path> limits; ///< limit of excavation where it crosses the window

    bool upright() const { return kind != "plan"; }
    FilmMm toFilm(Metres place) const
    {
        return {lowerLeft.x + (place.x - window.x0) * 1000 / scale,
                lowerLeft.y + (place.y - window.y0) * 1000 / scale};
    }
    /// The drawing's own corner places on the film, with room for its writing.
    std::array<FilmMm, 4> frameOnFilm() const;
};

struct SheetPlan {
    std::string number, filmSize, file;
    SheetMap map;
    bool colour = false;
    std::string writing; ///< "tiled", "strips", "jpeg", "png"
    double smudging = 1; ///< 1 = as usual, 2 = poor film
    double pressing = 1; ///< of the pencil; below 1 = rubbed out and faint
    std::vector<int> drawings;
    bool framed = false; ///< more drawings than one: the register gives each its frame
};

/// A planted fault, for truth/faults.json.
struct Fault {
    std::string kind, subject, where, explanation;
};

struct PinRecord {
    std::string drawing, peg, use;
    ScanPx clicked; ///< as the register gives it
    ScanPx true_;   ///< of the peg named
};

struct Demo {
    std::vector<PersonRecord> people;
    std::vector<TrenchRecord> trenches;
    std::vector<PegRecord> pegs;
    std::vector<ContextRecord> contexts;
    std::vector<PlacedRecord> finds, samples, timbers;
    std::vector<DrawingPlan> drawings;
    std::vector<SheetPlan> sheets;
    std::vector<PinRecord> pins;
    std::vector<Fault> faults;

    ContextRecord* context(const std::string& number);
    const SheetPlan& sheetOf(const DrawingPlan& drawing) const;
};

/// The whole excavation; the scans are at `dpi`.
Demo skelderRigg(double dpi);

/// Every film as poor as film gets and still is drawn from: three times the smudges, a third of the pencil
/// gone.
void wearFilm(Demo& demo);

// Parts of skelderRigg, in the order in which they are called.
void planTrench1(Demo& demo);
void planTrench2(Demo& demo);
void planTestPit(Demo& demo);
void drawSections(Demo& demo);
void setOutSheets(Demo& demo, double dpi);
void surveyPegs(Demo& demo);
void scatterFinds(Demo& demo);
void placeTimbers(Demo& demo);
void takeSamples(Demo& demo);
void placePins(Demo& demo);
void plantFaults(Demo& demo);

} // namespace inkpeg::demo
