// SPDX-License-Identifier: GPL-3.0-or-later
// What an archive bag says about itself.
#pragma once

#include <string>
#include <vector>

#include "core/records/Records.h"

namespace inkpeg {

/// Dublin Core (ISO 15836-1:2017) as XML; every text escaped. `at` is the state of the project.
std::string dublinCoreXml(const ProjectFacts& facts, const std::string& at);

/// README of the payload, plain text.
std::string bagReadMe(const ProjectFacts& facts, const std::string& at,
                      const std::vector<std::string>& remarks);

} // namespace inkpeg
