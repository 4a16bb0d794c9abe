// SPDX-License-Identifier: GPL-3.0-or-later
// One plan and one section made of plain shapes whose crossings are known by hand.
#include "core/checks/PlanAgainstSection.h"

#include <algorithm>
#include <cmath>
#include <random>

#include <QTest>

using namespace inkpeg;

namespace {

constexpr double PlanSigma = 0.006, SectionSigma = 0.003;

DrawingPlace fittedPlace(std::optional<SectionFrame> frame)
{
    DrawingPlace place;
    // Any fit whose pins are within tolerance: places are given on the ground already.
    const std::vector<ControlPoint> pins = {{.peg = "1", .film = {0, 0}, .ground = {0, 0}},
                                            {.peg = "2", .film = {100, 0}, .ground = {2, 0}}};
    place.fit = fitControl(pins, {.model = Model::Similarity, .scaleDenominator = 20}).value();
    place.section = std::move(frame);
    return place;
}

/// A plan 1 with a square cut 10 (2 m wide, from east 101 to 103) and its fill 11, and a section 2 along
/// north 200 from east 100 to 104, its datum 42.
struct Site {
    ProjectRecords records;

    Site()
    {
        Drawing plan, section;
        plan.id = 1;
        plan.number = "P-1";
        section.id = 2;
        section.number = "S-1";
        section.kind = DrawingKind::Section;
        records.drawings = {plan, section};
        records.places[1] = fittedPlace({});
        records.places[2] = fittedPlace(
            SectionFrame::through(
                "S-1", {{.name = "A", .position = {100, 200}}, {.name = "B", .position = {104, 200}}}, 42.0)
                .value());
        for (const auto& [number, kind] : {std::pair{"10", "cut"}, {"11", "fill"}, {"12", "layer"}}) {
            Context context;
            context.number = number;
            context.kind = kind;
            records.contexts.push_back(context);
        }
        add(1, "10", {{101, 199}, {103, 199}, {103, 201}, {101, 201}}, PlanSigma);
        // The cut on the face: 2 m wide at the top, 1 m at its base, half a metre deep.
        add(2, "10", {{1, 41.8}, {1.5, 41.3}, {2.5, 41.3}, {3, 41.8}}, SectionSigma);
        add(2, "11", {{1, 41.8}, {1.5, 41.3}, {2.5, 41.3}, {3, 41.8}}, SectionSigma);
        add(2, "12", {{0, 41.8}, {4, 41.8}, {4, 42.1}, {0, 42.1}}, SectionSigma);
    }

    void add(std::int64_t drawing, const std::string& context, const RingOnGround& ring, double sigma)
    {
        Outline outline;
        outline.drawing = drawing;
        outline.context = context;
        Part part;
        part.outer.vertices.resize(ring.size());
        part.outer.kinds.assign(ring.size(), EdgeKind::Certain);
        outline.parts = {part};
        records.outlines.push_back(outline);
        records.groundOutlines.push_back(
            {records.outlines.size() - 1, {{ring, {}}}, {sigma * sigma, 0, sigma * sigma}});
    }
    OutlineOnGround& ground(std::size_t i) { return records.groundOutlines[i]; }
    std::vector<EdgeMisfit> edgesOf(const std::string& context) const
    {
        std::vector<EdgeMisfit> found;
        for (const EdgeMisfit& edge : comparePlansAndSections(records).edges)
            if (edge.context == context)
                found.push_back(edge);
        return found;
    }
    /// All of its edges are judged so, and there are two of them.
    bool bothAre(const std::string& context, MisfitVerdict verdict) const
    {
        const std::vector<EdgeMisfit> edges = edgesOf(context);
        return edges.size() == 2 && std::ranges::all_of(edges, [&](const EdgeMisfit& edge) {
                   return edge.verdict() == verdict;
               });
    }
    EdgeKind& kind(std::size_t outline, std::size_t edge)
    {
        return records.outlines[outline].parts[0].outer.kinds[edge];
    }
    void addFind(double east, double north, double level, const std::string& context)
    {
        Find find;
        find.number = "1";
        find.context = context;
        find.position = GroundM{east, north};
        find.levelM = level;
        find.standardErrorM = 0.01;
        records.finds = {find};
    }
};

} // namespace

