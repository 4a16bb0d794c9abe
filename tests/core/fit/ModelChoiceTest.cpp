// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/fit/ModelChoice.h"

#include <cmath>
#include <random>

#include <QTest>

#include "core/fit/FilmHull.h"

using namespace inkpeg;

namespace {

constexpr std::uint32_t Seed = 7;
const std::vector<FilmMm> Sheet{{0, 0}, {400, 0}, {400, 280}, {0, 280}};

using Bend = GroundM (*)(FilmMm);

GroundM flat(FilmMm film)
{
    return {562000 + 0.02 * film.x, 5800000 + 0.02 * film.y};
}
GroundM stretched(FilmMm film)
{
    return {562000 + 0.0202 * film.x, 5800000 + 0.02 * film.y + 1e-4 * film.x};
}
GroundM tilted(FilmMm film)
{
    const double w = 1 + 1e-4 * film.x + 5e-5 * film.y;
    return {562000 + 0.02 * film.x / w, 5800000 + 0.02 * film.y / w};
}
GroundM cockled(FilmMm film)
{
    return {562000 + 0.02 * film.x + 0.15 * std::sin(film.x / 90) * std::cos(film.y / 80),
            5800000 + 0.02 * film.y + 0.15 * std::sin(film.y / 80) * std::sin(film.x / 100)};
}

std::vector<ControlPoint> sheetOf(Bend bend, int columns, int rows, std::mt19937& random)
{
    std::normal_distribution<double> noise(0, std::hypot(0.004, 0.002));
    std::vector<ControlPoint> pins;
    for (int i = 0; i < columns; ++i)
        for (int j = 0; j < rows; ++j) {
            const FilmMm film{20 + 360.0 * i / (columns - 1), 20 + 240.0 * j / (rows - 1)};
            GroundM ground = bend(film);
            ground.east += noise(random);
            ground.north += noise(random);
            pins.push_back({.peg = std::to_string(i) + "/" + std::to_string(j),
                            .film = film,
                            .ground = ground,
                            .standardErrorEastM = 0.004,
                            .standardErrorNorthM = 0.004});
        }
    return pins;
}

const ModelAssessment& of(const ModelComparison& comparison, Model model)
{
    return comparison.models[static_cast<std::size_t>(model)];
}

} // namespace

class ModelChoiceTest final : public QObject {
    Q_OBJECT

private slots:
    void theSimplestTrueModelIsRecommended()
    {
        std::mt19937 random(Seed);
        struct Case {
            Bend bend;
            Model wanted;
        };
        for (const Case& c : {Case{flat, Model::Similarity}, Case{stretched, Model::Affine},
                              Case{tilted, Model::Projective}}) {
            int right = 0;
            std::string reason;
            for (int sheet = 0; sheet < 100; ++sheet) {
                const ModelComparison comparison = compareModels(
                    sheetOf(c.bend, 4, 4, random), {.scaleDenominator = 20, .pinPointingMm = 0.1}, Sheet);
                right += comparison.recommended == c.wanted;
                reason = comparison.reason;
            }
            qInfo("seed %u: %s recommended on %d of 100 sheets; %s", Seed, modelName(c.wanted).c_str(),
                  right, reason.c_str());
            // A true model is rejected by chance in 1 % of each of up to five tests that are not
            // independent.
            QVERIFY(right >= 90);
        }
    }

    void aCockledFilmIsNotLeftToAnAffineMap()
    {
        std::mt19937 random(Seed);
        const ModelComparison comparison =
            compareModels(sheetOf(cockled, 6, 5, random), {.scaleDenominator = 20}, Sheet);
        qInfo("%s", comparison.reason.c_str());
        QVERIFY(comparison.recommended == Model::ThinPlateSpline ||
                comparison.recommended == Model::Polynomial3);
        QVERIFY(of(comparison, Model::ThinPlateSpline).predictionErrorMm <
                of(comparison, Model::Affine).predictionErrorMm);
    }

    /// Prediction errors of a linear fit follow from residual and redundancy number without refitting.
    void predictionErrorIsTheResidualOverItsRedundancy()
    {
        std::mt19937 random(Seed);
        const ModelComparison comparison =
            compareModels(sheetOf(flat, 4, 3, random), {.scaleDenominator = 20}, Sheet);
        const ModelAssessment& affine = of(comparison, Model::Affine);
        double squares = 0;
        for (const PinResidual& r : affine.fit->residuals)
            squares += std::pow(r.eastM / r.redundancyEast, 2) + std::pow(r.northM / r.redundancyNorth, 2);
        QVERIFY(std::abs(std::sqrt(squares / 12) - *affine.predictionErrorM) < 1e-8);
    }

