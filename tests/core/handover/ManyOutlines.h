// SPDX-License-Identifier: GPL-3.0-or-later
// The yard with as many outlines as a large excavation draws, for tests and measurements of the hand-over.
#pragma once

#include <cmath>
#include <numbers>

#include "tests/core/handover/YardProject.h"

namespace inkpeg::yard {

/// Outlines of twelve vertices each, a hundred in a row, on plan P-01; their contexts are 0, 1, 2 ...
inline void addOutlines(Project& project, int count)
{
    const std::int64_t drawing = project.byKey<Drawing>("P-01")->id;
    const Result<Change> change = project.act("trace many outlines", [&](Editor& edit) {
        for (int i = 0; i < count; ++i) {
            Outline outline;
            outline.drawing = drawing;
            outline.context = std::to_string(i);
            std::vector<ScanPx> vertices;
            for (int k = 0; k < 12; ++k)
                vertices.push_back({400 + (i % 100) * 32 + 12 * std::cos(k * std::numbers::pi / 6),
                                    400 + (i / 100) * 22 + 9 * std::sin(k * std::numbers::pi / 6)});
            outline.parts = {{ring(std::move(vertices)), {}}};
            put(edit, outline);
        }
        return Result<void>();
    });
    if (!change)
        throw std::runtime_error(change.error().message);
}

} // namespace inkpeg::yard
