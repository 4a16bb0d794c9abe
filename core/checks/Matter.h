// SPDX-License-Identifier: GPL-3.0-or-later
// One thing that a check found outstanding.
#pragma once

#include <optional>
#include <string>

#include "core/base/Units.h"

namespace inkpeg {

/// How much a matter weighs.
enum class Severity {
    Must,   ///< has to be put right (or waived with a reason) before the trench is backfilled
    Should, ///< ought to be looked at while it can still be seen
    Note,   ///< worth knowing
};

/// "must", "should", "note".
std::string severityName(Severity severity);

struct Matter {
    std::string check; ///< Check::name
    Severity severity = Severity::Must;
    std::string subjectKind; ///< "drawing", "context", "contexts", "find", "sample", "timber", "sheet", ...
    std::string subject;     ///< number of the record, or numbers joined by " / "
    std::string trench;
    std::string drawing; ///< number of the drawing where it can be seen, if there is one
    std::string person;  ///< initials of who can put it right, if known
    std::string words;
    std::string whatToDo;
    std::optional<GroundM> ground; ///< its place in plan
    std::optional<ScanPx> scan;    ///< its place in the scan of `drawing`
    bool operator==(const Matter&) const = default;
};

} // namespace inkpeg
