// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/fit/ControlFit.h"

#include <cmath>
#include <numbers>
#include <random>

#include <Eigen/LU>
#include <QTest>

#include "core/fit/PlaneEquations.h"

using namespace inkpeg;

namespace {

constexpr Model EveryModel[] = {Model::Similarity,  Model::Affine,      Model::Projective,
                                Model::Polynomial2, Model::Polynomial3, Model::ThinPlateSpline};

/// A 1:20 sheet of 400 x 280 mm turned by 17 degrees, near E 562000, N 5800000.
GroundM trueGround(FilmMm film)
{
    const double c = std::cos(17 * std::numbers::pi / 180), s = std::sin(17 * std::numbers::pi / 180);
    return {562000 + 0.020 * (c * film.x - s * film.y), 5800000 + 0.020 * (s * film.x + c * film.y)};
}

/// `columns` x `rows` pins spread over the sheet, off an exact lattice so that no curve holds them all.
std::vector<ControlPoint> lattice(int columns, int rows)
{
    std::vector<ControlPoint> pins;
    for (int row = 0; row < rows; ++row)
        for (int column = 0; column < columns; ++column) {
            const FilmMm film{40.0 + column * 320.0 / (columns - 1) + 3 * ((row * 7 + column * 3) % 5),
                              30.0 + row * 220.0 / (rows - 1) + 2 * ((row * 3 + column * 5) % 7)};
            pins.push_back(
                {.peg = std::string(1, static_cast<char>('A' + column)) + std::to_string(row + 1),
                 .film = film,
                 .ground = trueGround(film)});
        }
    return pins;
}

std::string messageOf(const std::vector<ControlPoint>& pins, Model model)
{
    const Result<ControlFit> fit = fitControl(pins, {.model = model});
    return fit ? std::string("no error") : fit.error().message;
}

bool says(const std::string& message, std::initializer_list<const char*> words)
{
    for (const char* word : words)
        if (message.find(word) == std::string::npos) {
            qWarning("\"%s\" does not say \"%s\"", message.c_str(), word);
            return false;
        }
    return true;
}

} // namespace

class ControlFitTest final : public QObject {
    Q_OBJECT

private slots:
    void everyModelFitsAnExactSheetExactly()
    {
        for (const Model model : EveryModel) {
            const Result<ControlFit> fit =
                fitControl(lattice(4, 4), {.model = model, .scaleDenominator = 20});
            QVERIFY2(fit, fit ? "" : fit.error().message.c_str());
            for (const PinResidual& residual : fit->residuals)
                QVERIFY2(residual.lengthM() < 1e-8,
                         modelName(model).c_str()); // doubles at 5.8e6 m step by 1e-9 m
            QVERIFY(distance(fit->transform.toGround({200, 150}), trueGround({200, 150})) < 1e-8);
        }
    }

    void thereAndBackIsTheSamePlaceOnTheFilm()
    {
        std::vector<ControlPoint> pins = lattice(4, 4);
        for (ControlPoint& pin :
             pins) { // a cockled film: some mm of bend, so that every model has its full terms
            pin.ground.east += 0.02 * std::sin(pin.film.x / 60) * std::cos(pin.film.y / 80);
            pin.ground.north += 0.02 * std::sin(pin.film.y / 70);
        }
        for (const Model model : EveryModel) {
            const Result<ControlFit> fit = fitControl(pins, {.model = model, .scaleDenominator = 20});
            QVERIFY2(fit, fit ? "" : fit.error().message.c_str());
            for (const FilmMm film :
                 {FilmMm{50, 40}, FilmMm{200, 150}, FilmMm{370, 260}, FilmMm{10, 280}}) {
                const Result<FilmMm> back = fit->transform.toFilm(fit->transform.toGround(film));
                QVERIFY2(back, back ? "" : back.error().message.c_str());
                // Ground near 5.8e6 m steps by 1e-9 m: 5e-8 mm at 1:20, with room for the slope.
                QVERIFY2(distance(*back, film) < 4e-7, modelName(model).c_str());
            }
        }
    }

