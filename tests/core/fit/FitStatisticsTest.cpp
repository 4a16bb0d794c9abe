// SPDX-License-Identifier: GPL-3.0-or-later
// Whether stated standard errors are true: simulated sheets with known maps and known errors. No outside
// figures are needed here, the binomial and chi-square distributions are the reference; seeds are fixed, so
// runs repeat.
#include "core/fit/ControlFit.h"

#include <array>
#include <cmath>
#include <random>

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <Eigen/QR>
#include <QTest>

#include "core/fit/PlaneEquations.h"
#include "core/fit/Quantiles.h"

using namespace inkpeg;

namespace {

constexpr std::uint32_t Seed = 41;
constexpr double PointingMm = 0.10;
constexpr double Scale = 20;

/// A map of the model with coefficients drawn at random about those of a plausible 1:20 sheet.
class TrueMap {
public:
    TrueMap(Model model, std::mt19937& random) : m_model(model)
    {
        std::uniform_real_distribution<double> angle(-3.1, 3.1), part(-1, 1);
        const double c = 0.02 * std::cos(angle(random)), s = 0.02 * std::sin(angle(random));
        m_linear << c, -s, s, c;
        if (model != Model::Similarity)
            for (double& a : m_linear.reshaped())
                a *= 1 + 0.02 * part(random);
        if (model == Model::Projective)
            m_vanish = {2e-4 * part(random), 2e-4 * part(random)};
        if (model == Model::Polynomial2 || model == Model::Polynomial3)
            for (double& bend : m_bends)
                bend = 0.05 * part(random);
    }

    GroundM operator()(FilmMm film) const
    {
        const Eigen::Vector2d p(film.x - 200, film.y - 140);
        const double x = p[0] / 200, y = p[1] / 200;
        Eigen::Vector2d at = m_linear * p / (1 + m_vanish.dot(p));
        if (m_model == Model::Polynomial2 || m_model == Model::Polynomial3)
            at += Eigen::Vector2d(m_bends[0] * x * x + m_bends[1] * x * y + m_bends[2] * y * y,
                                  m_bends[3] * x * x + m_bends[4] * x * y + m_bends[5] * y * y);
        if (m_model == Model::Polynomial3)
            at += Eigen::Vector2d(m_bends[6] * x * x * x + m_bends[7] * x * y * y,
                                  m_bends[7] * x * x * y - m_bends[6] * y * y * y);
        return {562000 + at[0], 5800000 + at[1]};
    }

private:
    Model m_model;
    Eigen::Matrix2d m_linear;
    Eigen::Vector2d m_vanish = Eigen::Vector2d::Zero();
    std::array<double, 8> m_bends{};
};

/// `count` pins at random places, pegs of differing standard error, errors as large as stated.
std::vector<ControlPoint> observedPins(const TrueMap& truth, int count, std::mt19937& random)
{
    std::uniform_real_distribution<double> x(0, 400), y(0, 280), spread(0.003, 0.02);
    std::normal_distribution<double> normal;
    std::vector<ControlPoint> pins;
    for (int i = 0; i < count; ++i) {
        ControlPoint pin{.peg = "P" + std::to_string(i + 1), .film = {x(random), y(random)}, .ground = {}};
        pin.standardErrorEastM = spread(random);
        pin.standardErrorNorthM = spread(random);
        const double pointingM = groundMFromFilmMm(PointingMm, Scale);
        pin.ground = truth(pin.film);
        pin.ground.east += std::hypot(pin.standardErrorEastM, pointingM) * normal(random);
        pin.ground.north += std::hypot(pin.standardErrorNorthM, pointingM) * normal(random);
        pins.push_back(pin);
    }
    return pins;
}

/// The true map's coefficients in the fit's own units, found from its values alone by Eigen's
/// decomposition; for the projective map by iterating on the fitted equations from the fitted coefficients.
Eigen::VectorXd trueCoefficients(const TrueMap& truth, const ControlFit& fit)
{
    const PlaneNormal& normal = fit.plane->normal();
    const PlaneEquations& equations = fit.plane->equations();
    Eigen::VectorXd coefficients = fit.coefficients;
    for (int round = 0; round < 6; ++round) {
        Eigen::MatrixXd design(2 * 36, equations.parameters());
        Eigen::VectorXd misfit(2 * 36);
        for (int i = 0; i < 36; ++i) {
            const FilmMm film{20.0 + 70 * (i % 6), 15.0 + 50 * (i / 6)};
            const Eigen::Vector2d unit = normal.unit(film);
            design.middleRows(2 * i, 2) = equations.rows(unit, coefficients);
            misfit.segment(2 * i, 2) = normal.unit(truth(film)) - equations.value(unit, coefficients);
        }
        coefficients += design.colPivHouseholderQr().solve(misfit);
    }
    return coefficients;
}

} // namespace