class PlanAgainstSectionTest final : public QObject {
    Q_OBJECT

private slots:
    void edgesOfOneTruthAgreeWithBothErrorsStated()
    {
        Site site;
        const PlanAgainstSection compared = comparePlansAndSections(site.records);
        QCOMPARE(compared.sections, 1);
        QCOMPARE(compared.edges.size(), std::size_t(2));
        for (const EdgeMisfit& edge : compared.edges) {
            QVERIFY(std::abs(edge.misfitM()) < 1e-9 && edge.verdict() == MisfitVerdict::Within);
            QCOMPARE(edge.planErrorM, PlanSigma); // the line is crossed at a right angle
            QCOMPARE(edge.sectionErrorM, SectionSigma);
            QVERIFY(std::abs(edge.allowedM() - 2 * std::hypot(PlanSigma, SectionSigma)) < 1e-12);
        }
        QVERIFY(std::abs(compared.edges[0].planAlongM + compared.edges[1].planAlongM - 4) < 1e-9);
    }

    void aSlantingEdgeWeighsItsErrorByTheSineOfTheCrossing()
    {
        Site site;
        site.ground(0).parts[0].outer = {{101 - 1, 199}, {103, 199}, {103, 201}, {101 + 1, 201}};
        for (const EdgeMisfit& edge : comparePlansAndSections(site.records).edges) {
            QVERIFY(std::abs(edge.misfitM()) < 1e-9);
            // The west edge now runs at 45 degrees.
            const double sine = edge.planAlongM < 2 ? std::sqrt(0.5) : 1.0;
            QVERIFY(std::abs(edge.planErrorM - PlanSigma / sine) < 1e-12);
        }
    }

    void anEdgeMovedBeyondTwoSigmaIsFoundAndNamed()
    {
        Site site;
        site.ground(1).parts[0].outer[0].east += 0.030;
        int beyond = 0;
        for (const EdgeMisfit& edge : comparePlansAndSections(site.records).edges)
            if (edge.verdict() == MisfitVerdict::Beyond) {
                ++beyond;
                QVERIFY(std::abs(edge.misfitM() - 0.030) < 1e-9);
                const std::string words = edge.inWords();
                QVERIFY2(words.find("30 mm apart, two sigma are 13 mm (plan 6 mm, section 3 mm)") !=
                             std::string::npos,
                         words.c_str());
            }
        QCOMPARE(beyond, 1);
    }

    void limitsOfExcavationSayNothingAndUncertainEdgesAreSaid()
    {
        Site site;
        site.kind(0, 3) = EdgeKind::LimitOfExcavation; // the west edge of the plan
        QCOMPARE(comparePlansAndSections(site.records).edges.size(), std::size_t(1));
        site.kind(0, 3) = EdgeKind::Uncertain;
        int uncertain = 0;
        for (const EdgeMisfit& edge : comparePlansAndSections(site.records).edges)
            uncertain += edge.uncertain ? 1 : 0;
        QCOMPARE(uncertain, 1);
    }

    /// A fill on a plan is as wide as it was at the plan's level: at 41.5, 0.3 m below its top, each side
    /// lies 0.3 m further in.
    void aFillIsComparedAtTheLevelOfItsPlan()
    {
        Site site;
        site.add(1, "11", {{101.3, 199}, {102.7, 199}, {102.7, 201}, {101.3, 201}}, PlanSigma);
        SpotLevel spot;
        spot.drawing = 1;
        spot.context = "11";
        spot.levelM = 41.5;
        site.records.spotLevels = {spot};
        QCOMPARE(site.edgesOf("11").size(), std::size_t(2));
        for (const EdgeMisfit& edge : site.edgesOf("11")) {
            QVERIFY(std::abs(edge.misfitM()) < 1e-9);
            QCOMPARE(edge.verdict(), MisfitVerdict::Within);
            QCOMPARE(edge.sectionFromM, edge.sectionToM);
        }
        site.records.spotLevels[0].levelM = 41.7; // there it was wider
        QVERIFY(site.bothAre("11", MisfitVerdict::Beyond));
        for (const EdgeMisfit& edge : site.edgesOf("11"))
            QVERIFY(std::abs(std::abs(edge.misfitM()) - 0.2) < 1e-9);
        // A level without a number counts where it lies in the outline, and not beside it.
        site.records.spotLevels[0].context.clear();
        site.records.groundLevels = {{0, {102, 200.8}, {1e-6, 0, 1e-6}}};
        QVERIFY(site.bothAre("11", MisfitVerdict::Beyond));
        site.records.groundLevels[0].position = {102.9, 200.8}; // in the cut alone
        QVERIFY(site.bothAre("11", MisfitVerdict::CannotTell));
    }

