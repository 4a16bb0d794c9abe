// SPDX-License-Identifier: GPL-3.0-or-later
// A small excavation in which nothing is outstanding, for tests to break in one place.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "core/checks/Checks.h"
#include "core/checks/ProjectRecords.h"

namespace inkpeg {

/// One trench of 6 m x 4 m at 1:20: pit 1001 (cut) with fill 1002 through layer 1003, on plan P-1 and
/// section S-1; five pins on each; find 1, sample 1 and timber 1 in the fill; all drawn and recorded by AB,
/// signed off by CD.
class SoundSite {
public:
    SoundSite();

    ProjectRecords records;

    Drawing& drawing(const std::string& number);
    Context& context(const std::string& number);
    Context& addContext(const std::string& number, const std::string& kind);
    Drawing& addDrawing(const std::string& number, DrawingKind kind);
    void addPin(const Drawing& drawing, const std::string& name, GroundM at, GroundM drawnAt);
    Outline& addOutline(const std::string& drawing, const std::string& context,
                        const std::vector<GroundM>& ring);
    void relate(const std::string& context, RelationKind kind, const std::string& other);

    /// Where the drawings of this site show a place, and a plain rectangle.
    static ScanPx onScan(GroundM place);
    static std::vector<GroundM> rectangle(double west, double south, double east, double north);

    /// Fits the drawings and carries outlines and points to the ground, as the store does. 5 mm standard
    /// errors.
    void place();
    /// Signs every drawing and context again as it now is.
    void sign();

    /// The matters that one check finds now (places first).
    std::vector<Matter> found(const std::string& check);

    /// Of these checks the ones that found() was not asked for both ways so far: with a fault that was
    /// found, and with something on the allowed side that was not.
    static std::string notTestedBothWays(const std::vector<std::string>& checks);
    /// The checks that hold positions against outlines: PlaceChecksTest has them, ChecksTest all others.
    static const std::vector<std::string>& checksOfSections(); ///< tested in SectionChecksTest
    static const std::vector<std::string>& checksOfPlace();
};

} // namespace inkpeg