class FitStatisticsTest final : public QObject {
    Q_OBJECT

private slots:
    /// Of 1,000 sheets, each coefficient is off by more than 3 standard errors in Binomial(1000, 0.0027) of
    /// them. 15 or more have a probability below 1e-6. The other side is held by the mean of the squared,
    /// standardised error of all coefficients together: chi-square with p degrees, its mean known to sqrt(2
    /// p / 1000).
    void coefficientsLieWithinThreeStandardErrorsAsOftenAsTheyShould()
    {
        constexpr int Sheets = 1000;
        for (const Model model : {Model::Similarity, Model::Affine, Model::Projective, Model::Polynomial2,
                                  Model::Polynomial3}) {
            std::mt19937 random(Seed);
            const int p = parameterCount(model);
            Eigen::ArrayXi misses = Eigen::ArrayXi::Zero(p);
            double squares = 0;
            for (int sheet = 0; sheet < Sheets; ++sheet) {
                const TrueMap truth(model, random);
                const std::vector<ControlPoint> pins = observedPins(truth, p + 8, random);
                const Result<ControlFit> fit = fitControl(
                    pins, {.model = model, .scaleDenominator = Scale, .pinPointingMm = PointingMm});
                QVERIFY2(fit, fit ? "" : fit.error().message.c_str());
                const Eigen::VectorXd error = fit->coefficients - trueCoefficients(truth, *fit);
                misses += (error.array().abs() > 3 * fit->covariance.diagonal().array().sqrt()).cast<int>();
                squares += error.dot(fit->covariance.ldlt().solve(error));
            }
            const double mean = squares / Sheets;
            qInfo("seed %u, %s: most misses of one coefficient %d of %d (expected 2.7), mean square %.2f "
                  "of %d",
                  Seed, modelName(model).c_str(), misses.maxCoeff(), Sheets, mean, p);
            QVERIFY(misses.maxCoeff() < 15);
            QVERIFY(std::abs(mean - p) < 5 * std::sqrt(2.0 * p / Sheets));
        }
    }

    void thePooledVarianceFactorIsOne()
    {
        for (const Model model :
             {Model::Similarity, Model::Affine, Model::Projective, Model::Polynomial2}) {
            std::mt19937 random(Seed + 1);
            double squares = 0;
            int redundancy = 0;
            for (int sheet = 0; sheet < 300; ++sheet) {
                const TrueMap truth(model, random);
                const Result<ControlFit> fit =
                    fitControl(observedPins(truth, 12, random),
                               {.model = model, .scaleDenominator = Scale, .pinPointingMm = PointingMm});
                QVERIFY(fit);
                squares += fit->weightedSquareSum;
                redundancy += fit->redundancy;
            }
            // chi-square of `redundancy` degrees: five of its standard deviations either way
            QVERIFY(std::abs(squares - redundancy) < 5 * std::sqrt(2.0 * redundancy));
        }
    }

    /// The stated 95 % region of a fitted place (an ellipse) holds the truth in 93 to 97 % of 10,000
    /// places.
    void theNinetyFivePercentRegionHoldsTheTruth()
    {
        for (const Model model :
             {Model::Similarity, Model::Affine, Model::Projective, Model::Polynomial2}) {
            std::mt19937 random(Seed + 2);
            std::uniform_real_distribution<double> x(0, 400), y(0, 280);
            int inside = 0, places = 0;
            for (int sheet = 0; sheet < 1000; ++sheet) {
                const TrueMap truth(model, random);
                const Result<ControlFit> fit =
                    fitControl(observedPins(truth, 16, random),
                               {.model = model, .scaleDenominator = Scale, .pinPointingMm = PointingMm});
                QVERIFY(fit);
                for (int i = 0; i < 10; ++i, ++places) {
                    const FilmMm film{x(random), y(random)};
                    const GroundM at = fit->transform.toGround(film), true_ = truth(film);
                    inside += fit->covarianceAt(film).ellipse(0.95).holds(true_.east - at.east,
                                                                          true_.north - at.north);
                }
            }
            const double share = double(inside) / places;
            qInfo("seed %u, %s: %.2f %% of %d places lie in their 95 %% region", Seed + 2,
                  modelName(model).c_str(), 100 * share, places);
            QVERIFY(share >= 0.93 && share <= 0.97);
        }
    }

