// SPDX-License-Identifier: GPL-3.0-or-later
// Writes XML whose texts cannot break it.
#pragma once

#include <string>

namespace inkpeg {

/// Text content: markup escaped, characters that XML does not have replaced.
/// Source: W3C XML 1.0 (fifth edition), 2.2 and 2.4.
std::string xmlText(const std::string& text);

} // namespace inkpeg
