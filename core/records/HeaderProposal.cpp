// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/records/HeaderProposal.h"

#include <algorithm>

#include "core/base/Text.h"

namespace inkpeg {

namespace {

/// Short forms and other words for the columns of registers (common practice, no source).
const std::map<std::string, std::vector<std::string>>& otherWords()
{
    static const std::map<std::string, std::vector<std::string>> words = {
        {"number", {"no", "nr", "num", "id"}},
        {"name", {"peg", "point", "no", "id", "station", "fullname", "trench"}},
        {"context", {"ctx", "contextno", "ctxno", "contextnumber", "unit", "feature"}},
        {"trench", {"area", "tr", "testpit", "sondage"}},
        {"kind", {"type", "category", "class"}},
        {"material", {"mat", "fabric"}},
        {"description", {"desc", "descr", "notes", "remarks", "comment", "comments"}},
        {"east", {"x", "e", "easting", "eastings"}},
        {"north", {"y", "n", "northing", "northings"}},
        {"level", {"z", "height", "elevation", "reducedlevel", "rl"}},
        {"se", {"sigma", "error", "standarderror", "accuracy"}},
        {"period", {"phase", "dating"}},
        {"recorded_by", {"recorder", "initials", "by"}},
        {"recorded_on", {"date", "recorded"}},
        {"drawn_by", {"draughtsperson", "initials", "by", "drawer"}},
        {"drawn_on", {"date", "drawn"}},
        {"taken_on", {"date", "taken"}},
        {"scale", {"scaledenominator"}},
        {"sheet", {"film", "sheetno", "filmno"}},
        {"subject", {"description", "desc", "shows"}},
        {"initials", {"init", "inits"}},
        {"top", {"toplevel", "highest"}},
        {"bottom", {"bottomlevel", "lowest", "base"}},
    };
    return words;
}

/// Letters and digits alone: "Ctx. no" -> "ctxno".
std::string bare(const std::string& name)
{
    std::string text;
    for (const char letter : lowerAscii(name))
        if ((letter >= 'a' && letter <= 'z') || (letter >= '0' && letter <= '9') || (letter & 0x80) != 0)
            text += letter;
    return text;
}

bool oneLetterApart(const std::string& a, const std::string& b)
{
    if (a.size() > b.size())
        return oneLetterApart(b, a);
    if (b.size() - a.size() > 1)
        return false;
    std::size_t same = 0;
    while (same < a.size() && a[same] == b[same])
        ++same;
    const std::size_t skip = a.size() == b.size() ? 1 : 0;
    return a.substr(std::min(a.size(), same + skip)) == b.substr(std::min(b.size(), same + 1));
}

/// How well a column of the file answers to one of the register; 0 = not at all.
int likeness(const std::string& column, const std::string& siteColumn, const std::string& record)
{
    const std::string ours = bare(column), theirs = bare(siteColumn);
    if (theirs.empty())
        return 0;
    if (ours == theirs)
        return 5;
    const auto words = otherWords().find(column);
    if (words != otherWords().end())
        for (const std::string& word : words->second)
            if (word == theirs)
                return 4;
    // "context no" for the number of a context
    if (column == "number" || column == "name")
        for (const char* ending : {"no", "nr", "number", "num", "id", "name", ""})
            if (theirs == record + ending)
                return 4;
    if (ours.size() >= 5 && oneLetterApart(ours, theirs))
        return 3;
    if (ours.size() >= 4 && theirs.size() >= 4 &&
        (theirs.find(ours) != std::string::npos || ours.find(theirs) != std::string::npos))
        return 2;
    return 0;
}

/// "context" of "contexts"; "person" stays what it is.
std::string recordWord(RegisterKind kind)
{
    const std::string name = registerName(kind);
    if (kind == RegisterKind::Trenches)
        return "trench";
    return name.ends_with('s') ? name.substr(0, name.size() - 1) : name;
}

class Proposing {
public:
    Proposing(RegisterKind kind, const std::vector<std::string>& columns) : m_kind(kind), m_free(columns)
    {
        std::erase(m_free, std::string());
        for (RegisterColumn& column : registerColumns(kind))
            m_proposal.columns.push_back({std::move(column), {}, ProposedBy::Nothing});
    }

    void bySameName()
    {
        for (ColumnProposal& each : m_proposal.columns)
            take(each, each.column.name, ProposedBy::SameName);
    }
    void byMemory(const HeaderMapping& remembered)
    {
        for (ColumnProposal& each : m_proposal.columns)
            if (const auto own = remembered.columns.find(each.column.name); own != remembered.columns.end())
                take(each, lowerAscii(trimmed(own->second)), ProposedBy::Remembered);
    }
    void byLikeness()
    {
        for (int least = 5; least > 0; --least)
            for (ColumnProposal& each : m_proposal.columns)
                for (const std::string& site : std::vector<std::string>(m_free))
                    if (likeness(each.column.name, site, recordWord(m_kind)) >= least)
                        take(each, site, ProposedBy::LikeName);
    }
    HeaderProposal finish()
    {
        m_proposal.left = std::move(m_free);
        return std::move(m_proposal);
    }

private:
    void take(ColumnProposal& column, const std::string& siteColumn, ProposedBy by)
    {
        const auto found = std::find(m_free.begin(), m_free.end(), siteColumn);
        if (column.by != ProposedBy::Nothing || found == m_free.end())
            return;
        column.siteColumn = siteColumn;
        column.by = by;
        m_free.erase(found);
    }

    RegisterKind m_kind;
    std::vector<std::string> m_free;
    HeaderProposal m_proposal;
};

} // namespace

bool HeaderProposal::isPlain() const
{
    return left.empty() && std::all_of(columns.begin(), columns.end(), [](const ColumnProposal& each) {
               return each.by != ProposedBy::LikeName &&
                      (each.by != ProposedBy::Nothing || !each.column.required);
           });
}

HeaderProposal proposeHeader(RegisterKind kind, const std::vector<std::string>& columns,
                             const HeaderMapping& remembered)
{
    Proposing proposing(kind, columns);
    proposing.bySameName();
    proposing.byMemory(remembered);
    proposing.byLikeness();
    HeaderProposal proposal = proposing.finish();
    std::erase_if(proposal.left, [&](const std::string& column) {
        return std::any_of(
            remembered.passOver.begin(), remembered.passOver.end(),
            [&](const std::string& passed) { return lowerAscii(trimmed(passed)) == column; });
    });
    return proposal;
}

std::optional<RegisterKind> likelyRegister(const std::vector<std::string>& columns)
{
    std::optional<RegisterKind> likely;
    int most = 0;
    for (const RegisterKind kind : allRegisters()) {
        const HeaderProposal proposal = proposeHeader(kind, columns, {});
        int points = 0;
        bool complete = true;
        for (const ColumnProposal& each : proposal.columns) {
            points += each.by == ProposedBy::SameName ? 3 : each.by == ProposedBy::LikeName ? 2 : 0;
            complete = complete && (each.by != ProposedBy::Nothing || !each.column.required);
        }
        points -= static_cast<int>(proposal.left.size());
        if (!complete || points < most)
            continue;
        likely = points == most ? std::nullopt : std::optional(kind);
        most = points;
    }
    return likely;
}

} // namespace inkpeg
