// SPDX-License-Identifier: GPL-3.0-or-later
// Fits against the transformers of GDAL, which solve the same tasks by other means.
#include "core/fit/ControlFit.h"

#include <cmath>
#include <random>

#include <QTest>
#include <gdal_alg.h>

using namespace inkpeg;

namespace {

constexpr std::uint32_t Seed = 20261125;

/// Pins of equal weight with noise of 10 mm on the ground, spread over an A3 sheet at 1:20.
std::vector<ControlPoint> randomPins(std::mt19937& random, int count)
{
    std::uniform_real_distribution<double> x(0, 400), y(0, 280);
    std::normal_distribution<double> noise(0, 0.010);
    std::vector<ControlPoint> pins;
    for (int i = 0; i < count; ++i) {
        const FilmMm film{x(random), y(random)};
        pins.push_back(
            {.peg = "P" + std::to_string(i + 1),
             .film = film,
             .ground = {562000 + 0.019 * film.x - 0.006 * film.y + 1e-6 * film.x * film.y + noise(random),
                        5800000 + 0.006 * film.x + 0.019 * film.y + noise(random)}});
    }
    return pins;
}

struct Reference {
    void* argument = nullptr;
    GDALTransformerFunc function = nullptr;
    void (*destroy)(void*) = nullptr;

    ~Reference()
    {
        if (argument)
            destroy(argument);
    }
    GroundM toGround(FilmMm film) const
    {
        double x = film.x, y = film.y, z = 0;
        int done = 0;
        function(argument, 0, 1, &x, &y, &z, &done);
        return done ? GroundM{x, y} : GroundM{};
    }
};

std::vector<GDAL_GCP> gcps(const std::vector<ControlPoint>& pins)
{
    static char none[] = "";
    std::vector<GDAL_GCP> points;
    for (const ControlPoint& pin : pins)
        points.push_back({none, none, pin.film.x, pin.film.y, pin.ground.east, pin.ground.north, 0});
    return points;
}

double worstDifferenceM(const ControlFit& fit, const Reference& reference)
{
    double worst = 0;
    for (double x = 0; x <= 400; x += 25)
        for (double y = 0; y <= 280; y += 20)
            worst = std::max(worst, distance(fit.transform.toGround({x, y}), reference.toGround({x, y})));
    return worst;
}

} // namespace

class ReferenceTransformTest final : public QObject {
    Q_OBJECT

private slots:
    void polynomialsAgreeWithGdal()
    {
        std::mt19937 random(Seed);
        constexpr std::pair<Model, int> Orders[] = {
            {Model::Affine, 1}, {Model::Polynomial2, 2}, {Model::Polynomial3, 3}};
        for (const auto& [model, order] : Orders) {
            double worst = 0;
            for (int sheet = 0; sheet < 50; ++sheet) {
                const std::vector<ControlPoint> pins = randomPins(random, 24);
                const Result<ControlFit> fit = fitControl(pins, {.model = model, .scaleDenominator = 20});
                QVERIFY2(fit, fit ? "" : fit.error().message.c_str());
                const std::vector<GDAL_GCP> points = gcps(pins);
                const Reference reference{
                    GDALCreateGCPTransformer(static_cast<int>(points.size()), points.data(), order, FALSE),
                    GDALGCPTransform, GDALDestroyGCPTransformer};
                QVERIFY(reference.argument);
                worst = std::max(worst, worstDifferenceM(*fit, reference));
            }
            qInfo("seed %u, order %d: at most %.1e m from GDAL", Seed, order, worst);
            QVERIFY(worst < 1e-6);
        }
    }

    void theSplineThroughEveryPinAgreesWithGdal()
    {
        std::mt19937 random(Seed);
        double worst = 0;
        for (int sheet = 0; sheet < 20; ++sheet) {
            const std::vector<ControlPoint> pins = randomPins(random, 16);
            const Result<ControlFit> fit = fitControl(
                pins, {.model = Model::ThinPlateSpline, .scaleDenominator = 20, .splineSmoothing = 0.0});
            QVERIFY(fit);
            QCOMPARE(fit->redundancy, 0);
            const std::vector<GDAL_GCP> points = gcps(pins);
            const Reference reference{
                GDALCreateTPSTransformer(static_cast<int>(points.size()), points.data(), FALSE),
                GDALTPSTransform, GDALDestroyTPSTransformer};
            QVERIFY(reference.argument);
            worst = std::max(worst, worstDifferenceM(*fit, reference));
        }
        qInfo("seed %u, spline: at most %.1e m from GDAL", Seed, worst);
        QVERIFY(worst < 1e-6);
    }
};

QTEST_GUILESS_MAIN(ReferenceTransformTest)
#include "ReferenceTransformTest.moc"
