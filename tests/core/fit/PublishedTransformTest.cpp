// SPDX-License-Identifier: GPL-3.0-or-later
// Plane transformations against published worked examples. Each is posed as a fit: pins computed from the
// published parameters (or the published control itself), then the published points and parameters are
// asked back.
#include "core/fit/ControlFit.h"

#include <cmath>
#include <fstream>
#include <functional>
#include <map>
#include <numbers>
#include <sstream>

#include <QTest>
#include <nlohmann/json.hpp>

#include "core/fit/LinearFit.h"
#include "core/fit/PlaneEquations.h"

using namespace inkpeg;

namespace {

using Row = std::vector<std::string>;

std::vector<Row> rowsOf(const std::string& name)
{
    std::ifstream file(INKPEG_PUBLISHED_DIR "/" + name);
    std::vector<Row> rows;
    for (std::string line; std::getline(file, line);) {
        Row row;
        std::stringstream cells(line);
        for (std::string cell; std::getline(cells, cell, ',');)
            row.push_back(cell);
        rows.push_back(row);
    }
    rows.erase(rows.begin());
    return rows;
}

/// IOGP Guidance Note 7-2 examples, as the EPSG Dataset's method records print them.
std::map<std::string, double> epsg(const std::string& method)
{
    std::map<std::string, double> items;
    for (const Row& row : rowsOf("epsg_plane_transformations.csv"))
        if (row[0] == method)
            items[row[1]] = std::stod(row[2]);
    return items;
}

/// The examples' source coordinates stand where film millimetres do; unit weights.
constexpr FitSettings plain(Model model)
{
    return {.model = model, .scaleDenominator = 1000, .pinPointingMm = 0};
}

ControlPoint pin(double x, double y, GroundM ground)
{
    return {
        .peg = "p", .film = {x, y}, .ground = ground, .standardErrorEastM = 1, .standardErrorNorthM = 1};
}

ControlFit fitThrough(Model model, FilmMm around, double reach, const std::function<GroundM(FilmMm)>& truth)
{
    std::vector<ControlPoint> pins;
    for (const double x : {-1.0, 1.0})
        for (const double y : {-1.0, 1.0}) {
            const FilmMm film{around.x + x * reach, around.y + y * reach * 0.8};
            pins.push_back(pin(film.x, film.y, truth(film)));
        }
    return fitControl(pins, plain(model)).value();
}

bool near(double got, double published, double tolerance)
{
    if (std::abs(got - published) <= tolerance)
        return true;
    qWarning("got %.12g, published %.12g", got, published);
    return false;
}

} // namespace

class PublishedTransformTest final : public QObject {
    Q_OBJECT

private slots:
    void affineParametricTransformation9624()
    {
        auto p = epsg("9624");
        const ControlFit fit = fitThrough(Model::Affine, {553900, 482500}, 10000, [&](FilmMm s) {
            return GroundM{p["A0"] + p["A1"] * s.x + p["A2"] * s.y,
                           p["B0"] + p["B1"] * s.x + p["B2"] * s.y};
        });
        const GroundM there = fit.transform.toGround({p["XS"], p["YS"]});
        QVERIFY(near(there.east, p["XT"], 0.001)); // printed to the millimetre
        QVERIFY(near(there.north, p["YT"], 0.001));
        const FilmMm back = fit.transform.toFilm({p["XT"], p["YT"]}).value();
        QVERIFY(near(back.x, p["XS"], 0.004) && near(back.y, p["YS"], 0.004)); // 1 mm times 3.28
        const FilmMm origin = fit.transform.toFilm({0, 0}).value();
        const FilmMm east = fit.transform.toFilm({1e5, 0}).value();
        QVERIFY(near(origin.x, p["A0_reverse"], 0.001) && near(origin.y, p["B0_reverse"], 0.001));
        QVERIFY(near((east.x - origin.x) / 1e5, p["A1_reverse"], 1e-9));
        QVERIFY(near((east.y - origin.y) / 1e5, p["B1_reverse"], 1e-9));
        const GroundJacobian slope = fit.transform.jacobian({0, 0});
        QVERIFY(near(slope.eastByX * slope.northByY - slope.eastByY * slope.northByX, p["D"], 1e-9));
    }

