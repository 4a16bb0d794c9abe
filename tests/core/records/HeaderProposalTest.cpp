// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/records/HeaderProposal.h"

#include <QTest>

using namespace inkpeg;

namespace {

std::string siteColumnOf(const HeaderProposal& proposal, const std::string& column)
{
    for (const ColumnProposal& each : proposal.columns)
        if (each.column.name == column)
            return each.siteColumn;
    return "no such column";
}

} // namespace

class HeaderProposalTest final : public QObject {
    Q_OBJECT

private slots:
    void ourOwnNamesNeedNoGuess()
    {
        const HeaderProposal proposal =
            proposeHeader(RegisterKind::Photographs, {"number", "taken_on", "subject"}, {});
        QVERIFY(proposal.isPlain());
        QCOMPARE(siteColumnOf(proposal, "taken_on"), std::string("taken_on"));
        QVERIFY(proposal.columns[0].by == ProposedBy::SameName);
    }

    void aSitesOwnWordsAreGuessedAndLookedOver()
    {
        const HeaderProposal proposal = proposeHeader(
            RegisterKind::Finds, {"find no.", "ctx", "mat.", "easting", "northing", "z", "bag"}, {});
        QVERIFY(!proposal.isPlain());
        QCOMPARE(siteColumnOf(proposal, "number"), std::string("find no."));
        QCOMPARE(siteColumnOf(proposal, "context"), std::string("ctx"));
        QCOMPARE(siteColumnOf(proposal, "material"), std::string("mat."));
        QCOMPARE(siteColumnOf(proposal, "east"), std::string("easting"));
        QCOMPARE(siteColumnOf(proposal, "level"), std::string("z"));
        QCOMPARE(siteColumnOf(proposal, "description"), std::string());
        QCOMPARE(proposal.left, std::vector<std::string>{"bag"});
    }

    void whatIsRememberedGoesBeforeWhatIsLike()
    {
        HeaderMapping remembered;
        remembered.columns = {{"number", "Ref"}};
        remembered.passOver = {"Bag"};
        const HeaderProposal proposal =
            proposeHeader(RegisterKind::Finds, {"ref", "find no", "bag"}, remembered);
        QCOMPARE(siteColumnOf(proposal, "number"), std::string("ref"));
        QVERIFY(proposal.columns[0].by == ProposedBy::Remembered);
        QCOMPARE(proposal.left, std::vector<std::string>{"find no"});
    }

    void noColumnGoesToTwo()
    {
        for (const RegisterKind kind : allRegisters()) {
            const HeaderProposal proposal =
                proposeHeader(kind, {"no", "date", "by", "description", "x", "y", "z", "name"}, {});
            std::set<std::string> taken;
            for (const ColumnProposal& each : proposal.columns)
                if (!each.siteColumn.empty())
                    QVERIFY(taken.insert(each.siteColumn).second);
            for (const std::string& left : proposal.left)
                QVERIFY(!taken.contains(left));
            QCOMPARE(taken.size() + proposal.left.size(), std::size_t{8});
        }
    }

    void aSlipOfTheFingerIsForgiven()
    {
        const HeaderProposal proposal = proposeHeader(RegisterKind::Contexts, {"number", "perod"}, {});
        QCOMPARE(siteColumnOf(proposal, "period"), std::string("perod"));
    }

    void aMissingRequiredColumnIsNotPlain()
    {
        QVERIFY(!proposeHeader(RegisterKind::Pegs, {"name", "east"}, {}).isPlain());
        QVERIFY(proposeHeader(RegisterKind::Pegs, {"name", "east", "north"}, {}).isPlain());
    }

    void theRegisterIsKnownByItsColumns()
    {
        for (const RegisterKind kind : allRegisters()) {
            std::vector<std::string> columns;
            for (const RegisterColumn& column : registerColumns(kind))
                columns.push_back(column.name);
            QCOMPARE(likelyRegister(columns), std::optional(kind));
        }
        QCOMPARE(likelyRegister({"colour", "mood"}), std::optional<RegisterKind>());
    }
};

QTEST_GUILESS_MAIN(HeaderProposalTest)
#include "HeaderProposalTest.moc"
