// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/Skew.h"

#include <numbers>

#include <QTest>

#include "tests/core/film/DrawnFilm.h"

using namespace inkpeg;

namespace {

constexpr double Degree = std::numbers::pi / 180;

/// A frame of 100 x 70 mm with a line across, about the middle of the sheet, turned by `angleRad`.
void drawFrame(DrawnFilm& film, double angleRad)
{
    const auto turned = [=](double x, double y) {
        const double c = std::cos(angleRad), s = std::sin(angleRad);
        return DrawnFilm::Mm{75 + c * x - s * y, 55 + s * x + c * y};
    };
    for (const double y : {-35.0, 10.0, 35.0})
        film.stroke([&](double t) { return turned(100 * (t - 0.5), y); }, 0, 1, 0.35, 100);
    for (const double x : {-50.0, 50.0})
        film.stroke([&](double t) { return turned(x, 70 * (t - 0.5)); }, 0, 1, 0.35, 100);
}

void drawLoops(DrawnFilm& film)
{
    for (const double r : {8.0, 15.0, 22.0})
        film.stroke(
            [r](double t) {
                return DrawnFilm::Mm{70 + 1.4 * r * std::cos(t),
                                     52 + r * std::sin(t) + 2 * std::sin(5 * t)};
            },
            0, 6.2, 0.4, 110);
}

} // namespace

class SkewTest final : public QObject {
    Q_OBJECT

private slots:
    void theTurnOfASheetIsFound_data()
    {
        QTest::addColumn<bool>("grid");
        QTest::addColumn<double>("degrees");
        QTest::addColumn<double>("noise");
        for (const bool grid : {true, false})
            for (const double degrees : {0.0, 0.37, -2.6, 11.3, -44.2})
                QTest::addRow("%s, %.2f degrees", grid ? "grid" : "frame", degrees)
                    << grid << degrees << (degrees == 0.37 ? 12.0 : 5.0);
    }
    void theTurnOfASheetIsFound()
    {
        QFETCH(bool, grid);
        QFETCH(double, degrees);
        QFETCH(double, noise);
        DrawnFilm film(150, 110, 5);
        if (grid)
            film.grid(45, degrees * Degree);
        else
            drawFrame(film, degrees * Degree);
        drawLoops(film);
        const auto skew = findSkew(film.scanned(noise), DrawnFilm::Dpi);
        QVERIFY2(skew, skew ? "" : skew.error().message.c_str());
        qInfo("found %.3f degrees, %.1f times as distinct", skew->angleRad / Degree, skew->distinctness);
        // 0.05 degrees are 0.1 mm over the frame's 100 mm, a pin's pointing error.
        QVERIFY(std::abs(skew->angleRad / Degree - degrees) < 0.05);
    }

    void aSheetWithoutStraightLinesIsToldAsSuch()
    {
        DrawnFilm bare(150, 110, 6);
        const auto nothing = findSkew(bare.scanned(6), DrawnFilm::Dpi);
        QVERIFY(!nothing);
        QCOMPARE(nothing.error().code, ErrorCode::Unsolvable);
        DrawnFilm loops(150, 110, 7);
        drawLoops(loops);
        QVERIFY(!findSkew(loops.scanned(5), DrawnFilm::Dpi));
    }
};

QTEST_GUILESS_MAIN(SkewTest)
#include "SkewTest.moc"