    void similarityTransformation9621()
    {
        auto p = epsg("9621");
        const double theta = p["theta_arcsec"] / 3600 * std::numbers::pi / 180;
        const double c = p["M"] * std::cos(theta), s = p["M"] * std::sin(theta);
        const ControlFit fit = fitThrough(Model::Similarity, {300000, 4500000}, 50000, [&](FilmMm f) {
            return GroundM{p["XT0"] + f.x * c + f.y * s, p["YT0"] - f.x * s + f.y * c};
        });
        const GroundM there = fit.transform.toGround({p["XS"], p["YS"]});
        QVERIFY(near(there.east, p["XT"],
                     0.002)); // the example prints M rounded: 1.4 mm at a northing of 4.5e6
        QVERIFY(near(there.north, p["YT"], 0.002));
        const FilmMm back = fit.transform.toFilm({p["XT"], p["YT"]}).value();
        QVERIFY(near(back.x, p["XS_reverse"], 0.002) && near(back.y, p["YS_reverse"], 0.002));
        QVERIFY(near(fit.transform.toFilm({0, 0}).value().x, p["XT0_reverse"], 0.0005));
        QVERIFY(near(fit.transform.toFilm({0, 0}).value().y, p["YT0_reverse"], 0.0005));
    }

    void binGrids9666And1049()
    {
        for (const auto& [method, hand] : {std::pair{"9666", 1.0}, std::pair{"1049", -1.0}}) {
            auto p = epsg(method);
            const double bearing = p["bearing_J_deg"] * std::numbers::pi / 180;
            const double wide = p["k"] * p["width_I"] / p["inc_I"],
                         high = p["k"] * p["width_J"] / p["inc_J"];
            const ControlFit fit =
                fitThrough(Model::Affine, {p["I0"], p["J0"]}, 400, [&, side = hand](FilmMm f) {
                    const double i = (f.x - p["I0"]) * wide, j = (f.y - p["J0"]) * high;
                    return GroundM{p["E0"] + side * i * std::cos(bearing) + j * std::sin(bearing),
                                   p["N0"] - side * i * std::sin(bearing) + j * std::cos(bearing)};
                });
            const GroundM there = fit.transform.toGround({p["I"], p["J"]});
            QVERIFY(near(there.east, p["E"], 0.01) &&
                    near(there.north, p["N"], 0.01)); // printed to the centimetre
        }
    }

    /// IOGP Geospatial Integrity of Geoscience Software, test 5209: pairs of points, fitted freely.
    void binGridPairsOfGigs5209()
    {
        std::vector<ControlPoint> pins;
        for (const Row& row : rowsOf("gigs_5209_bin_grid_affine.csv"))
            pins.push_back(
                pin(std::stod(row[1]), std::stod(row[2]), {std::stod(row[3]), std::stod(row[4])}));
        QCOMPARE(pins.size(), std::size_t(8));
        const Result<ControlFit> fit = fitControl(pins, plain(Model::Affine));
        QVERIFY(fit);
        for (const PinResidual& residual : fit->residuals)
            QVERIFY(residual.lengthM() < 0.01); // bins are printed to 0.001, that is up to 12 mm / 2
        const GroundJacobian slope = fit->transform.jacobian({4000, 10000});
        QVERIFY(near(slope.eastByX, 12.5 * std::cos(20 * std::numbers::pi / 180), 2e-6));
        QVERIFY(near(slope.northByY, 6.25 * std::cos(20 * std::numbers::pi / 180), 2e-6));
    }

