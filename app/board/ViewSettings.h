// SPDX-License-Identifier: GPL-3.0-or-later
// How a drawing is looked at: turned, mirrored, brightened. Changes nothing but the picture on the board.
#pragma once

#include "core/film/FilmTone.h"

namespace inkpeg {

struct ViewSettings {
    double turnDegrees = 0; ///< of the film, clockwise on the screen; on the ground north stays up
    bool mirrored = false;  ///< the film seen from behind, before it is turned
    FilmTone tone;

    bool asScanned() const { return *this == ViewSettings{}; }
    bool operator==(const ViewSettings&) const = default;
};

} // namespace inkpeg
