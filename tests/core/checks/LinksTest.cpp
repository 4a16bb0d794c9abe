// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/checks/Links.h"

#include <cmath>
#include <ctime>
#include <random>

#include <geos_c.h>

#include <QTest>

#include "core/checks/BoxIndex.h"
#include "tests/core/checks/SoundSite.h"

using namespace inkpeg;

namespace {

std::vector<Link> linksOf(SoundSite& site)
{
    site.place();
    return linkToOutlines(site.records, placedOf(site.records));
}

/// A field of square contexts a metre apart, 0.9 m wide, with as many finds as asked for scattered over it.
ProjectRecords fieldOf(int side, int finds)
{
    ProjectRecords records;
    Drawing drawing;
    drawing.id = 1;
    records.drawings = {drawing};
    const std::vector<ControlPoint> control{{"A", {0, 0}, {500000, 5900000}},
                                            {"B", {100, 0}, {500002, 5900000}},
                                            {"C", {0, 100}, {500000, 5900002}}};
    records.places[1].fit = fitControl(control, {}).value();
    for (int i = 0; i < side * side; ++i) {
        Context context;
        context.number = std::to_string(i);
        records.contexts.push_back(context);
        Outline outline;
        outline.drawing = 1;
        outline.context = context.number;
        records.outlines.push_back(outline);
        RingOnGround ring;
        const GroundM middle{500000.5 + i % side, 5900000.5 + i / side};
        for (int corner = 0; corner < 40; ++corner) {
            const double angle = corner * 0.05 * 3.14159265358979;
            const double radius = 0.45 * (corner % 2 == 0 ? 1.0 : 0.9);
            ring.push_back(
                {middle.east + radius * std::cos(angle), middle.north + radius * std::sin(angle)});
        }
        records.groundOutlines.push_back({static_cast<std::size_t>(i), {{ring, {}}}, {1e-4, 0, 1e-4}});
    }
    std::mt19937 random(8);
    std::uniform_real_distribution<double> anywhere(0, side);
    for (int i = 0; i < finds; ++i) {
        Find find;
        find.number = std::to_string(i);
        find.position = GroundM{500000 + anywhere(random), 5900000 + anywhere(random)};
        find.context = std::to_string(static_cast<int>(find.position->north - 5900000) * side +
                                      static_cast<int>(find.position->east - 500000));
        records.finds.push_back(find);
    }
    return records;
}

} // namespace

class LinksTest final : public QObject {
    Q_OBJECT

private slots:
    void aFindWellWithinAgrees()
    {
        SoundSite site;
        const Link link = linksOf(site)[0];
        QCOMPARE(link.verdict, LinkVerdict::Agree);
        QCOMPARE(link.probability, 1.0);
        QCOMPARE(link.distanceM, 0.0);
        QCOMPARE(link.inside, (std::vector<std::string>{"1001", "1002", "1003"}));
        QVERIFY(!link.alternative);
    }

    /// Half of a place on a straight edge lies on either side, whatever the errors.
    void onTheVeryEdgeIsHalfAndHalf()
    {
        SoundSite site;
        site.records.finds[0].position = GroundM{104, 52};
        const Link link = linksOf(site)[0];
        QCOMPARE(link.verdict, LinkVerdict::OnTheEdge);
        QVERIFY(std::abs(link.probability - 0.5) <
                1e-6); // the fit moves the edge by less than a micrometre
        QCOMPARE(link.alternative->context, std::string("1003")); // not the cut, which nothing comes from
    }

    /// Reference: the error function with both variances added.
    void bothStandardErrorsCount()
    {
        SoundSite site;
        site.records.finds[0].position = GroundM{104.02, 52};
        site.records.finds[0].standardErrorM = 0.012;
        const double expected = 0.5 * std::erfc(0.02 / std::hypot(0.012, 0.005) / std::sqrt(2.0));
        QVERIFY(std::abs(linksOf(site)[0].probability - expected) < 1e-6);
    }