    /// Ghilani, Adjustment Computations, ch. 18, two-dimensional conformal transformation.
    void conformalTextbookExample()
    {
        std::ifstream file(INKPEG_PUBLISHED_DIR "/conformal_2d_textbook.json");
        const nlohmann::json book = nlohmann::json::parse(file);
        const auto& wanted = book.at("recomputed_exact");
        const auto number = [](const nlohmann::json& text) { return std::stod(text.get<std::string>()); };
        std::vector<ControlPoint> pins;
        for (const auto& c : book.at("control")) {
            pins.push_back(pin(c.at("x"), c.at("y"), {c.at("X"), c.at("Y")}));
            pins.back().peg = c.at("id");
        }
        const Result<ControlFit> fit = fitControl(pins, plain(Model::Similarity));
        QVERIFY(fit);
        const GroundJacobian slope = fit->transform.jacobian({0, 0});
        const GroundM origin = fit->transform.toGround({0, 0});
        const auto& printed = book.at("published_from_memory");
        QVERIFY(near(slope.eastByX, printed.at("a"), 5e-6) && near(slope.northByX, printed.at("b"), 5e-6));
        QVERIFY(near(origin.east, printed.at("Tx"), 6e-4) && near(origin.north, printed.at("Ty"), 6e-4));
        QVERIFY(near(slope.eastByX, number(wanted.at("a")), 1e-9));
        QVERIFY(near(slope.northByX, number(wanted.at("b")), 1e-9));
        QCOMPARE(fit->redundancy, 2);
        const double s0 = fit->standardErrorOfUnitWeight;
        QVERIFY(near(s0, number(wanted.at("s0")), 1e-7));
        const PlaneNormal& normal = fit->plane->normal();
        const double perUnit = normal.groundScale / normal.filmScale;
        QVERIFY(near(s0 * std::sqrt(fit->covariance(0, 0)) * perUnit, number(wanted.at("sd_a")), 1e-8));
        QVERIFY(near(s0 * std::sqrt(fit->covarianceAt({0, 0}).eastEast), number(wanted.at("sd_Tx")), 1e-6));
        for (const PinResidual& residual : fit->residuals) {
            const auto& v = wanted.at("residuals").at(residual.peg);
            QVERIFY(near(residual.eastM, number(v.at(0)), 2e-6) &&
                    near(residual.northM, number(v.at(1)), 2e-6));
        }
        for (const auto& point : wanted.at("transformed")) {
            const GroundM there = fit->transform.toGround({point.at("x"), point.at("y")});
            QVERIFY(near(there.east, number(point.at("X")), 1e-4) &&
                    near(there.north, number(point.at("Y")), 1e-4));
        }
    }

    /// EPSG method 9651, transformation 15753: degree 4, one above the highest model of this program, so it
    /// goes through the solver alone: coefficients from values, value at the published point.
    void reversiblePolynomial9651()
    {
        std::ifstream file(INKPEG_PUBLISHED_DIR "/epsg_polynomial_9651.json");
        const nlohmann::json record = nlohmann::json::parse(file);
        const auto terms = [](double u, double v) {
            Eigen::RowVectorXd row(15);
            Eigen::Index k = 0;
            for (int degree = 0; degree <= 4; ++degree)
                for (int j = 0; j <= degree; ++j)
                    row[k++] = std::pow(u, degree - j) * std::pow(v, j);
            return row;
        };
        const double u = std::stod(record.at("forward").at("lat_in").get<std::string>()) - 55;
        const double v = std::stod(record.at("forward").at("lon_in").get<std::string>());
        for (const auto& [letter, result] : {std::pair{"A", "dX_deg"}, std::pair{"B", "dY_deg"}}) {
            Eigen::MatrixXd design(49, 15);
            Eigen::VectorXd values = Eigen::VectorXd::Zero(49);
            for (int i = 0; i < 49; ++i) {
                const double x = -3 + i % 7, y = -3 + i / 7;
                design.row(i) = terms(x, y);
                for (int degree = 0; degree <= 4; ++degree)
                    for (int j = 0; j <= degree; ++j) {
                        const std::string name = "u" + std::to_string(degree - j) + "v" + std::to_string(j);
                        values[i] += std::stod(record.at(letter).at(name).get<std::string>()) *
                                     std::pow(x, degree - j) * std::pow(y, j);
                    }
            }
            const Result<LinearFit> fit = fitLinear(design, values, Eigen::VectorXd::Ones(49));
            QVERIFY(fit);
            const double published = std::stod(record.at("forward").at(result).get<std::string>());
            QVERIFY(near(terms(u, v).dot(fit->coefficients), published, 1e-11)); // printed to 1e-11 degree
        }
    }
};

QTEST_GUILESS_MAIN(PublishedTransformTest)
#include "PublishedTransformTest.moc"
