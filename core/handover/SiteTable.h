// SPDX-License-Identifier: GPL-3.0-or-later
// The statements that bring one layer into its table of the site database.
//
// Each row keeps the digest of what was pushed. A row whose digest is no longer that of its content was
// changed by other hands: a conflict, where the project's record differs from it.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "core/handover/FeatureLayer.h"

namespace inkpeg {

class SiteTable {
public:
    SiteTable(const LayerSchema& layer, const std::string& schema, const std::string& siteCode,
              const std::string& crs, const std::string& at);

    std::string stagingName() const { return "inkpeg_staged_" + m_layer.name; }
    /// Record number and geometry first, then the layer's fields.
    std::vector<std::pair<std::string, FieldType>> stagingColumns() const;

    // Statements in one text, with semicolons between: each text is one way to the server and back.

    /// Table, columns that a former push did not know, what they mean.
    std::string making() const;
    /// Temporary tables of what is pushed and what is there, each with its digest.
    std::string comparing() const;
    /// One row: added, changed, same, conflicting, gone.
    std::string counting() const;
    /// Record number and differing fields of each conflict.
    std::string conflicting() const;
    std::string upserting(bool overwrite) const;
    /// Last, since an index over rows that are there is made faster than one that grows with each of them.
    /// Empty where there is nothing to index.
    std::string indexing() const;

private:
    std::string fields(const std::string& before, const std::string& after = {}) const;
    std::string digest(const std::string& of) const;
    std::string join() const;

    LayerSchema m_layer;
    std::string m_table, m_site, m_at, m_new, m_old;
    int m_srid = 0;
};

} // namespace inkpeg
