// SPDX-License-Identifier: GPL-3.0-or-later
// Certified values: NIST/ITL Statistical Reference Datasets (StRD), linear least squares regression.
#include "core/fit/LinearFit.h"

#include <cmath>
#include <fstream>

#include <QTest>
#include <nlohmann/json.hpp>

using namespace inkpeg;

namespace {

nlohmann::json published(const std::string& name)
{
    std::ifstream file(INKPEG_PUBLISHED_DIR "/nist_" + name + ".json");
    return nlohmann::json::parse(file);
}

double number(const nlohmann::json& text)
{
    return std::stod(text.get<std::string>());
}

/// Digits in agreement: -log10 of the relative error, as NIST defines it; 15 at most.
double digits(double got, double certified)
{
    if (got == certified)
        return 15;
    const double error = certified != 0 ? std::abs((got - certified) / certified) : std::abs(got);
    return std::min(15.0, -std::log10(error));
}

struct Agreement {
    double coefficients = 15;
    double standardErrors = 15;
    double residualStandardDeviation = 15;
};

Agreement agreement(const std::string& name)
{
    const nlohmann::json set = published(name);
    const auto m = static_cast<Eigen::Index>(set.at("rows").size());
    const auto columns = static_cast<Eigen::Index>(set.at("columns").size()) - 1;
    Eigen::VectorXd y(m);
    Eigen::MatrixXd x(m, columns);
    for (Eigen::Index i = 0; i < m; ++i) {
        const auto& row = set.at("rows").at(static_cast<std::size_t>(i));
        y[i] = number(row.at(0));
        for (Eigen::Index k = 0; k < columns; ++k)
            x(i, k) = number(row.at(static_cast<std::size_t>(k + 1)));
    }
    const auto& certified = set.at("certified").at("coefficients");
    const int degree = static_cast<int>(certified.size()) - 1;
    const std::span<const double> abscissa(x.data(), static_cast<std::size_t>(m));
    const std::span<const double> ordinate(y.data(), static_cast<std::size_t>(m));
    const bool throughOrigin = certified.at(0).at("name") == "B1";
    const Result<Regression> fit = throughOrigin || columns > 1 ? fitRegression(x, y, !throughOrigin)
                                                                : fitPolynomial(abscissa, ordinate, degree);
    if (!fit)
        return {0, 0, 0};
    Agreement agreed;
    for (std::size_t k = 0; k < certified.size(); ++k) {
        const auto i = static_cast<Eigen::Index>(k);
        agreed.coefficients = std::min(
            agreed.coefficients, digits(fit->coefficients[i], number(certified.at(k).at("estimate"))));
        const double standardError = number(certified.at(k).at("standard_deviation"));
        if (standardError > 0) // exact data: certified as 0, where only an absolute bound means anything
            agreed.standardErrors =
                std::min(agreed.standardErrors, digits(fit->standardErrors[i], standardError));
    }
    agreed.residualStandardDeviation = digits(
        fit->residualStandardDeviation, number(set.at("certified").at("residual_standard_deviation")));
    return agreed;
}

} // namespace

class LinearFitTest final : public QObject {
    Q_OBJECT

private slots:
    void certifiedSetsAreMet_data()
    {
        QTest::addColumn<double>("coefficientDigits");
        QTest::addColumn<double>("spreadDigits");
        // What double precision can give falls with the conditioning of a set; measured digits stand in
        // docs/maths.md.
        QTest::newRow("norris") << 12.0 << 12.0;
        QTest::newRow("pontius") << 12.0 << 12.0;
        QTest::newRow("longley") << 12.0 << 12.0;
        QTest::newRow("noint1") << 12.0 << 12.0;
        QTest::newRow("noint2") << 12.0 << 12.0;
        QTest::newRow("wampler1") << 12.0 << 9.0; // exact data: spread is certified as 0
        QTest::newRow("wampler2") << 12.0 << 9.0;
        QTest::newRow("wampler3") << 12.0 << 12.0;
        QTest::newRow("wampler4") << 12.0 << 12.0;
        QTest::newRow("wampler5") << 12.0 << 12.0;
        QTest::newRow("filip") << 11.0 << 11.0;
    }
    void certifiedSetsAreMet()
    {
        QFETCH(double, coefficientDigits);
        QFETCH(double, spreadDigits);
        const Agreement agreed = agreement(QTest::currentDataTag());
        qInfo("%s: %.1f digits of the coefficients, %.1f of their standard errors, %.1f of the residual "
              "standard "
              "deviation",
              QTest::currentDataTag(), agreed.coefficients, agreed.standardErrors,
              agreed.residualStandardDeviation);
        QVERIFY(agreed.coefficients >= coefficientDigits);
        QVERIFY(agreed.standardErrors >= spreadDigits);
        QVERIFY(agreed.residualStandardDeviation >= spreadDigits);
    }

    void weightsCountAsRepeatedObservations()
    {
        // An observation of half the standard error counts as four of the whole.
        Eigen::MatrixXd once(3, 2), repeated(6, 2);
        once << 1, 0, 1, 1, 1, 2;
        repeated << 1, 0, 1, 1, 1, 2, 1, 2, 1, 2, 1, 2;
        const Eigen::Vector3d observed(1, 4, 5);
        Eigen::VectorXd observedRepeated(6);
        observedRepeated << 1, 4, 5, 5, 5, 5;
        const Result<LinearFit> weighted = fitLinear(once, observed, Eigen::Vector3d(1, 1, 0.5));
        const Result<LinearFit> counted = fitLinear(repeated, observedRepeated, Eigen::VectorXd::Ones(6));
        QVERIFY(weighted && counted);
        QVERIFY((weighted->coefficients - counted->coefficients).norm() < 1e-14);
        QVERIFY((weighted->cofactor - counted->cofactor).norm() < 1e-14);
    }

    void dependentColumnsAreRefused()
    {
        Eigen::MatrixXd design(4, 2);
        design << 1, 2, 2, 4, 3, 6, 4, 8;
        const Result<LinearFit> fit =
            fitLinear(design, Eigen::Vector4d(1, 2, 3, 4), Eigen::Vector4d::Ones());
        QVERIFY(!fit);
        QCOMPARE(fit.error().code, ErrorCode::Unsolvable);
        QVERIFY(!fitPolynomial(std::vector<double>{1, 1, 2}, std::vector<double>{1, 2, 3}, 2));
    }
};

QTEST_GUILESS_MAIN(LinearFitTest)
#include "LinearFitTest.moc"
