// SPDX-License-Identifier: GPL-3.0-or-later
// The checks of the third dimension, each where it must speak and where it must not.
#include "core/checks/Checks.h"

#include <map>

#include <QTest>

#include "tests/core/checks/SoundSite.h"

using namespace inkpeg;

namespace {

constexpr std::int64_t PlanId = 9001, SectionId = 9002;

/// How often each check was asked and spoke, and was asked and kept still.
std::map<std::string, std::pair<int, int>>& asked()
{
    static std::map<std::string, std::pair<int, int>> counts;
    return counts;
}

/// A plan and a section, given on the ground as they lie: a cut X1 two metres wide, crossed by a section line
/// that runs east and is read from the south, a fill X2 in it and a layer X3 over both.
struct SiteWithSection {
    ProjectRecords records;

    std::vector<Matter> found(const std::string& check) const
    {
        std::vector<Matter> matters = runChecks(records);
        std::erase_if(matters, [&](const Matter& matter) { return matter.check != check; });
        ++(matters.empty() ? asked()[check].second : asked()[check].first);
        return matters;
    }

    SiteWithSection()
    {
        const std::vector<ControlPoint> pins = {{.peg = "1", .film = {0, 0}, .ground = {0, 0}},
                                                {.peg = "2", .film = {100, 0}, .ground = {2, 0}}};
        Drawing plan, section;
        plan.id = PlanId;
        plan.number = "P-X";
        section.id = SectionId;
        section.number = "S-X";
        section.kind = DrawingKind::Section;
        section.facing = "S";
        section.datumM = 42.0;
        records.drawings.push_back(plan);
        records.drawings.push_back(section);
        for (const std::int64_t id : {PlanId, SectionId})
            records.places[id].fit =
                fitControl(pins, {.model = Model::Similarity, .scaleDenominator = 20}).value();
        records.places[SectionId].section =
            SectionFrame::through(
                "S-X", {{.name = "A", .position = {900, 900}}, {.name = "B", .position = {904, 900}}}, 42.0)
                .value();
        for (const auto& [number, kind] : {std::pair{"X1", "cut"}, {"X2", "fill"}, {"X3", "layer"}}) {
            Context context;
            context.number = number;
            context.kind = kind;
            records.contexts.push_back(context);
        }
        add(PlanId, "X1", {{901, 899}, {903, 899}, {903, 901}, {901, 901}});
        add(SectionId, "X1", {{1, 41.8}, {1.5, 41.3}, {2.5, 41.3}, {3, 41.8}});
        add(SectionId, "X2", {{1, 41.8}, {1.5, 41.3}, {2.5, 41.3}, {3, 41.8}});
        add(SectionId, "X3", {{0, 41.8}, {4, 41.8}, {4, 42.1}, {0, 42.1}});
    }
    void add(std::int64_t drawing, const std::string& context, const RingOnGround& ring)
    {
        Outline outline;
        outline.drawing = drawing;
        outline.context = context;
        Part& part = outline.parts.emplace_back();
        part.outer.vertices.resize(ring.size());
        part.outer.kinds.assign(ring.size(), EdgeKind::Certain);
        records.outlines.push_back(outline);
        records.groundOutlines.push_back({records.outlines.size() - 1, {{ring, {}}}, {25e-6, 0, 25e-6}});
    }
    void addSpot(double levelM, const char* context = "X1")
    {
        SpotLevel spot;
        spot.drawing = PlanId;
        spot.context = context;
        spot.levelM = levelM;
        records.spotLevels.push_back(spot);
        records.groundLevels.push_back({records.spotLevels.size() - 1, {902, 900}, {1e-6, 0, 1e-6}});
    }
    void addFind(double levelM)
    {
        Find find;
        find.number = "F-X";
        find.context = "X2";
        find.position = GroundM{902, 900};
        find.levelM = levelM;
        records.finds.push_back(find);
    }
    /// One set-up from a bench mark over "N-X" and back, with this misclosure.
    void addBook(double misclosureM)
    {
        LevelBook book;
        book.name = "evening";
        records.levelBooks.push_back(book);
        for (const auto& [point, back, between, fore, known] :
             {std::tuple{"BM", std::optional(1.0), std::optional<double>(), std::optional<double>(), true},
              {"N-X", std::optional<double>(), std::optional(0.5), std::optional<double>(), false},
              {"BM", std::optional<double>(), std::optional<double>(), std::optional(1.0 - misclosureM),
               true}}) {
            LevelReading reading;
            reading.book = "evening";
            reading.line = static_cast<int>(records.levelReadings.size()) + 1;
            reading.point = point;
            reading.backsightM = back;
            reading.intermediateM = between;
            reading.foresightM = fore;
            if (known)
                reading.benchmarkM = 50;
            records.levelReadings.push_back(reading);
        }
    }
    void addNail(double levelM)
    {
        Peg nail;
        nail.name = "N-X";
        nail.levelM = levelM;
        records.pegs.push_back(nail);
    }
    void addTimber(double lengthM)
    {
        Timber timber;
        timber.number = "T-X";
        timber.position = GroundM{902, 905};
        timber.topM = 42.0;
        timber.bottomM = 41.0;
        timber.lengthM = lengthM;
        records.timbers.push_back(timber);
    }
};

} // namespace