    /// The section shows the fill from 41.3 to 41.8.
    void aLevelAtWhichTheSectionDoesNotShowTheFillIsSaid()
    {
        Site site;
        site.add(1, "11", {{101.3, 199}, {102.7, 199}, {102.7, 201}, {101.3, 201}}, PlanSigma);
        SpotLevel spot;
        spot.drawing = 1;
        spot.context = "11";
        spot.levelM = 42.5;
        site.records.spotLevels = {spot};
        QVERIFY(site.bothAre("11", MisfitVerdict::CannotTell));
        for (const EdgeMisfit& edge : site.edgesOf("11"))
            QVERIFY2(
                edge.inWords().find("plan P-1 has 42.50 for the context, where the section does not show "
                                    "it") != std::string::npos,
                edge.inWords().c_str());
    }

    /// The line steps 5 m aside at 2 m and goes on in the same cut: where it leaves the cut before the step
    /// is no place at which it enters it.
    void anEdgeBeforeAStepIsNotJudgedByWhatLiesBeyondIt()
    {
        Site site;
        site.records.places[2] =
            fittedPlace(SectionFrame::through("S-1",
                                              {{.name = "A", .position = {100, 200}},
                                               {.name = "M", .position = {102, 200}},
                                               {.name = "N", .position = {102, 205}, .afterStep = true},
                                               {.name = "B", .position = {104, 205}}},
                                              42.0)
                            .value());
        // Drawn from 0.5 to 1.9 m on the first piece, and up to 3 m beyond the step.
        site.ground(0).parts[0].outer = {{100.5, 199}, {101.9, 199}, {101.9, 204},
                                         {103, 204},   {103, 206},   {100.5, 206}};
        site.records.outlines[0].parts[0].outer.vertices.resize(6);
        site.records.outlines[0].parts[0].outer.kinds.assign(6, EdgeKind::Certain);
        site.ground(1).parts[0].outer = {{0.5, 41.8}, {0.6, 41.3}, {1.8, 41.3}, {1.9, 41.8}};
        const std::vector<EdgeMisfit> edges = site.edgesOf("10");
        QCOMPARE(edges.size(), std::size_t(2));
        for (const EdgeMisfit& edge : edges)
            QVERIFY2(std::abs(edge.misfitM()) < 1e-9, edge.inWords().c_str());
    }

    void aFillWithoutALevelOnItsPlanCannotBeToldUnlessNoLevelWouldMatter()
    {
        Site site;
        site.add(1, "11", {{101.3, 199}, {102.7, 199}, {102.7, 201}, {101.3, 201}}, PlanSigma);
        QCOMPARE(site.edgesOf("11").size(), std::size_t(2));
        for (const EdgeMisfit& edge : site.edgesOf("11")) {
            QCOMPARE(edge.verdict(), MisfitVerdict::CannotTell);
            QVERIFY(std::abs(*edge.fitsAtM - 41.5) < 1e-9);
            QVERIFY(std::abs(edge.sectionToM - edge.sectionFromM - 0.5) < 1e-9);
            const std::string words = edge.inWords();
            QVERIFY2(words.find(
                         "cannot be told whether they agree, for plan P-1 has no level for the context; it "
                         "would fit a plan of it at 41.50") != std::string::npos,
                     words.c_str());
        }
        QCOMPARE(misfitVerdictName(MisfitVerdict::CannotTell), std::string("cannot be told"));
        // Wider than the fill is anywhere: that can be told.
        site.ground(4).parts[0].outer = {{100.9, 199}, {102.7, 199}, {102.7, 201}, {100.9, 201}};
        int beyond = 0;
        for (const EdgeMisfit& edge : site.edgesOf("11"))
            beyond += edge.verdict() == MisfitVerdict::Beyond ? 1 : 0;
        QCOMPARE(beyond, 1);
        // Upright sides: at whatever level it was planned, they lie where they lie.
        site.ground(4).parts[0].outer = {{101.3, 199}, {102.7, 199}, {102.7, 201}, {101.3, 201}};
        site.ground(2).parts[0].outer = {{1.3, 41.8}, {1.302, 41.3}, {2.698, 41.3}, {2.7, 41.8}};
        QCOMPARE(site.edgesOf("11").size(), std::size_t(2));
        for (const EdgeMisfit& edge : site.edgesOf("11"))
            QCOMPARE(edge.verdict(), MisfitVerdict::Within);
    }

    /// Levels written in a cut are those of its base.
    void aCutIsComparedWhereItIsWidestWhateverIsWrittenInIt()
    {
        Site site;
        SpotLevel base;
        base.drawing = 1;
        base.context = "10";
        base.levelM = 41.3;
        site.records.spotLevels = {base};
        QCOMPARE(site.edgesOf("10").size(), std::size_t(2));
        for (const EdgeMisfit& edge : site.edgesOf("10"))
            QCOMPARE(edge.verdict(), MisfitVerdict::Within);
    }

