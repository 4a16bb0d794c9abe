// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/Corrections.h"

#include <QTemporaryDir>
#include <QTest>

#include "core/store/LoadRecords.h"
#include "tests/core/store/SoundProject.h"

using namespace inkpeg;

class CorrectionsTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;
    int m_count = 0;

    /// The sound site with find 1 at `position` and recorded in `context`.
    Project project(GroundM position, const std::string& context)
    {
        SoundSite site;
        site.records.finds[0].position = position;
        site.records.finds[0].context = context;
        return soundProject(m_folder.filePath(QString("site%1.gpkg").arg(++m_count)).toStdString(),
                            site.records);
    }
    static std::vector<Proposal> proposed(const Project& project)
    {
        const ProjectRecords records = loadRecords(project).value();
        const std::vector<Placed> placed = placedOf(records);
        return proposalsOf(placed, linkToOutlines(records, placed));
    }

private slots:
    void aFindThatLiesElsewhereIsProposedAndTaken()
    {
        Project site = project({105.5, 52}, "1002"); // in 1003 alone
        const std::vector<Proposal> proposals = proposed(site);
        QCOMPARE(proposals.size(), std::size_t{1});
        QCOMPARE(proposals[0].number, std::string("1"));
        QCOMPARE(proposals[0].from, std::string("1002"));
        QCOMPARE(proposals[0].to, std::string("1003"));
        QVERIFY(proposals[0].probabilityTo > SurelyWithin);
        QVERIFY(proposals[0].probabilityFrom < SurelyOutside);
        QCOMPARE(takeProposals(site, proposals, "  ").error().code, ErrorCode::BadInput);
        QVERIFY(takeProposals(site, proposals, "slip on the bag"));
        QCOMPARE(site.byKey<Find>("1")->context, std::string("1003"));
        QVERIFY(proposed(site).empty());
        QVERIFY(site.undo());
        QCOMPARE(site.byKey<Find>("1")->context, std::string("1002"));
    }

    void aFindWithoutAContextIsProposedOne()
    {
        Project site = project({105.5, 52}, "");
        const std::vector<Proposal> proposals = proposed(site);
        QCOMPARE(proposals.size(), std::size_t{1});
        QVERIFY2(proposals[0].words.find("names no context") != std::string::npos,
                 proposals[0].words.c_str());
        QVERIFY(takeProposals(site, proposals, "by its place"));
        QCOMPARE(site.byKey<Find>("1")->context, std::string("1003"));
    }

    void nothingIsProposedWhereThePlaceDoesNotSayIt()
    {
        QVERIFY(proposed(project({103, 52}, "1002")).empty());     // it agrees
        QVERIFY(proposed(project({104.01, 52}, "1002")).empty());  // on the edge
        QVERIFY(proposed(project({106.5, 52}, "1002")).empty());   // it lies in nothing
        QVERIFY(proposed(project({106.005, 52}, "1002")).empty()); // on the edge of the other
    }

    void whatHasChangedMeanwhileIsRefusedWhole()
    {
        Project site = project({105.5, 52}, "1002");
        std::vector<Proposal> proposals = proposed(site);
        proposals.push_back(proposals[0]);
        proposals[1].number = "77";
        QCOMPARE(takeProposals(site, proposals, "x").error().code, ErrorCode::NotFound);
        QCOMPARE(site.byKey<Find>("1")->context, std::string("1002"));
        proposals.pop_back();
        Find find = *site.byKey<Find>("1");
        find.context = "1001";
        QVERIFY(site.act("recorded anew", [&](Editor& edit) { return edit.put(find); }));
        QCOMPARE(takeProposals(site, proposals, "x").error().code, ErrorCode::Conflict);
        QCOMPARE(takeProposals(site, {}, "x").error().code, ErrorCode::NotFound);
    }
};

QTEST_GUILESS_MAIN(CorrectionsTest)
#include "CorrectionsTest.moc"