    /// The extra sum of squares by hand.
    void theFTestComparesWithTheNextSimplerModel()
    {
        std::mt19937 random(Seed);
        const ModelComparison comparison =
            compareModels(sheetOf(stretched, 4, 3, random), {.scaleDenominator = 20}, Sheet);
        const ControlFit& similarity = *of(comparison, Model::Similarity).fit;
        const ControlFit& affine = *of(comparison, Model::Affine).fit;
        const double byHand = ((similarity.weightedSquareSum - affine.weightedSquareSum) / 2) /
                              (affine.weightedSquareSum / 18);
        QVERIFY(std::abs(of(comparison, Model::Affine).test->value / byHand - 1) < 1e-12);
        QVERIFY(of(comparison, Model::Affine).test->chance < 1e-6);
        QCOMPARE(of(comparison, Model::Polynomial2).test->simpler, Model::Affine);
        QVERIFY(!of(comparison, Model::Similarity).test);
    }

    void distortionIsInMillionthsAndMillimetres()
    {
        // x stretched by 1 %, y true, y axis leaning by 0.004: an affine sheet without noise.
        std::vector<ControlPoint> pins;
        for (const FilmMm film : {FilmMm{0, 0}, FilmMm{400, 0}, FilmMm{400, 280}, FilmMm{0, 280}})
            pins.push_back({.peg = "p", .film = film, .ground = {0.0202 * film.x, 0.02 * film.y}});
        const Result<ControlFit> fit = fitControl(pins, {.model = Model::Affine, .scaleDenominator = 20});
        QVERIFY(fit);
        const Distortion distortion = distortionOver(fit->transform, 20, Sheet);
        QVERIFY(std::abs(distortion.largestScalePpm - 10000) < 1e-3);
        QVERIFY(std::abs(distortion.smallestScalePpm) < 1e-3);
        QVERIFY(distortion.skewPpm < 1e-3);
        QVERIFY(distortion.awayMm > 0.9 &&
                distortion.awayMm < 2.0); // 4 mm of stretch, shared about the middle
        for (ControlPoint& pin : pins)
            pin.ground = {0.02 * (pin.film.x + 0.004 * pin.film.y), 0.02 * pin.film.y};
        const Result<ControlFit> leaning =
            fitControl(pins, {.model = Model::Affine, .scaleDenominator = 20});
        QVERIFY(std::abs(distortionOver(leaning->transform, 20, Sheet).skewPpm - std::atan(0.004) * 1e6) <
                1e-3);
    }

    void extrapolationIsThePartOutsideTheHullOfThePins()
    {
        const std::vector<FilmMm> middle{{100, 70}, {300, 70}, {300, 210}, {100, 210}, {200, 100}};
        QVERIFY(std::abs(extrapolationShare(middle, Sheet) - 0.75) < 1e-12);
        QVERIFY(std::abs(extrapolationShare(Sheet, middle)) < 1e-12);
        QCOMPARE(extrapolationShare(std::vector<FilmMm>{{0, 0}, {1, 1}}, Sheet), 1.0);
        // A concave drawing that the hull cuts into two parts.
        const std::vector<FilmMm> horseshoe{{0, 0},   {30, 0},  {30, 30}, {20, 30},
                                            {20, 10}, {10, 10}, {10, 30}, {0, 30}};
        const std::vector<FilmMm> upper{{0, 20}, {30, 20}, {30, 30}, {0, 30}};
        QVERIFY(std::abs(extrapolationShare(upper, horseshoe) - 500.0 / 700.0) < 1e-12);
        QCOMPARE(convexHull(middle).size(), std::size_t(4));
    }

    void modelsThatThePinsDoNotAllowSayWhy()
    {
        std::mt19937 random(Seed);
        const ModelComparison comparison =
            compareModels(sheetOf(flat, 2, 2, random), {.scaleDenominator = 20}, Sheet);
        QCOMPARE(comparison.models.size(), std::size_t(6));
        QVERIFY(!of(comparison, Model::Polynomial2).fit);
        QVERIFY(of(comparison, Model::Polynomial2).whyNot.find("needs 6") != std::string::npos);
        QCOMPARE(*comparison.recommended, Model::Similarity);
        const ModelComparison none = compareModels({}, {.scaleDenominator = 20}, Sheet);
        QVERIFY(!none.recommended);
        QVERIFY(none.reason.find("no pin") != std::string::npos);
        std::vector<ControlPoint> two = sheetOf(flat, 2, 2, random);
        two.resize(2);
        const ModelComparison bare = compareModels(two, {.scaleDenominator = 20}, Sheet);
        QVERIFY(bare.reason.find("nothing checks them") != std::string::npos);
    }
};

QTEST_GUILESS_MAIN(ModelChoiceTest)
#include "ModelChoiceTest.moc"
