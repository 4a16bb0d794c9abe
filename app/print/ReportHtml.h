// SPDX-License-Identifier: GPL-3.0-or-later
// What every HTML report has in common: one page that stands alone, light or dark, nothing fetched.
#pragma once

#include <string>

namespace inkpeg {

/// "<NAME class="CLASSES">text</NAME>", the text escaped.
std::string element(const char* name, const std::string& text, const char* classes = nullptr);

/// From the document's type to the opening of its body.
std::string htmlHead(const std::string& title);

} // namespace inkpeg
