// SPDX-License-Identifier: GPL-3.0-or-later
// A column through a drawn face: what a sample tin or a sondage passes on its way down.
#include <algorithm>

#include "core/checks/PlanAgainstSection.h"
#include "core/checks/SectionFace.h"

namespace inkpeg {

std::vector<ColumnLayer> columnAt(const ProjectRecords& records, const std::string& section, double alongM)
{
    std::vector<ColumnLayer> layers;
    for (const SectionFace& face : sectionFaces(records)) {
        if (face.drawing().number != section)
            continue;
        const auto surface = face.surfaceM(alongM);
        if (!surface)
            break;
        // Between neighbouring boundaries the face shows one context.
        std::vector<double> bounds;
        for (const FaceArea& area : face.areas())
            for (const FaceSpan& span : SectionFace::spans(area, alongM)) {
                bounds.push_back(span.topM);
                bounds.push_back(span.bottomM);
            }
        std::sort(bounds.rbegin(), bounds.rend());
        for (std::size_t i = 0; i + 1 < bounds.size(); ++i) {
            const FaceArea* shown = face.at(alongM, (bounds[i] + bounds[i + 1]) / 2);
            if (bounds[i] == bounds[i + 1] || shown == nullptr)
                continue;
            if (!layers.empty() && layers.back().context == shown->context &&
                layers.back().bottomM == bounds[i]) {
                layers.back().bottomM = bounds[i + 1];
                layers.back().depthToBottomM = *surface - bounds[i + 1];
                continue;
            }
            layers.push_back(
                {shown->context, bounds[i], bounds[i + 1], *surface - bounds[i], *surface - bounds[i + 1]});
        }
        break;
    }
    return layers;
}

} // namespace inkpeg
