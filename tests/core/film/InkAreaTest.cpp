// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/InkArea.h"

#include <chrono>

#include <QTest>

#include "core/film/InkLine.h"
#include "core/film/InkRings.h"
#include "tests/core/film/DrawnFilm.h"

using namespace inkpeg;
using Mm = DrawnFilm::Mm;

namespace {

/// A pit as drawn: a lumpy closed line of about 28 by 20 mm, `t` from 0 to 1.
struct Pit {
    Mm centre;
    double phase = 0, size = 1;

    Mm operator()(double t) const
    {
        const double a = 2 * std::numbers::pi * t;
        const double r = size * (12 + 1.6 * std::sin(3 * a + phase) + 0.7 * std::sin(8 * a + 2 * phase) +
                                 0.25 * std::sin(19 * a));
        return {centre.x + 1.15 * r * std::cos(a), centre.y + 0.85 * r * std::sin(a)};
    }
    std::vector<Mm> places() const
    {
        std::vector<Mm> line;
        for (int i = 0; i <= 2'000; ++i)
            line.push_back((*this)(i / 2'000.0));
        return line;
    }
};

std::vector<Mm> closedMillimetres(const std::vector<ScanPx>& ring)
{
    std::vector<Mm> line;
    for (const ScanPx& p : ring)
        line.push_back(DrawnFilm::mm(p));
    line.push_back(line.front());
    return line;
}

/// Share of the pit's line that is `lengthMm` long around its beginning.
double gapStroke(const Pit& pit, double lengthMm)
{
    double share = 0, length = 0;
    while (length < lengthMm) {
        share += 1e-4;
        const Mm a = pit(-share / 2), b = pit(share / 2);
        length = std::hypot(a.x - b.x, a.y - b.y);
    }
    return share;
}

/// Draws a line of pencil from corner to corner.
void strokeAlong(DrawnFilm& film, const std::vector<Mm>& corners)
{
    for (std::size_t i = 0; i + 1 < corners.size(); ++i)
        film.stroke(
            [&](double t) {
                return Mm{corners[i].x + t * (corners[i + 1].x - corners[i].x),
                          corners[i].y + t * (corners[i + 1].y - corners[i].y)};
            },
            0, 1, 0.35, 90);
}

double areaMm2(const std::vector<Mm>& closed)
{
    double twice = 0;
    for (std::size_t i = 0; i + 1 < closed.size(); ++i)
        twice += closed[i].x * closed[i + 1].y - closed[i + 1].x * closed[i].y;
    return std::abs(twice) / 2;
}

} // namespace

class InkAreaTest final : public QObject {
    Q_OBJECT

    void compareWithTruth(const InkArea& area, const Pit& pit)
    {
        const Misfit there = misfitOf(closedMillimetres(area.vertices), pit.places());
        // Both ways: an outline that leaves out a lobe lies near the truth all along, but not the truth
        // near it.
        const Misfit back = misfitOf(pit.places(), closedMillimetres(area.vertices));
        qInfo("mean %.3f mm, 95%% %.3f mm; from the truth %.3f, %.3f mm; %zu vertices, %zu gaps",
              there.meanMm, there.ninetyFiveMm, back.meanMm, back.ninetyFiveMm, area.vertices.size(),
              area.gaps.size());
        for (const Misfit& misfit : {there, back}) {
            QVERIFY(misfit.meanMm <= 0.15);
            QVERIFY(misfit.ninetyFiveMm <= 0.35);
        }
        QVERIFY(std::abs(area.areaMm2 / areaMm2(pit.places()) - 1) < 0.02);
        std::vector<CellPoint> ring;
        for (const ScanPx& p : area.vertices)
            ring.push_back({p.column, p.row});
        QVERIFY(!crossesItself(ring, true));
    }

private slots:
    void outlineLiesOnTheMiddleOfThePencil_data()
    {
        QTest::addColumn<double>("pencil");
        QTest::addColumn<double>("grid");
        QTest::addColumn<double>("noise");
        QTest::addColumn<double>("gapMm");
        QTest::newRow("clean") << 110.0 << 0.0 << 2.0 << 0.0;
        QTest::newRow("printed grid") << 80.0 << 35.0 << 4.0 << 0.0;
        QTest::newRow("faint") << 35.0 << 0.0 << 5.0 << 0.0;
        QTest::newRow("poor: faint, grid, noise") << 50.0 << 30.0 << 9.0 << 0.0;
        QTest::newRow("gap of 1.5 mm") << 90.0 << 0.0 << 4.0 << 1.5;
        QTest::newRow("gap of 1.5 mm, grid") << 80.0 << 30.0 << 6.0 << 1.5;
    }
    void outlineLiesOnTheMiddleOfThePencil()
    {
        QFETCH(double, pencil);
        QFETCH(double, grid);
        QFETCH(double, noise);
        QFETCH(double, gapMm);
        for (const double phase : {0.3, 2.2, 4.4}) {
            const Pit pit{{30, 25}, phase};
            DrawnFilm film(60, 50, static_cast<unsigned>(phase * 10));
            film.grid(grid, 0.012);
            const double open = gapMm > 0 ? gapStroke(pit, gapMm + 0.35) : 0.0;
            film.stroke(pit, open / 2, 1 - open / 2, 0.35, pencil);
            // Hachures that end on the line, a stone inside, a neighbour outside, a speck.
            for (int i = 0; i < 8; ++i) {
                const Mm foot = pit(0.1 + 0.03 * i);
                film.stroke(
                    [&](double t) {
                        return Mm{foot.x + t * (pit.centre.x - foot.x) * 0.25,
                                  foot.y + t * (pit.centre.y - foot.y) * 0.25};
                    },
                    0, 1, 0.25, pencil);
            }
            film.stroke(Pit{{33, 26}, 1.0, 0.15}, 0, 1, 0.3, pencil);
            film.stroke([](double t) { return Mm{3 + 54 * t, 4 + t}; }, 0, 1, 0.35, pencil);
            film.stroke([](double t) { return Mm{24 + 0.4 * t, 24}; }, 0, 1, 0.4, pencil);
            const auto map = InkMap::build(film.scanned(noise), film.place(), DrawnFilm::Dpi);
            const auto area = encloseInk(*map, InkNetwork::of(*map), DrawnFilm::px({27, 28}));
            QVERIFY2(area, area ? "" : area.error().message.c_str());
            compareWithTruth(*area, pit);
            QCOMPARE(area->gaps.size(), std::size_t(gapMm > 0 ? 1 : 0));
            if (gapMm > 0)
                QVERIFY(std::abs(area->gaps[0].widthMm - gapMm) < 0.8);
        }
    }

    void aPlaceBetweenHachuresMeansTheCut_data()
    {
        QTest::addColumn<double>("darkness");
        QTest::addColumn<bool>("cross");
        QTest::newRow("hachures from line to line") << 90.0 << false;
        QTest::newRow("faint") << 40.0 << false;
        QTest::newRow("a grid cross lies over the rim") << 90.0 << true;
    }
    void aPlaceBetweenHachuresMeansTheCut()
    {
        // The rim of a cut, 2.4 mm wide, and hachures that touch both lines: rings of some 8 mm2.
        QFETCH(double, darkness);
        QFETCH(bool, cross);
        for (const double phase : {0.3, 2.2, 4.4}) {
            const Pit cut{{30, 25}, phase}, fill{{30, 25}, phase, 0.8};
            DrawnFilm film(60, 50, static_cast<unsigned>(phase * 10));
            film.stroke(cut, 0, 1, 0.35, darkness);
            film.stroke(fill, 0, 1, 0.35, darkness);
            constexpr int Hachures = 22;
            for (int i = 0; i < Hachures; ++i)
                film.stroke(
                    [&](double t) {
                        const Mm foot = cut(static_cast<double>(i) / Hachures),
                                 top = fill(static_cast<double>(i) / Hachures);
                        return Mm{foot.x + t * (top.x - foot.x), foot.y + t * (top.y - foot.y)};
                    },
                    0, 1, 0.25, darkness);
            if (cross) {
                const Mm at = cut(0.3);
                film.stroke([&](double t) { return Mm{at.x - 4 + 8 * t, at.y}; }, 0, 1, 0.25, darkness);
                film.stroke([&](double t) { return Mm{at.x, at.y - 4 + 8 * t}; }, 0, 1, 0.25, darkness);
            }
            const auto map = InkMap::build(film.scanned(3), film.place(), DrawnFilm::Dpi);
            const InkNetwork network = InkNetwork::of(*map);
            for (const int between : {0, 6, 10, 17}) {
                const double share = (between + 0.5) / Hachures;
                const Mm outer = cut(share), inner = fill(share);
                const auto area = encloseInk(
                    *map, network, DrawnFilm::px({(outer.x + inner.x) / 2, (outer.y + inner.y) / 2}));
                QVERIFY2(area, area ? "" : area.error().message.c_str());
                compareWithTruth(*area, cut);
            }
        }
    }

    void theGrainOfASmudgeIsNoPencil()
    {
        // One faint line of 50 mm; under the smudge beside it the grain is five times as rough. (Judged
        // against the noise of the whole film there would be 300 mm of pencil.)
        DrawnFilm film(60, 50, 5);
        film.stroke([](double t) { return Mm{5 + 50 * t, 45}; }, 0, 1, 0.35, 45);
        film.smudge({30, 18}, 12, 40, 12);
        const auto map = InkMap::build(film.scanned(3), film.place(), DrawnFilm::Dpi);
        const InkNetwork network = InkNetwork::of(*map);
        double pencilMm = 0;
        for (const InkRun& run : network.runs())
            if (!run.isGap())
                pencilMm += lengthOf(run.cells) * map->cellMm();
        QVERIFY2(std::abs(pencilMm - 50) < 5, qPrintable(QString::number(pencilMm)));
    }

    void aLayerThatACutBitesIntoIsAmongTheOutlines()
    {
        // A layer of 50 by 26 mm; a cut 14 mm deep is dug into it from the top, whose line goes on over the
        // cut's mouth. Below its ground a stone is drawn: it is passed over.
        const std::vector<Mm> layer = {{5, 5},  {20, 5},  {22, 19}, {34, 19}, {36, 5},
                                       {55, 5}, {55, 31}, {5, 31},  {5, 5}};
        const std::vector<Mm> mouth = {{20, 5}, {36, 5}};
        DrawnFilm film(60, 36, 6);
        for (const std::vector<Mm>& line : {layer, mouth})
            for (std::size_t i = 0; i + 1 < line.size(); ++i)
                film.stroke(
                    [&](double t) {
                        return Mm{line[i].x + t * (line[i + 1].x - line[i].x),
                                  line[i].y + t * (line[i + 1].y - line[i].y)};
                    },
                    0, 1, 0.35, 90);
        film.stroke(Pit{{40, 26}, 1.0, 0.15}, 0, 1, 0.3, 80);
        const auto map = InkMap::build(film.scanned(4), film.place(), DrawnFilm::Dpi);
        const InkNetwork network = InkNetwork::of(*map);
        const auto areas = outlinesAround(*map, network, DrawnFilm::px({11, 20}));
        QVERIFY2(areas, areas ? "" : areas.error().message.c_str());
        const auto isAmong = [&](double mm2) {
            return std::ranges::any_of(
                *areas, [&](const InkArea& area) { return std::abs(area.areaMm2 / mm2 - 1) < 0.02; });
        };
        QVERIFY(isAmong(areaMm2(layer)));
        QVERIFY(isAmong(50.0 * 26.0)); // with the cut
        const auto cut = encloseInk(*map, network, DrawnFilm::px({28, 12}));
        QVERIFY(cut);
        QVERIFY(std::abs(cut->areaMm2 / (50.0 * 26.0 - areaMm2(layer)) - 1) < 0.03);
    }

    void narrowTonguesBelongToTheArea()
    {
        // Two rooms of 12 mm joined by a way of 1.6 mm, narrower than the widest gap that is bridged.
        const std::vector<Mm> corners = {{5, 5},   {17, 5},  {17, 10.2}, {30, 10.2}, {30, 5},
                                         {42, 5},  {42, 17}, {30, 17},   {30, 11.8}, {17, 11.8},
                                         {17, 17}, {5, 17},  {5, 5}};
        DrawnFilm film(48, 22, 4);
        strokeAlong(film, corners);
        const auto map = InkMap::build(film.scanned(4), film.place(), DrawnFilm::Dpi);
        const auto area = encloseInk(*map, InkNetwork::of(*map), DrawnFilm::px({10, 10}));
        QVERIFY2(area, area ? "" : area.error().message.c_str());
        QVERIFY(std::abs(area->areaMm2 / areaMm2(corners) - 1) < 0.02);
    }

    void openOutlineIsRefusedWithItsGap()
    {
        const Pit pit{{30, 25}};
        DrawnFilm film(60, 50, 8);
        film.stroke(pit, 0.03, 0.97, 0.35, 90); // about 4.5 mm open
        const auto map = InkMap::build(film.scanned(4), film.place(), DrawnFilm::Dpi);
        const auto area = encloseInk(*map, InkNetwork::of(*map), DrawnFilm::px({30, 25}));
        QVERIFY(!area);
        QCOMPARE(area.error().code, ErrorCode::Unsolvable);
        QVERIFY2(area.error().message.find("mm is open; allow wider gaps") != std::string::npos,
                 area.error().message.c_str());
        const auto wider = encloseInk(*map, InkNetwork::of(*map), DrawnFilm::px({30, 25}), {.gapMm = 6});
        QVERIFY(wider);
        QCOMPARE(wider->gaps.size(), std::size_t(1));
    }

    void emptyFilmHasNoOutline()
    {
        DrawnFilm film(30, 30, 2);
        film.grid(30, 0.02);
        const auto map = InkMap::build(film.scanned(5), film.place(), DrawnFilm::Dpi);
        const auto area = encloseInk(*map, InkNetwork::of(*map), DrawnFilm::px({15, 15}));
        QVERIFY(!area);
        QCOMPARE(area.error().code, ErrorCode::Unsolvable);
        QVERIFY(!encloseInk(*map, InkNetwork::of(*map), {-5, 3}));
        // No area is no outline, however small one may be.
        const auto ofAnySize =
            encloseInk(*map, InkNetwork::of(*map), DrawnFilm::px({15, 15}), {.smallestMm2 = 0});
        QVERIFY(!ofAnySize);
        QCOMPARE(ofAnySize.error().code, ErrorCode::Unsolvable);
    }

    void whereNoFaceIsSoundTheRingsAreProposed()
    {
        // A square of 20 mm that lacks a corner: the gap asks for a turn, so that no face has it, but the ring
        // does. On a whole sheet of film, whose rim is looked for, and of any size.
        const std::vector<Mm> corners = {{74, 70}, {90, 70}, {90, 90}, {70, 90}, {70, 74}};
        DrawnFilm film(155, 155, 5);
        strokeAlong(film, corners);
        const auto map = InkMap::build(film.scanned(4), film.place(), DrawnFilm::Dpi);
        const InkNetwork network = InkNetwork::of(*map);
        QVERIFY(faceAround(network, map->toCell(DrawnFilm::px({80, 80})), 6, map->cellMm()).cells.empty());
        const auto areas =
            outlinesAround(*map, network, DrawnFilm::px({80, 80}), {.gapMm = 6, .smallestMm2 = 0});
        QVERIFY2(areas, areas ? "" : areas.error().message.c_str());
        QCOMPARE(areas->size(), std::size_t(1));
        QVERIFY(std::abs(areas->front().areaMm2 / (20.0 * 20.0 - 4.0 * 4.0 / 2) - 1) < 0.02);
    }

    void clickAnswersAtOnce()
    {
        const Pit pit{{30, 25}};
        DrawnFilm film(60, 50, 8);
        film.grid(30, 0.01);
        film.stroke(pit, 0, 1, 0.35, 90);
        const auto image = film.scanned(5);
        const auto start = std::chrono::steady_clock::now();
        const auto map = InkMap::build(image, film.place(), DrawnFilm::Dpi);
        const auto built = std::chrono::steady_clock::now();
        QVERIFY(encloseInk(*map, InkNetwork::of(*map), DrawnFilm::px({30, 25})));
        const auto done = std::chrono::steady_clock::now();
        const auto ms = [](auto a, auto b) {
            return std::chrono::duration<double, std::milli>(b - a).count();
        };
        qInfo("map of 60 by 50 mm %.0f ms, area %.0f ms", ms(start, built), ms(built, done));
    }
};

QTEST_GUILESS_MAIN(InkAreaTest)
#include "InkAreaTest.moc"