    void newtonIsExactToTheStatedToleranceWhereGroundCoordinatesAreSmall()
    {
        std::vector<ControlPoint> pins = lattice(4, 4);
        for (ControlPoint& pin : pins)
            pin.ground = {0.02 * pin.film.x + 0.01 * std::sin(pin.film.y / 60),
                          0.02 * pin.film.y + 0.01 * std::sin(pin.film.x / 60)};
        for (const Model model : {Model::Polynomial2, Model::Polynomial3, Model::ThinPlateSpline}) {
            const Result<ControlFit> fit = fitControl(pins, {.model = model, .scaleDenominator = 20});
            QVERIFY(fit);
            const Result<FilmMm> back = fit->transform.toFilm(fit->transform.toGround({123.4, 210.9}));
            QVERIFY(back);
            QVERIFY(distance(*back, {123.4, 210.9}) < 1e-9); // the tolerance GroundTransform.h states
        }
    }

    void theJacobianIsTheSlopeOfTheMap()
    {
        std::vector<ControlPoint> pins = lattice(4, 4);
        for (ControlPoint& pin : pins) {
            pin.ground = {0.02 * pin.film.x + 0.03 * std::sin(pin.film.y / 60), 0.02 * pin.film.y};
        }
        constexpr double Step = 1e-3; // mm: central difference good to about 1e-8 of the slope
        for (const Model model : EveryModel) {
            const Result<ControlFit> fit = fitControl(pins, {.model = model, .scaleDenominator = 20});
            QVERIFY(fit);
            const FilmMm at{143.2, 87.5};
            const GroundJacobian slope = fit->transform.jacobian(at);
            const auto ground = [&](double dx, double dy) {
                return fit->transform.toGround({at.x + dx, at.y + dy});
            };
            const GroundM right = ground(Step, 0), left = ground(-Step, 0), up = ground(0, Step),
                          down = ground(0, -Step);
            QVERIFY(std::abs(slope.eastByX - (right.east - left.east) / (2 * Step)) < 1e-9);
            QVERIFY(std::abs(slope.northByX - (right.north - left.north) / (2 * Step)) < 1e-9);
            QVERIFY(std::abs(slope.eastByY - (up.east - down.east) / (2 * Step)) < 1e-9);
            QVERIFY(std::abs(slope.northByY - (up.north - down.north) / (2 * Step)) < 1e-9);
        }
    }

    void redundancyNumbersSumToTheRedundancy()
    {
        for (const Model model : EveryModel) {
            std::vector<ControlPoint> pins = lattice(5, 4);
            pins[3].standardErrorEastM = 0.05;
            pins[7].standardErrorNorthM = 0.002;
            const Result<ControlFit> fit = fitControl(pins, {.model = model, .scaleDenominator = 20});
            QVERIFY(fit);
            QCOMPARE(fit->redundancy, 2 * 20 - fit->parameters);
            double sum = 0;
            for (const PinResidual& residual : fit->residuals)
                sum += residual.redundancyEast + residual.redundancyNorth;
            QVERIFY(std::abs(sum - fit->redundancy) < (model == Model::ThinPlateSpline ? 0.51 : 1e-9));
        }
    }

    /// Moving one observation by d moves its own residual by -r d: what a redundancy number means.
    void aRedundancyNumberIsTheShareOfAnErrorThatShows()
    {
        std::vector<ControlPoint> pins = lattice(3, 3);
        pins[4].standardErrorEastM = 0.03;
        for (const Model model : {Model::Similarity, Model::Affine, Model::Polynomial2}) {
            const Result<ControlFit> before = fitControl(pins, {.model = model, .scaleDenominator = 20});
            std::vector<ControlPoint> moved = pins;
            moved[4].ground.east += 0.5;
            const Result<ControlFit> after = fitControl(moved, {.model = model, .scaleDenominator = 20});
            QVERIFY(before && after);
            const double shown = before->residuals[4].eastM - after->residuals[4].eastM;
            QVERIFY(std::abs(shown - 0.5 * before->residuals[4].redundancyEast) < 1e-7);
        }
    }

