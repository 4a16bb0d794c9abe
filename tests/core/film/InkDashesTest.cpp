// SPDX-License-Identifier: GPL-3.0-or-later
// Dashed outlines on film drawn in the test, whose line is known: which gaps are the dashed line's own.
#include "core/film/InkDashes.h"

#include <QTest>

#include "core/film/InkArea.h"
#include "tests/core/film/DrawnFilm.h"

using namespace inkpeg;
using Mm = DrawnFilm::Mm;

namespace {

constexpr double Radius = 24, Round = 2 * std::numbers::pi * Radius;

Mm onRing(double alongMm)
{
    return {30 + Radius * std::cos(alongMm / Radius), 30 + Radius * std::sin(alongMm / Radius)};
}

std::vector<Mm> wholeRing()
{
    std::vector<Mm> line;
    for (int i = 0; i <= 2'000; ++i)
        line.push_back(onRing(Round * i / 2'000));
    return line;
}

/// From one place along the ring to another, as pencil of 0.35 mm: the stroke is half of that longer at
/// either end.
void dash(DrawnFilm& film, double fromMm, double toMm)
{
    constexpr double Cap = 0.175;
    film.stroke([&](double t) { return onRing(fromMm + Cap + t * (toMm - fromMm - 2 * Cap)); }, 0, 1, 0.35,
                90);
}

/// A closed dashed line of so many beats; of some the dash is left out.
void dashed(DrawnFilm& film, int beats, double gapMm, const std::vector<int>& without = {})
{
    for (int i = 0; i < beats; ++i)
        if (std::find(without.begin(), without.end(), i) == without.end())
            dash(film, i * Round / beats, (i + 1) * Round / beats - gapMm);
}

Result<InkArea> enclosed(DrawnFilm& film, const InkAreaSettings& settings = {})
{
    const auto map = InkMap::build(film.scanned(4), film.place(), DrawnFilm::Dpi);
    return encloseInk(*map, InkNetwork::of(*map), DrawnFilm::px({30, 36}), settings);
}

void compareWithRing(const InkArea& area)
{
    std::vector<Mm> line;
    for (const ScanPx& p : area.vertices)
        line.push_back(DrawnFilm::mm(p));
    line.push_back(line.front());
    for (const Misfit& misfit : {misfitOf(line, wholeRing()), misfitOf(wholeRing(), line)}) {
        QVERIFY2(misfit.meanMm <= 0.15, qPrintable(QString::number(misfit.meanMm)));
        QVERIFY2(misfit.ninetyFiveMm <= 0.35, qPrintable(QString::number(misfit.ninetyFiveMm)));
    }
}

} // namespace

class InkDashesTest final : public QObject {
    Q_OBJECT

private slots:
    void wideGapsOfAnEvenDashedLineAreBridgedAndTold()
    {
        // 13 dashes of 7.4 mm, gaps of 4.2 mm: wider than the 3 mm that are bridged elsewhere.
        DrawnFilm film(60, 60, 3);
        dashed(film, 13, 4.2);
        const auto area = enclosed(film);
        QVERIFY2(area, area ? "" : area.error().message.c_str());
        compareWithRing(*area);
        QCOMPARE(area->gaps.size(), std::size_t(13));
        for (const BridgedGap& gap : area->gaps) {
            QVERIFY(gap.inRhythm);
            QVERIFY2(std::abs(gap.widthMm - 4.2) < 0.5, qPrintable(QString::number(gap.widthMm)));
        }
    }

    void evenDashesAreFollowed_data()
    {
        QTest::addColumn<double>("dashMm");
        QTest::addColumn<double>("gapMm");
        QTest::newRow("3.0 / 1.5 mm") << 3.0 << 1.5;
        QTest::newRow("3.0 / 2.0 mm") << 3.0 << 2.0;
        QTest::newRow("3.6 / 2.2 mm") << 3.6 << 2.2;
        QTest::newRow("4.0 / 2.0 mm") << 4.0 << 2.0;
        QTest::newRow("4.1 / 2.5 mm") << 4.1 << 2.5;
        QTest::newRow("3.95 / 2.9 mm") << 3.95 << 2.9;
        QTest::newRow("5.0 / 2.9 mm") << 5.0 << 2.9;
    }
    void evenDashesAreFollowed()
    {
        // The middle lines that thinning leaves end half a millimetre inside the pencil: measured between
        // these, a gap of 2 mm would be as wide as its dash of 3 mm is long.
        QFETCH(double, dashMm);
        QFETCH(double, gapMm);
        const int beats = static_cast<int>(std::lround(Round / (dashMm + gapMm)));
        for (const double bridgedMm : {3.0, 6.0}) {
            DrawnFilm film(60, 60, 3);
            dashed(film, beats, gapMm);
            const auto area = enclosed(film, {.gapMm = bridgedMm});
            QVERIFY2(area, area ? "" : area.error().message.c_str());
            compareWithRing(*area);
            QCOMPARE(area->gaps.size(), std::size_t(beats));
            // On the whole: thinning may leave a spur at a blunt end, which makes one gap narrower.
            double meanMm = 0;
            for (const BridgedGap& gap : area->gaps)
                meanMm += gap.widthMm / beats;
            QVERIFY2(std::abs(meanMm - gapMm) < 0.3, qPrintable(QString::number(meanMm)));
        }
    }

    void threeArcsHaveNoRhythm()
    {
        // Two gaps beside the one in question are no rhythm, though either is come by both ways round.
        DrawnFilm film(60, 60, 3);
        const double arcMm = (Round - 3.6 - 4.4 - 5.2) / 3;
        double at = 0;
        for (const double gapMm : {3.6, 4.4, 5.2}) {
            dash(film, at, at + arcMm);
            at += arcMm + gapMm;
        }
        const auto area = enclosed(film);
        QVERIFY(!area);
        QCOMPARE(area.error().code, ErrorCode::Unsolvable);
        const auto wider = enclosed(film, {.gapMm = 6});
        QVERIFY2(wider, wider ? "" : wider.error().message.c_str());
        QCOMPARE(wider->gaps.size(), std::size_t(3));
        for (const BridgedGap& gap : wider->gaps)
            QVERIFY(!gap.inRhythm);
    }

    void dashesAreReadUnderASmudge()
    {
        DrawnFilm film(60, 60, 3);
        film.grid(25, 0.01);
        dashed(film, 30, 1.5);
        film.smudge({12, 14}, 12, 50, 8);
        film.smudge({48, 46}, 8, 50, 8);
        const auto area = enclosed(film);
        QVERIFY2(area, area ? "" : area.error().message.c_str());
        compareWithRing(*area);
    }

    void aWideGapInAWholeLineIsRefused()
    {
        DrawnFilm film(60, 60, 3);
        dash(film, 0, Round - 4.2);
        const auto area = enclosed(film);
        QVERIFY(!area);
        QCOMPARE(area.error().code, ErrorCode::Unsolvable);
        QVERIFY2(area.error().message.find("mm is open") != std::string::npos,
                 area.error().message.c_str());
    }

    void aGapWiderThanTheRhythmIsRefused()
    {
        // 20 beats of 7.5 mm, gaps of 1.5 mm, but of one dash 2.5 mm are missing: a gap of 4 mm.
        DrawnFilm film(60, 60, 3);
        dashed(film, 20, 1.5, {7});
        dash(film, 7 * Round / 20 + 2.5, 8 * Round / 20 - 1.5);
        const auto area = enclosed(film);
        QVERIFY(!area);
        QVERIFY2(area.error().message.find("about 4.0 mm") != std::string::npos ||
                     area.error().message.find("about 3.9 mm") != std::string::npos ||
                     area.error().message.find("about 4.1 mm") != std::string::npos,
                 area.error().message.c_str());
        const auto wider = enclosed(film, {.gapMm = 6});
        QVERIFY(wider);
        compareWithRing(*wider);
    }

    void anUnevenLineHasNoRhythm()
    {
        // Gaps of 1 to 4.6 mm by turns: the pencil has gone here and there.
        DrawnFilm film(60, 60, 3);
        const std::vector<double> gaps = {1, 4.6, 2.2, 4.1, 0.9, 3.4, 1.2, 4.6, 2, 1, 3.9, 1.5, 1};
        for (std::size_t i = 0; i < gaps.size(); ++i)
            dash(film, static_cast<double>(i) * Round / 13,
                 static_cast<double>(i + 1) * Round / 13 - gaps[i]);
        QVERIFY(!enclosed(film));
        QVERIFY(enclosed(film, {.gapMm = 6}));
    }

    void aMissingDashIsNotMadeUp()
    {
        DrawnFilm film(60, 60, 3);
        dashed(film, 30, 1.5, {11});
        QVERIFY(!enclosed(film));
    }

    void aDashUnderLettersIsFollowed()
    {
        // Rings as wide as a letter lie over both ends of a dash: neither shows.
        DrawnFilm film(60, 60, 3);
        dashed(film, 30, 1.5);
        for (const double at : {7 * Round / 30 + 0.6, 8 * Round / 30 - 2.1})
            film.stroke(
                [&](double t) {
                    const Mm c = onRing(at);
                    return Mm{c.x + 0.55 * std::cos(6.3 * t), c.y + 0.9 * std::sin(6.3 * t)};
                },
                0, 1, 0.25, 80);
        const auto area = enclosed(film);
        QVERIFY2(area, area ? "" : area.error().message.c_str());
        compareWithRing(*area);
    }
};

QTEST_GUILESS_MAIN(InkDashesTest)
#include "InkDashesTest.moc"