class SectionChecksTest final : public QObject {
    Q_OBJECT

private slots:
    void aSectionThatFacesAnotherWayThanRecorded()
    {
        SiteWithSection site;
        QVERIFY(site.found("section reads the wrong way").empty());
        for (Drawing& drawing : site.records.drawings)
            if (drawing.id == SectionId)
                drawing.facing = "N";
        QVERIFY(site.found("section reads the wrong way")[0].words.find("reversed") != std::string::npos);
    }

    void anEdgeInTwoPlaces()
    {
        SiteWithSection site;
        QVERIFY(site.found("plan and section disagree").empty());
        site.records.groundOutlines[site.records.groundOutlines.size() - 3].parts[0].outer[0].east += 0.05;
        const std::vector<Matter> found = site.found("plan and section disagree");
        QCOMPARE(found.size(), std::size_t(1));
        QVERIFY(found[0].words.find("50 mm apart") != std::string::npos);
        QCOMPARE(found[0].drawing, std::string("S-X"));
        QVERIFY(found[0].ground.has_value());
    }

    /// The fill's sides lean from 41.8 down to 41.3; on the plan it ends where they are at 41.5.
    void edgesThatNoLevelTellsOfAreOneMatter()
    {
        SiteWithSection site;
        site.add(PlanId, "X2", {{901.3, 899}, {902.7, 899}, {902.7, 901}, {901.3, 901}});
        const std::vector<Matter> found = site.found("edges without a level");
        QCOMPARE(found.size(), std::size_t(1));
        QCOMPARE(found[0].words,
                 std::string("section S-X: it cannot be told whether 2 edges on plans agree with "
                             "it (X2 on P-X)"));
        QCOMPARE(found[0].drawing, std::string("S-X"));
        QVERIFY(found[0].ground.has_value());
        site.addSpot(41.5, "X2");
        QVERIFY(site.found("edges without a level").empty());
        QVERIFY(site.found("plan and section disagree").empty());
    }

    void ofManySuchEdgesTheFirstFewAreNamed()
    {
        SiteWithSection site;
        for (const char* number : {"Y1", "Y2", "Y3", "Y4", "Y5", "Y6", "Y7"}) {
            Context fill;
            fill.number = number;
            fill.kind = "fill";
            site.records.contexts.push_back(fill);
            site.add(PlanId, number, {{901.3, 899}, {902.7, 899}, {902.7, 901}, {901.3, 901}});
            site.add(SectionId, number, {{1, 41.8}, {1.5, 41.3}, {2.5, 41.3}, {3, 41.8}});
        }
        const std::vector<Matter> found = site.found("edges without a level");
        QCOMPARE(found.size(), std::size_t(1));
        QVERIFY2(
            found[0].words.ends_with("14 edges on plans agree with it (Y1 on P-X, Y2 on P-X, Y3 on P-X, "
                                     "Y4 on P-X and 3 more)"),
            found[0].words.c_str());
    }

    void aLevelOffTheFace()
    {
        SiteWithSection site;
        site.addSpot(41.30); // the base of the cut
        QVERIFY(site.found("level off the section").empty());
        site.addSpot(41.40);
        QCOMPARE(site.found("level off the section").size(), std::size_t(1));
    }

    void aFindInAnotherContext()
    {
        SiteWithSection site;
        site.addFind(41.5);
        QVERIFY(site.found("in another context by section").empty());
        site.addFind(42.0);
        QCOMPARE(site.found("in another context by section").size(), std::size_t(1));
    }

    void aBookThatMisclosesAndOneThatCannotBeReduced()
    {
        SiteWithSection site;
        site.addBook(0.003);
        QVERIFY(site.found("level book does not close").empty());
        SiteWithSection open;
        open.addBook(0.020);
        QCOMPARE(open.found("level book does not close").size(), std::size_t(1));
        site.records.levelReadings.pop_back();
        QVERIFY(site.found("level book does not close")[0].words.find("must end with a foresight") !=
                std::string::npos);
    }

    void aPegWithAnotherLevelThanTheBook()
    {
        SiteWithSection site;
        site.addBook(0);
        site.addNail(50.502);
        QVERIFY(site.found("levels disagree").empty());
        site.addNail(50.510);
        QVERIFY(site.found("levels disagree")[0].words.find("10.0 mm apart, allowed are 3.0 mm") !=
                std::string::npos);
    }

    void aTimberWhoseLengthIsNotThatOfItsLevels()
    {
        SiteWithSection site;
        site.addTimber(1.04);
        QVERIFY(site.found("timber length against levels").empty());
        site.addTimber(1.20);
        QCOMPARE(site.found("timber length against levels").size(), std::size_t(1));
    }

    void cleanupTestCase()
    {
        for (const std::string& check : SoundSite::checksOfSections())
            QVERIFY2(asked()[check].first > 0 && asked()[check].second > 0, check.c_str());
    }
};

QTEST_GUILESS_MAIN(SectionChecksTest)
#include "SectionChecksTest.moc"