    void aHeavyPegPullsTheFitAndALightOneDoesNot()
    {
        std::vector<ControlPoint> pins = lattice(2, 2);
        pins[0].ground.east += 0.10;
        const Result<ControlFit> even =
            fitControl(pins, {.model = Model::Similarity, .scaleDenominator = 20});
        pins[0].standardErrorEastM = pins[0].standardErrorNorthM = 1.0;
        const Result<ControlFit> light =
            fitControl(pins, {.model = Model::Similarity, .scaleDenominator = 20});
        QVERIFY(even && light);
        QVERIFY(even->residuals[1].lengthM() > 0.01);
        QVERIFY(light->residuals[1].lengthM() < 0.001);
    }

    void checkPointsAndPinsSetAsideTakeNoPart()
    {
        std::vector<ControlPoint> pins = lattice(3, 2);
        pins[1].use = PinUse::Check;
        pins[1].ground.east += 0.25;
        pins[2].use = PinUse::LeftOut;
        pins[2].ground.north -= 3;
        const Result<ControlFit> fit = fitControl(pins, {.model = Model::Affine, .scaleDenominator = 20});
        QVERIFY(fit);
        QCOMPARE(fit->pinsUsed, 4);
        QVERIFY(fit->rmseM < 1e-8);
        QVERIFY(std::abs(fit->residuals[1].eastM + 0.25) < 1e-8);  // fitted - surveyed
        QVERIFY(std::abs(fit->residuals[1].filmMm - 12.5) < 1e-6); // 0.25 m at 1:20
        QVERIFY(!fit->residuals[1].withinTolerance);
        QCOMPARE(fit->residuals[1].redundancyShare, 0.0);
        QVERIFY(std::abs(fit->residuals[2].northM - 3) < 1e-8);
    }

    void eastAndNorthOfASimilarityHangTogetherWhereTheirErrorsDiffer()
    {
        // Turned by 90 degrees, pegs good in east only: scale and turn come from east, so the place of a
        // point has correlated errors. Compared with the covariance of the same system solved by normal
        // equations.
        std::vector<ControlPoint> pins = lattice(2, 2);
        for (ControlPoint& pin : pins) {
            pin.standardErrorEastM = 0.002;
            pin.standardErrorNorthM = 0.05;
        }
        const FitSettings settings{.model = Model::Similarity, .scaleDenominator = 20, .pinPointingMm = 0};
        const Result<ControlFit> fit = fitControl(pins, settings);
        QVERIFY(fit);
        Eigen::Matrix4d normals = Eigen::Matrix4d::Zero();
        for (const ControlPoint& pin : pins) {
            const double x = pin.film.x - 200, y = pin.film.y - 140;
            const Eigen::RowVector4d east(x, -y, 1, 0), north(y, x, 0, 1);
            normals +=
                east.transpose() * east / (0.002 * 0.002) + north.transpose() * north / (0.05 * 0.05);
        }
        const Eigen::Matrix4d cofactor = normals.inverse();
        const Eigen::RowVector4d east(150, -100, 1, 0), north(100, 150, 0, 1);
        const GroundCovariance covariance = fit->covarianceAt({350, 240});
        const auto close = [](double got, double wanted) {
            return std::abs(got - wanted) <= 1e-7 * std::abs(wanted);
        };
        QVERIFY(close(covariance.eastEast, east * cofactor * east.transpose()));
        QVERIFY(close(covariance.northNorth, north * cofactor * north.transpose()));
        QVERIFY(close(covariance.eastNorth, east * cofactor * north.transpose()));
    }