    void theNearestIsTheAlternativeWhereNothingIsProbable()
    {
        SoundSite site;
        site.records.finds[0].position = GroundM{106.5, 52};
        const Link link = linksOf(site)[0];
        QCOMPARE(link.verdict, LinkVerdict::Disagree);
        QVERIFY(std::abs(link.distanceM - 2.5) < 1e-6);
        QCOMPARE(link.alternative->context, std::string("1003"));
        QCOMPARE(link.alternative->probability, 0.0);
        QVERIFY(std::abs(link.alternative->distanceM - 0.5) < 1e-6);
        QVERIFY(link.inside.empty());
    }

    void aContextWithoutOutlineGivesNoVerdict()
    {
        SoundSite site;
        site.records.finds[0].context = "1055";
        const Link link = linksOf(site)[0];
        QCOMPARE(link.verdict, LinkVerdict::NoOutline);
        QCOMPARE(link.alternative->context, std::string("1002")); // the smaller of the two it lies in
    }

    void aDrawnFindStandsWhereItIsDrawn()
    {
        SoundSite site;
        site.records.finds[0].position.reset();
        QCOMPARE(linksOf(site)[0].verdict, LinkVerdict::NoPlace);
        site.records.drawnPoints.push_back({1, 1, PointKind::Find, "1", "", SoundSite::onScan({103, 52})});
        const Link link = linksOf(site)[0];
        QCOMPARE(link.verdict, LinkVerdict::Agree);
        QVERIFY(link.asDrawn);
    }

    void levelsAreHeldAgainstTheContext()
    {
        SoundSite site; // 1002 lies from 51.5 to 52.0
        site.records.finds[0].levelM = 52.3;
        QVERIFY(std::abs(linksOf(site)[0].levelDifferenceM - 0.3) < 1e-12);
        site.records.finds[0].levelM = 51.4;
        QVERIFY(std::abs(linksOf(site)[0].levelDifferenceM + 0.1) < 1e-12);
        site.context("1002").bottomM.reset();
        QCOMPARE(linksOf(site)[0].levelDifferenceM, 0.0);
    }

    void piecesAreCountedByContextAndMaterial()
    {
        SoundSite site;
        site.records.finds.push_back(site.records.finds[0]);
        site.records.finds[1].material = "";
        const auto counts = countByContext(placedOf(site.records));
        QCOMPARE(counts.size(), 1U);
        QCOMPARE(
            counts.at("1002"),
            (CountByMaterial{
                {"find: not stated", 1}, {"find: pottery", 1}, {"sample: bulk", 1}, {"timber: post", 1}}));
    }

    void linkingCanBeStopped()
    {
        SoundSite site;
        site.place();
        const auto result =
            linkToOutlines(site.records, placedOf(site.records), [](double) { return false; });
        QVERIFY(!result);
        QCOMPARE(result.error().code, ErrorCode::Cancelled);
    }

