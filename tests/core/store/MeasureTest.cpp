// SPDX-License-Identifier: GPL-3.0-or-later
// Standard errors are held against simulation: pins and pointing are disturbed by their standard errors
// many times, fitted and measured anew, and the figures' scatter is compared. Centroids and areas against
// the GEOS and JTS test suite, TestCentroid.xml (tests/published/README.md).
#include "core/store/Measure.h"

#include <cmath>
#include <random>

#include <QFile>
#include <QJsonArray>
#include <QJsonDocument>
#include <QJsonObject>
#include <QRegularExpression>
#include <QTest>

#include "tests/core/outline/WellKnownText.h"

using namespace inkpeg;

namespace {

constexpr double metresPerPx = 25.4 / 400 * 20 / 1000;
constexpr double tracingMm = 0.25;

/// Five pins of a 1:20 plan.
std::vector<ControlPoint> pins()
{
    const FilmFrame film{6000, 4000, 400, 400, false};
    std::vector<ControlPoint> made;
    for (const ScanPx mark :
         {ScanPx{300, 300}, ScanPx{5700, 350}, ScanPx{5650, 3700}, ScanPx{320, 3650}, ScanPx{3000, 2000}}) {
        const FilmMm at = film.toFilm(mark);
        made.push_back({.peg = "P" + std::to_string(made.size()),
                        .film = at,
                        .ground = {560000 + at.x * 0.02, 5900000 + at.y * 0.02}});
    }
    return made;
}

DrawingGround groundOf(const std::vector<ControlPoint>& points)
{
    const Result<ControlFit> fit = fitControl(points, {.model = Model::Affine, .scaleDenominator = 20});
    if (!fit)
        qFatal("%s", fit.error().message.c_str());
    return {*fit, {6000, 4000, 400, 400, false}, std::nullopt};
}

/// Scatter of a measure over many fits with disturbed pins and pointing.
template<typename Measure>
double scatterOf(Measure measure, const std::vector<ScanPx>& vertices)
{
    std::mt19937 random(20261125);
    std::normal_distribution<double> normal;
    // A fit with a standard error of unit weight over 1 inflates its covariance; the simulation keeps the
    // a-priori figures on both sides by asking the scatter of the values alone.
    constexpr int trials = 4000;
    const double pixelMm = 25.4 / 400;
    const double pointing = std::sqrt(tracingMm * tracingMm + pixelMm * pixelMm / 12);
    double sum = 0, squares = 0;
    const double truth = measure(groundOf(pins()), vertices).value;
    for (int trial = 0; trial < trials; ++trial) {
        std::vector<ControlPoint> disturbed = pins();
        for (ControlPoint& pin : disturbed) {
            pin.ground.east += pin.standardErrorEastM * normal(random);
            pin.ground.north += pin.standardErrorNorthM * normal(random);
            pin.film.x += 0.10 * normal(random); // FitSettings::pinPointingMm
            pin.film.y += 0.10 * normal(random);
        }
        std::vector<ScanPx> pointed = vertices;
        for (ScanPx& vertex : pointed) {
            vertex.column += pointing / pixelMm * normal(random);
            vertex.row += pointing / pixelMm * normal(random);
        }
        const double off = measure(groundOf(disturbed), pointed).value - truth;
        sum += off;
        squares += off * off;
    }
    return std::sqrt(squares / trials - sum / trials * (sum / trials));
}

} // namespace

