// SPDX-License-Identifier: GPL-3.0-or-later
// The drawn face of one fitted section as areas of (distance along, level): what lies where on it.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/checks/ProjectRecords.h"

namespace inkpeg {

/// One part of an outline on a face.
struct FaceArea {
    std::string context;
    bool isCut = false; ///< by its register: holds other contexts
    const PartOnGround* part = nullptr;
    const Part* drawn = nullptr;
    double errorM = 0; ///< one sigma, each axis
    double areaM2 = 0;
};

/// Levels between which a vertical line lies within an area.
struct FaceSpan {
    double topM = 0, bottomM = 0;
};

/// Lends from `records`, which must outlive it.
class SectionFace {
public:
    SectionFace(const ProjectRecords& records, const Drawing& drawing);

    const Drawing& drawing() const { return *m_drawing; }
    const SectionFrame& frame() const { return *m_frame; }
    const std::vector<FaceArea>& areas() const { return m_areas; }
    bool shows(const std::string& context) const;

    /// From the top down.
    static std::vector<FaceSpan> spans(const FaceArea& area, double alongM);
    std::optional<double> surfaceM(double alongM) const; ///< the highest line drawn there
    /// The smallest area there that is no cut, else the smallest.
    const FaceArea* at(double alongM, double levelM) const;
    /// To the nearest area of the context, 0 within; nothing if it is not shown.
    std::optional<double> distanceTo(const std::string& context, double alongM, double levelM) const;

private:
    const Drawing* m_drawing;
    const SectionFrame* m_frame = nullptr;
    std::vector<FaceArea> m_areas;
};

/// Every upright drawing within tolerance that has outlines.
std::vector<SectionFace> sectionFaces(const ProjectRecords& records);

} // namespace inkpeg
