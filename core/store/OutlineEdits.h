// SPDX-License-Identifier: GPL-3.0-or-later
// Edits of the outlines of a drawing as acts on the project: each one transaction, undone as a whole.
//
//   editOutlines(project, drawing.id, "cut 1012 out of 1003",
//                [&](DrawnOutlines& all) { return cutOut(all, indexOf(all, pit), indexOf(all, layer)); });
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>

#include "core/outline/DrawnOutlines.h"
#include "core/store/Project.h"

namespace inkpeg {

/// The outlines of a drawing by rising id.
DrawnOutlines drawnOutlines(const Project& project, std::int64_t drawing);

/// The place of an outline among those of its drawing. Errors: NotFound.
Result<std::size_t> indexOf(const DrawnOutlines& outlines, std::int64_t id);

/// Runs `edit` on the outlines of a drawing and stores what it changed, added or took away. New outlines
/// are traced now, by the person at the keyboard; changed ones keep who traced them.
/// Errors: those of `edit`; Project::act's.
Result<Change> editOutlines(Project& project, std::int64_t drawing, const std::string& what,
                            const std::function<Result<void>(DrawnOutlines&)>& edit);

/// The same on some outlines of a drawing: `outlines` are those that the edit may change, with all that
/// meet their boxes before or after, by rising id and as they are in the project. What adjoins none of them
/// is neither read nor looked at, so that an edit of one outline among a hundred thousand costs no more.
Result<Change> editOutlines(Project& project, std::int64_t drawing, const std::string& what,
                            DrawnOutlines outlines,
                            const std::function<Result<void>(DrawnOutlines&)>& edit);

/// Puts a copy of an outline on another drawing, by way of the ground: as much as lies on that drawing's
/// part of its sheet; where it runs off, the edge is beyond the sheet. Edges that are straight on one film
/// and bent on the other get vertices until they lie within 0.05 mm of their course.
/// Errors: NotFound; those of the fits; Conflict (a plan and a section; nothing of it lies on the other
/// drawing; that drawing shows the context already, or it is the outline's own).
Result<Change> copyOutline(Project& project, std::int64_t outline, std::int64_t toDrawing);

} // namespace inkpeg