class MeasureTest final : public QObject {
    Q_OBJECT

private slots:
    void aLengthAndItsStandardErrorAgreeWithSimulation()
    {
        const std::vector<ScanPx> line{{800, 900}, {2500, 1400}, {4800, 3000}};
        const auto measure = [](const DrawingGround& ground, const std::vector<ScanPx>& vertices) {
            return measuredLength(ground, vertices, tracingMm);
        };
        const Measured length = measure(groundOf(pins()), line);
        const double plain = (distance(line[0], line[1]) + distance(line[1], line[2])) * metresPerPx;
        QVERIFY(std::abs(length.value - plain) < 1e-9);
        const double scatter = scatterOf(measure, line);
        // The scatter of 4000 trials is known to 1/sqrt(8000) = 1.1 %; four times that.
        QVERIFY2(std::abs(length.standardError / scatter - 1) < 0.045,
                 qPrintable(QString("%1 against %2").arg(length.standardError).arg(scatter)));
    }
    void anAreaAndItsStandardErrorAgreeWithSimulation()
    {
        const std::vector<ScanPx> ring{{800, 900}, {2500, 700}, {4800, 3000}, {1200, 3300}};
        const auto measure = [](const DrawingGround& ground, const std::vector<ScanPx>& vertices) {
            return measuredArea(ground, vertices, tracingMm);
        };
        const Measured area = measure(groundOf(pins()), ring);
        const double scatter = scatterOf(measure, ring);
        QVERIFY2(std::abs(area.standardError / scatter - 1) < 0.045,
                 qPrintable(QString("%1 against %2").arg(area.standardError).arg(scatter)));
    }
    void aCentroidAndItsStandardErrorsAgreeWithSimulation()
    {
        // An outline with a hole, far from square, so that its two errors differ.
        const std::vector<ScanPx> both{{800, 900},   {2500, 700}, {5200, 1100}, {5000, 1500}, {2600, 1300},
                                       {1200, 1600}, {1500, 900}, {2300, 850},  {2200, 1200}, {1600, 1250}};
        const auto figuresOf = [](const DrawingGround& ground, const std::vector<ScanPx>& vertices) {
            Part part;
            part.outer.vertices.assign(vertices.begin(), vertices.begin() + 6);
            part.holes.emplace_back().vertices.assign(vertices.begin() + 6, vertices.end());
            return outlineFigures(ground, std::vector<Part>{part}, tracingMm, 0);
        };
        const auto east = [&](const DrawingGround& ground, const std::vector<ScanPx>& vertices) {
            return figuresOf(ground, vertices).centroidEast;
        };
        const auto north = [&](const DrawingGround& ground, const std::vector<ScanPx>& vertices) {
            return figuresOf(ground, vertices).centroidNorth;
        };
        const double scatterEast = scatterOf(east, both), scatterNorth = scatterOf(north, both);
        const OutlineFigures figures = figuresOf(groundOf(pins()), both);
        QVERIFY2(
            std::abs(figures.centroidEast.standardError / scatterEast - 1) < 0.045,
            qPrintable(QString("%1 against %2").arg(figures.centroidEast.standardError).arg(scatterEast)));
        QVERIFY2(std::abs(figures.centroidNorth.standardError / scatterNorth - 1) < 0.045,
                 qPrintable(
                     QString("%1 against %2").arg(figures.centroidNorth.standardError).arg(scatterNorth)));
    }
    void whatAllPegsShareMovesTheCentroidAlone()
    {
        const auto parts = partsOfText("POLYGON ((1000 1000, 2000 1000, 2000 2000, 1000 2000, 1000 1000))");
        const OutlineFigures without = outlineFigures(groundOf(pins()), parts, tracingMm, 0);
        const OutlineFigures with = outlineFigures(groundOf(pins()), parts, tracingMm, 0.010);
        QCOMPARE(with.areaM2.standardError, without.areaM2.standardError);
        QCOMPARE(with.perimeterM.standardError, without.perimeterM.standardError);
        QCOMPARE(with.centroidEast.standardError, std::hypot(without.centroidEast.standardError, 0.010));
        QCOMPARE(with.centroidNorth.standardError, std::hypot(without.centroidNorth.standardError, 0.010));
    }
    void aFigureIsSaidToTheDigitsThatItsErrorLeaves()
    {
        QCOMPARE((Measured{3.21437, 0.0123}.inWords()), std::string("3.214 ± 0.012"));
        QCOMPARE((Measured{41.5372, 0.25}.inWords()), std::string("41.54 ± 0.25"));
        QCOMPARE((Measured{7.51137, 0.00094}.inWords()), std::string("7.5114 ± 0.0009"));
    }
    void aRiseIsOfASectionAlone()
    {
        DrawingGround ground = groundOf(pins());
        QVERIFY(!measuredRise(ground, {0, 0}, {0, 100}, tracingMm));
        const auto frame = SectionFrame::through("S-01", {{"A", {100, 200}}, {"B", {103, 204}}}, 12.0);
        QVERIFY(frame);
        ground.section = *frame;
        const auto rise = measuredRise(ground, {1000, 2000}, {2000, 1000}, tracingMm);
        QVERIFY(rise);
        QVERIFY(std::abs(rise->value - 1000 * metresPerPx) < 1e-9); // rows run down, levels up
        QVERIFY(rise->standardError > 0.25 * 0.02 * std::sqrt(2.0));
        ground.verticalExaggeration = 2; // drawn twice as high: half the rise, half its error
        const auto halved = measuredRise(ground, {1000, 2000}, {2000, 1000}, tracingMm);
        QVERIFY(halved && std::abs(halved->value - rise->value / 2) < 1e-9);
        QVERIFY(std::abs(halved->standardError - rise->standardError / 2) < 1e-12);
        QVERIFY(std::abs(riseBetweenLevels(12.40, 12.15).value + 0.25) < 1e-12);
    }
    void publishedAreasAndCentroids()
    {
        // An identity of film and ground in metres: 1 px is 1 m.
        const FilmFrame film{1000, 1000, 25.4, 25.4, false};
        std::vector<ControlPoint> points;
        for (const ScanPx mark : {ScanPx{0, 0}, ScanPx{1000, 0}, ScanPx{1000, 1000}, ScanPx{0, 1000}})
            points.push_back({.peg = "P" + std::to_string(points.size()),
                              .film = film.toFilm(mark),
                              .ground = {mark.column, mark.row}});
        const Result<ControlFit> fit =
            fitControl(points, {.model = Model::Affine, .scaleDenominator = 1000});
        QVERIFY(fit);
        const DrawingGround ground{*fit, film, std::nullopt};
        QFile file(INKPEG_PUBLISHED_DIR "/polygon_centroid.json");
        QVERIFY(file.open(QIODevice::ReadOnly));
        int checked = 0;
        for (const QJsonValue& value : QJsonDocument::fromJson(file.readAll()).array()) {
            const QJsonObject each = value.toObject();
            const auto parts = partsOfText(each["wkt"].toString());
            static const QRegularExpression point(R"(POINT \(([-0-9.]+) ([-0-9.]+)\))");
            const auto centroid = point.match(each["centroid"].toString());
            // Degenerate cases have no area to measure: no outline on the lattice is that thin.
            if (parts.empty() || each["area"].toDouble() < 1e-6 || !centroid.hasMatch())
                continue;
            const OutlineFigures figures = outlineFigures(ground, parts, tracingMm, 0);
            QVERIFY2(std::abs(figures.areaM2.value - each["area"].toDouble()) < 1e-6,
                     qPrintable(each["case"].toString()));
            // The identity is fitted: 1e-9 of 1000 m.
            const GroundM expected{centroid.captured(1).toDouble(), centroid.captured(2).toDouble()};
            QVERIFY2(distance({figures.centroidEast.value, figures.centroidNorth.value}, expected) < 1e-6,
                     qPrintable(QString("%1: %2, %3")
                                    .arg(each["case"].toString())
                                    .arg(figures.centroidEast.value)
                                    .arg(figures.centroidNorth.value)));
            ++checked;
        }
        QVERIFY2(checked >= 5, qPrintable(QString::number(checked)));
    }
    void aHoleTakesFromTheAreaAndAddsToThePerimeter()
    {
        const auto parts = partsOfText("POLYGON ((1000 1000, 2000 1000, 2000 2000, 1000 2000, 1000 1000), "
                                       "(1200 1200, 1400 1200, 1400 1400, 1200 1400, 1200 1200))");
        const OutlineFigures figures = outlineFigures(groundOf(pins()), parts, tracingMm, 0);
        QVERIFY(std::abs(figures.areaM2.value - 960000 * metresPerPx * metresPerPx) < 1e-9);
        QVERIFY2(std::abs(figures.perimeterM.value - 4800 * metresPerPx) <
                     1e-8, // eight edges at N 5.9e6 m, held to 1e-9 m
                 qPrintable(QString::number(figures.perimeterM.value / metresPerPx, 'f', 9)));
        QVERIFY(figures.areaM2.standardError > 0 && figures.perimeterM.standardError > 0);
    }
};

QTEST_GUILESS_MAIN(MeasureTest)
#include "MeasureTest.moc"
