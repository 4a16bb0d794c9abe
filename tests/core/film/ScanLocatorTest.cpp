// SPDX-License-Identifier: GPL-3.0-or-later
// The quick ways to a place in the scan, against GroundTransform::toFilm, which solves each place by
// itself.
#include "core/film/ScanLocator.h"

#include <algorithm>
#include <cmath>
#include <random>

#include <QTest>

#include "core/film/SourceCells.h"
#include "core/fit/ControlFit.h"

using namespace inkpeg;

namespace {

constexpr FilmFrame Film{9000, 6500, 600.4, 599.7, false};

/// A sheet at 1:20, turned by 12 degrees, cockled by `cockleMm` in waves of 90 mm; `pins` on each side.
std::optional<GroundTransform> fitted(Model model, int pins, double cockleMm, double pinErrorMm)
{
    std::mt19937 random(20);
    std::normal_distribution<> slip(0, pinErrorMm);
    const double c = 0.02 * std::cos(0.21), s = 0.02 * std::sin(0.21);
    const double widthMm = Film.widthPx * MillimetresPerInch / Film.dpiX;
    const double heightMm = Film.heightPx * MillimetresPerInch / Film.dpiY;
    std::vector<ControlPoint> points;
    for (int i = 0; i < pins; ++i)
        for (int k = 0; k < pins; ++k) {
            const FilmMm at{widthMm * (0.04 + 0.92 * i / (pins - 1)),
                            heightMm * (0.04 + 0.92 * k / (pins - 1))};
            const double x = at.x + cockleMm * std::sin(at.y * 0.07) + slip(random),
                         y = at.y + cockleMm * std::cos(at.x * 0.07) + slip(random);
            points.push_back({"P" + std::to_string(i * pins + k),
                              at,
                              {565000 + c * x - s * y, 5932000 + s * x + c * y}});
        }
    const auto fit = fitControl(points, {.model = model, .scaleDenominator = 20});
    if (!fit)
        return std::nullopt;
    return fit->transform;
}

/// The grid that the sheet would be laid into, roughly.
LayGrid gridOver(const GroundTransform& transform)
{
    LayGrid grid;
    grid.pixelM = 0.02 * MillimetresPerInch / Film.dpiX;
    double west = 1e300, north = -1e300;
    for (const ScanPx corner :
         {ScanPx{0, 0}, {Film.widthPx, 0}, {0, Film.heightPx}, {Film.widthPx, Film.heightPx}}) {
        const GroundM ground = transform.toGround(Film.toFilm(corner));
        west = std::min(west, ground.east);
        north = std::max(north, ground.north);
    }
    grid.upperLeft = {west, north};
    grid.widthPx = 10'000;
    grid.heightPx = 8'000;
    return grid;
}

std::optional<ScanPx> located(const GroundTransform& transform, const LayGrid& grid, double column,
                              double row)
{
    const auto film = transform.toFilm(grid.groundAt(column, row));
    if (!film)
        return std::nullopt;
    return Film.toScan(*film);
}

void models()
{
    QTest::addColumn<int>("model");
    QTest::addColumn<int>("pins");
    QTest::addColumn<double>("cockleMm");
    QTest::addColumn<double>("pinErrorMm");
    QTest::newRow("affine") << int(Model::Affine) << 3 << 0.2 << 0.1;
    QTest::newRow("projective") << int(Model::Projective) << 4 << 0.2 << 0.1;
    QTest::newRow("polynomial 2") << int(Model::Polynomial2) << 4 << 0.5 << 0.1;
    QTest::newRow("polynomial 3") << int(Model::Polynomial3) << 5 << 0.5 << 0.1;
    QTest::newRow("spline, 16 pins") << int(Model::ThinPlateSpline) << 4 << 0.3 << 0.0;
    QTest::newRow("spline, 144 pins") << int(Model::ThinPlateSpline) << 12 << 0.5 << 0.02;
    QTest::newRow("smoothing spline") << int(Model::ThinPlateSpline) << 8 << 0.5 << 0.3;
}

} // namespace