    void levelsOnThePlanAreHeldAgainstTheFace()
    {
        Site site;
        SpotLevel spot;
        spot.drawing = 1;
        spot.context = "10";
        spot.levelM = 41.305;
        site.records.spotLevels = {spot};
        site.records.groundLevels = {{0, {102, 200.1}, {1e-6, 0, 1e-6}}};
        PlanAgainstSection compared = comparePlansAndSections(site.records);
        QCOMPARE(compared.levels.size(), std::size_t(1));
        QVERIFY(compared.levels[0].base &&
                compared.levels[0].verdict() == MisfitVerdict::Within); // the flat base, 5 mm off
        QVERIFY(std::abs(compared.levels[0].misfitM() - 0.005) < 1e-9);
        QVERIFY(std::abs(compared.levels[0].offsetM - 0.1) < 1e-9);
        site.records.spotLevels[0].levelM = 41.36;
        QVERIFY(comparePlansAndSections(site.records).levels[0].verdict() == MisfitVerdict::Beyond);
        site.records.groundLevels[0].position.north = 200.5; // too far off the line
        QVERIFY(comparePlansAndSections(site.records).levels.empty());
    }

    void findsAreHeldAgainstWhatTheFaceShows()
    {
        Site site;
        const auto found = [&] { return comparePlansAndSections(site.records).placed.at(0); };
        site.addFind(102, 200, 41.5, "11");
        QCOMPARE(found().verdict, FaceVerdict::Agrees);
        QCOMPARE(found().shown, std::string("11")); // the fill before the cut that holds it
        QVERIFY(std::abs(*found().depthM - 0.6) < 1e-9);
        site.addFind(102, 200, 41.81, "11"); // 10 mm into the layer above
        QCOMPARE(found().shown, std::string("12"));
        QCOMPARE(found().verdict, FaceVerdict::NearEdge);
        site.addFind(102, 200, 42.0, "11");
        QCOMPARE(found().verdict, FaceVerdict::Elsewhere);
        QVERIFY(std::abs(found().awayM - 0.2) < 1e-9);
        site.addFind(102, 200, 42.0, "13");
        QCOMPARE(found().verdict, FaceVerdict::NotShown);
        site.addFind(102, 200.5, 41.5, "11");
        QVERIFY(comparePlansAndSections(site.records).placed.empty());
    }

    void aColumnListsContextsAndDepths()
    {
        Site site;
        const std::vector<ColumnLayer> column = columnAt(site.records, "S-1", 2.0);
        QCOMPARE(column.size(), std::size_t(2));
        QCOMPARE(column[0].context, std::string("12"));
        QCOMPARE(column[1].context, std::string("11"));
        QVERIFY(std::abs(column[1].depthToTopM - 0.3) < 1e-9);
        QVERIFY(std::abs(column[1].depthToBottomM - 0.8) < 1e-9);
        QVERIFY(columnAt(site.records, "S-1", 9).empty());
        QVERIFY(columnAt(site.records, "S-9", 1).empty());
    }

    void drawingsOutOfToleranceTakeNoPart()
    {
        Site site;
        site.records.places[1].fit->residuals.at(0).withinTolerance = false;
        QVERIFY(comparePlansAndSections(site.records).edges.empty());
    }

    /// Edges drawn twice with errors of their stated size: two sigma hold about 95.4 % of them.
    void theVerdictIsTrueToItsTwoSigma()
    {
        std::mt19937 random(630);
        std::normal_distribution<> plan(0, PlanSigma), section(0, SectionSigma);
        int beyond = 0, all = 0;
        for (int trial = 0; trial < 2000; ++trial) {
            Site site;
            for (const std::size_t corner : {std::size_t{0}, std::size_t{3}})
                site.ground(1).parts[0].outer[corner].east += section(random);
            const double west = plan(random), east = plan(random);
            RingOnGround& ring = site.ground(0).parts[0].outer;
            ring[0].east += west;
            ring[3].east += west;
            ring[1].east += east;
            ring[2].east += east;
            for (const EdgeMisfit& edge : comparePlansAndSections(site.records).edges) {
                ++all;
                beyond += edge.verdict() == MisfitVerdict::Beyond ? 1 : 0;
            }
        }
        QCOMPARE(all, 4000);
        // Binomial, 4000 of 0.0455: 182 +- 13; five standard deviations either way.
        QVERIFY2(beyond > 116 && beyond < 248, qPrintable(QString::number(beyond)));
    }
};

QTEST_GUILESS_MAIN(PlanAgainstSectionTest)
#include "PlanAgainstSectionTest.moc"
