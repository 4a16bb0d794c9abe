// SPDX-License-Identifier: GPL-3.0-or-later
// A place on a printed page.
#pragma once

namespace inkpeg {

/// Millimetres on the page, x to the right, y down, from the upper left corner of page or picture.
struct PageMm {
    double x = 0;
    double y = 0;
};

} // namespace inkpeg
