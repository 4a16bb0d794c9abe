// SPDX-License-Identifier: GPL-3.0-or-later
// A record of the register in a few lines, for the cards.
#pragma once

#include <string>

#include <QString>

#include "core/store/Project.h"

namespace inkpeg {

/// Number, kind, description, period, levels and relations of a context, as HTML; or that the register does
/// not have it, which is allowed and goes into the tally.
QString recordWords(const Project& project, const std::string& context);

} // namespace inkpeg