class ScanLocatorTest final : public QObject {
    Q_OBJECT

private slots:
    void placesAreThoseOfTheTransform_data() { models(); }
    void placesAreThoseOfTheTransform()
    {
        QFETCH(int, model);
        QFETCH(int, pins);
        QFETCH(double, cockleMm);
        QFETCH(double, pinErrorMm);
        const auto transform = fitted(Model(model), pins, cockleMm, pinErrorMm);
        QVERIFY(transform);
        const LayGrid grid = gridOver(*transform);
        ScanLocator locator(*transform, Film, grid);
        std::mt19937 random(7);
        std::uniform_int_distribution<> tileColumn(-1, 40), tileRow(-1, 32);
        std::uniform_real_distribution<> within(0, 256);
        double worst = 0;
        int found = 0;
        for (int area = 0; area < 60; ++area) {
            const double left = 256.0 * tileColumn(random), top = 256.0 * tileRow(random);
            locator.aim(left + 128, top + 128);
            for (int i = 0; i < 40; ++i) {
                const double column = left + within(random), row = top + within(random);
                const auto mine = locator(column, row), exact = located(*transform, grid, column, row);
                QCOMPARE(mine.has_value(), exact.has_value());
                if (!mine)
                    continue;
                ++found;
                worst = std::max(worst, distance(*mine, *exact));
            }
        }
        qInfo("%d places, worst %.2g px", found, worst);
        QVERIFY(found > 1'500);
        // The header's bound: the last correction is below StopPx and shrinks at least fourfold.
        QVERIFY(worst <= ScanLocator::StopPx / 3);
    }

    /// What laying promises: not at the nodes alone but at every pixel asked, 0.02 px from the exact place.
    void everyPixelOfACellKeepsTheBound_data() { models(); }
    void everyPixelOfACellKeepsTheBound()
    {
        QFETCH(int, model);
        QFETCH(int, pins);
        QFETCH(double, cockleMm);
        QFETCH(double, pinErrorMm);
        const auto transform = fitted(Model(model), pins, cockleMm, pinErrorMm);
        QVERIFY(transform);
        const LayGrid grid = gridOver(*transform);
        ScanLocator locator(*transform, Film, grid);
        const LocateInScan locate = [&](double column, double row) { return locator(column, row); };
        constexpr double BoundPx = 0.02;
        double worst = 0;
        std::size_t compared = 0, cells = 0;
        for (const PxRect area : {PxRect{512, 768, 256, 256}, PxRect{4864, 3840, 256, 256},
                                  PxRect{7936, 2048, 256, 256}, PxRect{2560, 5888, 256, 256}}) {
            locator.aim(area.column + 128, area.row + 128);
            const SourceCells covered = coverWithCells(locate, area, BoundPx);
            cells += covered.cells.size();
            for (const SourceCell& cell : covered.cells) {
                QVERIFY(!cell.exact); // none of these films is as wild as that
                for (int row = 0; row < cell.area.height; row += 3)
                    for (int column = 0; column < cell.area.width; column += 3) {
                        const Quadratic u = cell.columnsAlong(row), v = cell.rowsAlong(row);
                        const auto exact = located(*transform, grid, cell.area.column + column + 0.5,
                                                   cell.area.row + row + 0.5);
                        QVERIFY(exact);
                        worst = std::max(worst, distance({u.start + column * (u.step + column * u.bend),
                                                          v.start + column * (v.step + column * v.bend)},
                                                         *exact));
                        ++compared;
                    }
            }
        }
        qInfo("%zu pixels in %zu cells, worst %.4f px", compared, cells, worst);
        QVERIFY(compared > 25'000);
        QVERIFY(worst <= BoundPx);
    }
};

QTEST_GUILESS_MAIN(ScanLocatorTest)
#include "ScanLocatorTest.moc"
