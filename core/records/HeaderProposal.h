// SPDX-License-Identifier: GPL-3.0-or-later
// A first guess at which column of a site's file is which column of a register, for a person to look over.
//
//   const HeaderProposal proposal = proposeHeader(RegisterKind::Contexts, table.columns, remembered);
//   for (const ColumnProposal& column : proposal.columns) ...    // number <- "ctx no", remembered
#pragma once

#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "core/records/Registers.h"

namespace inkpeg {

enum class ProposedBy { Nothing, SameName, Remembered, LikeName };

struct ColumnProposal {
    RegisterColumn column;
    std::string siteColumn; ///< empty where nothing was found
    ProposedBy by = ProposedBy::Nothing;
};

struct HeaderProposal {
    std::vector<ColumnProposal> columns; ///< every column of the register, in order
    std::vector<std::string> left;       ///< columns of the file that go nowhere, in the file's order

    /// True if nothing is open: no required column without its own, none guessed, none left.
    bool isPlain() const;
};

/// Columns of the file go in turn to the columns of their own name, to those remembered for them, and to
/// those whose name is like theirs (blanks and signs aside; common short forms; a letter or two apart). No
/// column of the file goes to two. `columns` in lower case, as CsvTable has them.
HeaderProposal proposeHeader(RegisterKind kind, const std::vector<std::string>& columns,
                             const HeaderMapping& remembered);

/// The register whose columns these most likely are, if one is likelier than all others.
std::optional<RegisterKind> likelyRegister(const std::vector<std::string>& columns);

} // namespace inkpeg
