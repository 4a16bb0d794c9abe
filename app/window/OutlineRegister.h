// SPDX-License-Identifier: GPL-3.0-or-later
// Which context each outline of the project shows: read once, then kept up act by act, so that asking what
// is drawn already never reads a hundred thousand outlines.
#pragma once

#include <cstdint>
#include <map>
#include <set>
#include <string>
#include <vector>

#include "core/store/Project.h"

namespace inkpeg {

class OutlineRegister {
public:
    /// Anew from the file.
    void read(const Project& project);
    /// After an act that touched these rows.
    void update(const Project& project, const std::vector<TouchedRow>& rows);

    bool isDrawn(const std::string& context) const { return m_ids.contains(context); }
    /// Outlines of a context on all drawings, by rising id.
    const std::set<std::int64_t>& outlinesOf(const std::string& context) const;

private:
    std::map<std::int64_t, std::string> m_contexts;
    std::map<std::string, std::set<std::int64_t>, std::less<>> m_ids;
};

} // namespace inkpeg
