// SPDX-License-Identifier: GPL-3.0-or-later
// Progress of work that is a part of other work.
#pragma once

#include "core/base/Progress.h"

namespace inkpeg {

/// What a part tells as 0 to 1, the whole hears as `from` to `to`. `whole` must outlive what is returned.
inline Progress shareOf(const Progress& whole, double from, double to)
{
    if (!whole)
        return {};
    return [&whole, from, to](double share) { return whole(from + share * (to - from)); };
}

} // namespace inkpeg
