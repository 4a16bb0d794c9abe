// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/checks/UprightTimbers.h"

namespace inkpeg {

Result<UprightTimber> standing(const Timber& timber)
{
    if (!timber.position)
        return Error{ErrorCode::BadInput, "timber " + timber.number + ": no place; survey it"};
    return uprightTimber({timber.number, *timber.position, timber.topM, timber.bottomM, timber.lengthM,
                          timber.diameterM, timber.leanDegrees, timber.leanBearingDegrees});
}

} // namespace inkpeg
