// SPDX-License-Identifier: GPL-3.0-or-later
// Whether what is drawn has a place on the board, and what a tool wants to be seen over it for a while.
#pragma once

#include "app/board/BoardPainting.h"

namespace inkpeg {

/// False with no drawing at hand, and on the ground for one without a fit: film millimetres are no metres.
bool hasPlace(const BoardPicture& picture);

/// So many vertices are painted in one to two milliseconds; more would hide what they lie on.
inline constexpr std::size_t mostVerticesShown = 3000;

/// If `look` wants them, the vertices of the outlines in view, unless these have more than
/// mostVerticesShown. Over the picture, so that it stays as it is while a vertex is dragged.
void paintVertices(QPainter& painter, const BoardPicture& picture, const DrawnLook& look);

} // namespace inkpeg