    /// Reference: every box looked at.
    void theBoxIndexFindsWhatLookingAtEachFinds()
    {
        std::mt19937 random(5);
        std::uniform_real_distribution<double> anywhere(0, 100), size(0, 5);
        for (const std::size_t count : {0U, 1U, 16U, 17U, 5000U}) {
            std::vector<GroundBox> boxes(count);
            for (GroundBox& box : boxes) {
                const GroundM corner{anywhere(random), anywhere(random)};
                box = {corner.east, corner.north, corner.east + size(random), corner.north + size(random)};
            }
            if (count > 16)
                boxes[3] = {};
            const BoxIndex index(boxes);
            for (int round = 0; round < 50; ++round) {
                const GroundM at{anywhere(random), anywhere(random)};
                GroundBox asked;
                asked.take(at);
                asked = asked.grownBy(size(random));
                std::vector<std::size_t> found, expected;
                index.eachMeeting(asked, [&](std::size_t item) { found.push_back(item); });
                double nearestM = std::numeric_limits<double>::infinity();
                for (std::size_t i = 0; i < count; ++i) {
                    if (boxes[i].isEmpty())
                        continue;
                    if (boxes[i].meets(asked))
                        expected.push_back(i);
                    nearestM = std::min(nearestM, boxes[i].distanceTo(at));
                }
                std::sort(found.begin(), found.end());
                QCOMPARE(found, expected);
                double lastM = 0;
                std::size_t visited = 0;
                index.eachByDistance(at, [&](std::size_t item, double distanceM) {
                    if (visited++ == 0 && distanceM != nearestM)
                        lastM = std::numeric_limits<double>::infinity(); // fails below
                    const bool isRising = distanceM >= lastM && distanceM == boxes[item].distanceTo(at);
                    lastM = isRising ? distanceM : std::numeric_limits<double>::infinity();
                    return true;
                });
                QVERIFY(std::isfinite(lastM));
                QCOMPARE(visited, count > 16 ? count - 1 : count);
            }
        }
    }

    /// Against a plain loop over prepared GEOS polygons with bounding boxes, which only says which outlines
    /// hold the find; 99,856 outlines, the loop on every 2,000th find. The ratio of processor times is
    /// told, not judged.
    void linksFindWhatAPlainLoopFinds()
    {
        const auto processorS = [] { return static_cast<double>(std::clock()) / CLOCKS_PER_SEC; };
        const ProjectRecords records = fieldOf(316, 100000);
        const std::vector<Placed> placed = placedOf(records);
        const double begin = processorS();
        const std::vector<Link> links = linkToOutlines(records, placed);
        const double oursS = processorS() - begin;

        const GEOSContextHandle_t geos = GEOS_init_r();
        std::vector<GEOSGeometry*> polygons;
        std::vector<const GEOSPreparedGeometry*> prepared;
        std::vector<GroundBox> boxes;
        for (const OutlineOnGround& outline : records.groundOutlines) {
            const RingOnGround& ring = outline.parts[0].outer;
            const unsigned count = static_cast<unsigned>(ring.size());
            GEOSCoordSequence* sequence = GEOSCoordSeq_create_r(geos, count + 1, 2);
            for (unsigned i = 0; i <= count; ++i)
                GEOSCoordSeq_setXY_r(geos, sequence, i, ring[i % count].east, ring[i % count].north);
            polygons.push_back(
                GEOSGeom_createPolygon_r(geos, GEOSGeom_createLinearRing_r(geos, sequence), nullptr, 0));
            prepared.push_back(GEOSPrepare_r(geos, polygons.back()));
            boxes.push_back(boxOf(ring));
        }
        constexpr std::size_t Step = 2000;
        const double plainBegin = processorS();
        for (std::size_t i = 0; i < placed.size(); i += Step) {
            GroundBox at;
            at.take(*placed[i].position);
            GEOSGeometry* point = GEOSGeom_createPointFromXY_r(geos, at.west, at.south);
            std::vector<std::string> inside;
            for (std::size_t k = 0; k < boxes.size(); ++k)
                if (boxes[k].meets(at) && GEOSPreparedIntersects_r(geos, prepared[k], point) == 1)
                    inside.push_back(records.outlines[k].context);
            GEOSGeom_destroy_r(geos, point);
            QCOMPARE(links[i].inside, inside);
        }
        const double plainS = Step * (processorS() - plainBegin);
        for (std::size_t k = 0; k < polygons.size(); ++k) {
            GEOSPreparedGeom_destroy_r(geos, prepared[k]);
            GEOSGeom_destroy_r(geos, polygons[k]);
        }
        GEOS_finish_r(geos);
        qInfo("100,000 finds on 99,856 outlines: %.3f s; plain loop: %.3f s", oursS, plainS);
    }
};

QTEST_GUILESS_MAIN(LinksTest)
#include "LinksTest.moc"