    /// Cockled film: waves of 0.5 to 2 mm, 25 pins. A spline's region rests on the roughness it estimated
    /// itself, so it is held to a wider band than the models whose equations are the truth.
    void theRegionOfASplineHoldsACockledFilm()
    {
        std::mt19937 random(Seed + 4);
        std::uniform_real_distribution<double> phase(0, 6.28), height(0.01, 0.04), x(30, 370), y(25, 255);
        int inside = 0, places = 0;
        for (int sheet = 0; sheet < 200; ++sheet) {
            const TrueMap plane(Model::Affine, random);
            const double a = phase(random), b = phase(random), high = height(random);
            const auto truth = [&](FilmMm film) {
                const GroundM flat = plane(film);
                return GroundM{flat.east + high * std::sin(film.x / 70 + a) * std::cos(film.y / 60 + b),
                               flat.north + high * std::sin(film.y / 65 + a + b) * std::cos(film.x / 80)};
            };
            std::vector<ControlPoint> pins = observedPins(plane, 25, random);
            for (std::size_t i = 0; i < pins.size(); ++i) { // on a jittered lattice, as grid crosses are
                const FilmMm old = pins[i].film;
                const GroundM noise{pins[i].ground.east - plane(old).east,
                                    pins[i].ground.north - plane(old).north};
                pins[i].film = {20 + 90.0 * static_cast<double>(i % 5),
                                15 + 62.5 * static_cast<double>(i / 5)};
                const GroundM at = truth(pins[i].film);
                pins[i].ground = {at.east + noise.east, at.north + noise.north};
            }
            const Result<ControlFit> fit = fitControl(
                pins,
                {.model = Model::ThinPlateSpline, .scaleDenominator = Scale, .pinPointingMm = PointingMm});
            QVERIFY(fit);
            for (int i = 0; i < 10; ++i, ++places) {
                const FilmMm film{x(random), y(random)};
                const GroundM at = fit->transform.toGround(film), true_ = truth(film);
                inside += fit->covarianceAt(film).ellipse(0.95).holds(true_.east - at.east,
                                                                      true_.north - at.north);
            }
        }
        const double share = double(inside) / places;
        qInfo("seed %u, spline: %.1f %% of %d places lie in their 95 %% region", Seed + 4, 100 * share,
              places);
        QVERIFY(share >= 0.90 && share <= 0.98);
    }

    void anEllipseIsTheLevelLineOfItsCovariance()
    {
        const GroundCovariance covariance{.eastEast = 4e-4, .eastNorth = 1.5e-4, .northNorth = 1e-4};
        const ErrorEllipse ellipse = covariance.ellipse(0.95);
        const double limit = chiSquareQuantile(0.95, 2);
        const double c = std::cos(ellipse.majorAngleRad), s = std::sin(ellipse.majorAngleRad);
        const Eigen::Matrix2d matrix = (Eigen::Matrix2d() << 4e-4, 1.5e-4, 1.5e-4, 1e-4).finished();
        const Eigen::Vector2d major(ellipse.majorM * c, ellipse.majorM * s);
        const Eigen::Vector2d minor(-ellipse.minorM * s, ellipse.minorM * c);
        QVERIFY(std::abs(major.dot(matrix.inverse() * major) - limit) < 1e-9);
        QVERIFY(std::abs(minor.dot(matrix.inverse() * minor) - limit) < 1e-9);
        QVERIFY(ellipse.holds(0.99 * major[0], 0.99 * major[1]));
        QVERIFY(!ellipse.holds(1.01 * minor[0], 1.01 * minor[1]));
    }

    void theSplineSmoothsAwayOnlyWhatTheErrorsExplain()
    {
        std::mt19937 random(Seed + 3);
        // Errors alone: the spline stays flat, its residuals are those of the affine fit.
        const TrueMap flat(Model::Affine, random);
        std::vector<ControlPoint> pins = observedPins(flat, 20, random);
        for (ControlPoint& pin : pins)
            pin.standardErrorEastM = pin.standardErrorNorthM = 0.03;
        const FitSettings spline{.model = Model::ThinPlateSpline, .scaleDenominator = Scale};
        FitSettings affine = spline;
        affine.model = Model::Affine;
        const Result<ControlFit> stiff = fitControl(pins, spline), plane = fitControl(pins, affine);
        QVERIFY(stiff && plane);
        QVERIFY(distance(stiff->transform.toGround({333, 222}), plane->transform.toGround({333, 222})) <
                1e-5);
        QCOMPARE(stiff->redundancy, plane->redundancy);
        QVERIFY(std::abs(stiff->covarianceAt({90, 60}).eastEast / plane->covarianceAt({90, 60}).eastEast -
                         1) < 1e-3);

        // A cockle of 0.2 m: followed until what is left agrees with the stated errors.
        for (ControlPoint& pin : pins)
            pin.ground.east += 0.2 * std::sin(pin.film.x / 80) * std::sin(pin.film.y / 60);
        const Result<ControlFit> bent = fitControl(pins, spline);
        QVERIFY(bent);
        QVERIFY(std::abs(bent->standardErrorOfUnitWeight - 1) < 1e-6);
        QVERIFY(bent->redundancy > 0 && bent->redundancy < 34);
    }
};

QTEST_GUILESS_MAIN(FitStatisticsTest)
#include "FitStatisticsTest.moc"
