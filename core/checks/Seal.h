// SPDX-License-Identifier: GPL-3.0-or-later
// Sign-off: who may put their name to a drawing or context, and the seal over what they put it to.
//
//   if (const Result<void> may = maySign(records, {"drawing", "P-014", Stage::SignedOff, "KB"},
//   openMatters); !may)
//       return may.error();                       // "drawing P-014: KB traced it; somebody else has to
//       check it"
//   signOff.sealSha256 = Seals(records).of("drawing", "P-014");
#pragma once

#include <map>
#include <set>
#include <span>
#include <string>
#include <unordered_map>
#include <vector>

#include "core/base/Result.h"
#include "core/checks/Matter.h"
#include "core/checks/ProjectRecords.h"

namespace inkpeg {

/// Digests of what is signed, for any number of subjects. Lends from the records, which must outlive it.
///
/// A drawing's seal covers its record, its sheet's scan digest, its pins with the pegs they are tied to,
/// and all that is traced on it; a context's seal covers its record, the relations written on it and its
/// outlines. Row ids, stages and the order of rows are left out: storing the same content again does not
/// break a seal.
class Seals {
public:
    explicit Seals(const ProjectRecords& records);

    /// SHA-256 in hexadecimal. `subjectKind` is "drawing" or "context"; empty for a subject that does not
    /// exist.
    std::string of(const std::string& subjectKind, const std::string& subject) const;

private:
    std::string ofDrawing(const Drawing& drawing) const;
    std::string ofContext(const Context& context) const;

    const ProjectRecords& m_records;
    std::unordered_map<std::string, const Drawing*> m_drawings;
    std::unordered_map<std::int64_t, const Drawing*> m_drawingById;
    std::unordered_map<std::string, const Context*> m_contexts;
    std::unordered_map<std::string, const Sheet*> m_sheets;
    std::unordered_map<std::string, const Peg*> m_pegs;
    std::unordered_map<std::int64_t, std::vector<std::string>> m_rowsOfDrawing; ///< as text
    std::unordered_map<std::string, std::vector<std::string>> m_rowsOfContext;
};

/// The sign-offs in force: for each subject the last one made, as indices into records.signOffs in rising
/// order.
std::vector<std::size_t> lastSignOffs(const ProjectRecords& records);

/// Sign-offs in force, of stage signed off, not yet marked broken, whose subject is no longer what was
/// signed.
std::vector<std::size_t> newlyBrokenSeals(const ProjectRecords& records);

/// Who drew, recorded or traced what; none of them may check it. Made once, for any number of subjects.
class Makers {
public:
    explicit Makers(const ProjectRecords& records);

    /// Initials; empty for a subject that does not exist.
    std::set<std::string> of(const std::string& subjectKind, const std::string& subject) const;

private:
    std::map<std::pair<std::string, std::string>, std::set<std::string>> m_makers;
};

/// What somebody is about to put their name to.
struct SigningIntent {
    std::string subjectKind; ///< "drawing" or "context"
    std::string subject;
    Stage stage = Stage::SignedOff; ///< Checked or SignedOff
    std::string person;             ///< initials
};

/// What may be signed by whom, for any number of intents. Lends from the records and matters, which must
/// outlive it.
/// Source: Dutch Archaeology Quality Standard (KNA), specification OS04, explanatory notes, pp. 151-156: a
/// second, more senior person checks that the drawing was made correctly.
class SigningRules {
public:
    SigningRules(const ProjectRecords& records, std::span<const Matter> open);

    /// Errors: NotFound (no such drawing or context, no such person); Conflict (stage out of turn, already
    /// at that stage, the person made it themselves, it was changed since it was checked, matters of
    /// severity must are open on it: names the first).
    Result<void> may(const SigningIntent& intent) const;

    /// The seal over the subject as it is now.
    std::string sealOf(const SigningIntent& intent) const
    {
        return m_seals.of(intent.subjectKind, intent.subject);
    }

private:
    using Subject = std::pair<std::string, std::string>; ///< kind, number

    Seals m_seals;
    Makers m_makers;
    std::map<Subject, Stage> m_stages;
    std::map<Subject, const Matter*> m_firstMust;
    std::map<Subject, const SignOff*> m_last;
    std::set<std::string> m_people;
};

/// The same for one intent.
Result<void> maySign(const ProjectRecords& records, const SigningIntent& intent,
                     std::span<const Matter> open);

} // namespace inkpeg