    void errorsGrowAwayFromThePins()
    {
        for (const Model model : EveryModel) {
            const Result<ControlFit> fit =
                fitControl(lattice(4, 4), {.model = model, .scaleDenominator = 20});
            QVERIFY(fit);
            QVERIFY2(fit->covarianceAt({200, 140}).standardErrorM() <
                         fit->covarianceAt({600, 500}).standardErrorM(),
                     modelName(model).c_str());
        }
    }

    void tooFewPinsAreNamed()
    {
        QVERIFY(says(messageOf({}, Model::Similarity), {"no pin", "needs 2"}));
        std::vector<ControlPoint> pins = lattice(2, 2);
        pins.resize(2);
        QVERIFY(says(messageOf(pins, Model::Affine),
                     {"2 pins (A1 and B1)", "an affine fit needs 3", "pin 1 more"}));
        QVERIFY(
            says(messageOf(lattice(3, 3), Model::Polynomial3), {"9 pins", "needs 10", "simpler model"}));
    }

    void coincidentPinsAreNamed()
    {
        std::vector<ControlPoint> pins = lattice(2, 2);
        pins.resize(3);
        pins[2].film = pins[1].film;
        QVERIFY(says(messageOf(pins, Model::Affine), {"B1 and A2", "one place on the film", "needs 3"}));
        pins = lattice(2, 2);
        pins.resize(2);
        pins[1].ground = pins[0].ground;
        QVERIFY(says(messageOf(pins, Model::Similarity), {"A1 and B1", "one place on the ground"}));
    }

    void pinsOnOneLineAreNamed()
    {
        std::vector<ControlPoint> pins = lattice(4, 2);
        pins.resize(4);
        for (std::size_t i = 0; i < 4; ++i) {
            pins[i].film.y = 50 + pins[i].film.x * 0.3;
            pins[i].ground = trueGround(pins[i].film);
        }
        QVERIFY(says(messageOf(pins, Model::Affine),
                     {"A1, B1, C1 and D1", "one line on the film", "off that line"}));
        QVERIFY(fitControl(pins, {.model = Model::Similarity})); // a line is enough for a similarity
    }

    void shapesThatDoNotDetermineAModelAreNamed()
    {
        std::vector<ControlPoint> rows = lattice(4, 2); // two rows: a degenerate conic
        for (std::size_t i = 0; i < rows.size(); ++i) {
            rows[i].film.y = i < 4 ? 40 : 240;
            rows[i].ground = trueGround(rows[i].film);
        }
        QVERIFY(says(messageOf(rows, Model::Polynomial2), {"A1", "two rows", "third row"}));
        std::vector<ControlPoint> four = lattice(2, 2);
        four[1].film = {four[0].film.x + 100, four[0].film.y};
        four[2].film = {four[0].film.x + 200, four[0].film.y};
        for (ControlPoint& pin : four)
            pin.ground = trueGround(pin.film);
        QVERIFY(says(messageOf(four, Model::Projective), {"all but one", "projective"}));
    }

    void numbersThatAreNoneAreNamed()
    {
        std::vector<ControlPoint> pins = lattice(2, 2);
        pins[1].ground.east = std::nan("");
        QVERIFY(says(messageOf(pins, Model::Affine), {"pin B1", "not a number"}));
        pins = lattice(2, 2);
        pins[2].standardErrorNorthM = -0.01;
        QVERIFY(says(messageOf(pins, Model::Affine), {"peg A2", "standard error -0.01"}));
    }

    void everyModelIsFoundByItsName()
    {
        for (const Model model : EveryModel)
            QCOMPARE(*modelNamed(modelName(model)), model);
        QCOMPARE(*modelNamed("Polynomial-2"), Model::Polynomial2);
        QCOMPARE(*modelNamed("thinplatespline"), Model::ThinPlateSpline);
        QVERIFY(says(modelNamed("rubber").error().message, {"rubber", "similarity", "affine"}));
    }
};

QTEST_GUILESS_MAIN(ControlFitTest)
#include "ControlFitTest.moc"
