// SPDX-License-Identifier: GPL-3.0-or-later
// Short words for putting features of the excavation into a Demo, each with its record and its drawn
// outline.
#pragma once

#include <string>

#include "samples/generator/Demo.h"

namespace inkpeg::demo {

/// Writes a relation on both records: `later` and `earlier` by the words "above"/"below", "cuts"/"cut_by",
/// "fills"/"filled_by", "abuts"/"abuts".
void relate(Demo& demo, const std::string& first, const std::string& word, const std::string& second);

/// A new context record.
void record(Demo& demo, const std::string& number, const std::string& kind, const std::string& trench,
            const std::string& description, std::optional<double> topM, std::optional<double> bottomM);

/// Draws `ring` as the outline of a context on a drawing, every edge of one kind.
DrawnOutline& draw(Demo& demo, const std::string& drawing, const std::string& context, const Path& ring,
                   const std::string& edge = Certain);

DrawingPlan& drawingNamed(Demo& demo, const std::string& number);

/// A cut and its single fill: records with relations and both outlines; the fill's edge lies `gapM` inside
/// the cut's.
struct CutAndFill {
    std::string cut, fill, trench, cutDescription, fillDescription;
    double topM = 42.20, bottomM = 41.9;
    std::string into, sealedBy; ///< what is cut; what lies on the fill
    double gapM = 0.07;
};
void digOut(Demo& demo, const std::string& drawing, const CutAndFill& pair, const Path& cutRing);

/// A plan of a rectangle of the site grid, with crosses every `crossStepM`.
DrawingPlan& openPlan(Demo& demo, const std::string& number, const std::string& title,
                      const std::string& trench, const Window& grid, double scale, double crossStepM);

} // namespace inkpeg::demo
