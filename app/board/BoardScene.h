// SPDX-License-Identifier: GPL-3.0-or-later
// What the board shows, as one value: the drawing at hand and its neighbourhood on the ground.
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "app/board/OutlineSet.h"
#include "app/board/SharedList.h"
#include "app/board/ViewSettings.h"
#include "core/checks/BoxIndex.h"
#include "core/fit/ControlFit.h"
#include "core/handover/SectionTrace.h"
#include "core/outline/OutlineIndex.h"
#include "core/records/Records.h"
#include "core/store/DrawingFit.h"

namespace inkpeg {

/// Another drawing of the same sheet and its part of it.
struct SheetPart {
    std::string number;
    std::vector<ScanPx> frame;
};

/// The drawing at hand. `widthPx` is 0 while its sheet has no readable scan.
struct BoardDrawing {
    Drawing record;
    std::filesystem::path scanFile;
    std::string scanSha256;
    FilmFrame film;
    ViewSettings view;
    int widthPx = 0, heightPx = 0;
    std::optional<DrawingGround> ground; ///< when its pins determine a fit
    std::vector<Pin> pins;
    std::vector<PinResidual> residuals; ///< of `pins`, in their order; empty without a fit
    OutlineSet outlines;
    std::vector<EdgeLine> lines;
    std::vector<SpotLevel> levels;
    std::vector<DrawnPoint> points;
    std::vector<std::vector<ScanPx>> limits;   ///< limit of excavation of its trench, closed, in the scan
    std::shared_ptr<const OutlineIndex> index; ///< of `outlines`; the board makes it where it is missing
    double tracingErrorMm = 0.25;
    std::vector<SheetPart> otherParts; ///< of the same sheet
};

/// A named place on the ground: peg, find, sample or timber.
struct NamedPlace {
    std::string name;
    GroundM at;
    bool operator==(const NamedPlace&) const = default;
};

struct NamedRing {
    std::string name;
    std::vector<GroundM> ring;
    bool operator==(const NamedRing&) const = default;
};

/// A ring with the box about it: many are looked through for the few in view.
struct BoxedRing {
    NamedRing named;
    GroundBox box;
};

/// Another pinned plan: its film, the edge of that and its outlines, on the ground.
struct Neighbour {
    std::int64_t drawing = 0;
    std::filesystem::path scanFile; ///< empty while there is none
    std::string scanSha256;
    std::vector<ScanPx> frame; ///< its part of the sheet; empty: all of it
    std::shared_ptr<const DrawingGround> ground;
    NamedRing sheet;
    std::vector<BoxedRing> outlines;
    GroundBox outlinesBox; ///< about all of them

    void addOutline(NamedRing ring);
};

struct BoardScene {
    std::optional<BoardDrawing> drawing;
    std::vector<NamedPlace> pegs;
    std::vector<NamedPlace> finds;
    std::vector<NamedRing> trenches;
    SharedList<Neighbour> neighbours;
    SharedList<SectionTrace> traces; ///< pinned sections
    std::vector<NamedRing> posts; ///< upright timbers from above; with a section at hand, those beside it
                                  ///< as they show on its face
    std::filesystem::path cacheFolder; ///< for what can be made again; empty: nothing is kept
};

} // namespace inkpeg
