// SPDX-License-Identifier: GPL-3.0-or-later
// Acts on the sheet of the drawing at hand.
#include "app/window/Session.h"
#include "app/window/Words.h"

namespace inkpeg {

bool Session::setFrame(const std::vector<ScanPx>& frame)
{
    std::optional<Drawing> at = drawing();
    if (!at || at->frame == frame)
        return false;
    at->frame = frame;
    return act(frame.empty() ? tr("drawing %1 takes up the whole sheet").arg(words(at->number))
                             : tr("mark the part of drawing %1 on its sheet").arg(words(at->number)),
               [&at](Editor& edit) { return edit.put(*at); });
}

} // namespace inkpeg
