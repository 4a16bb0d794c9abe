// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/fit/CheckPoints.h"

#include <cmath>
#include <fstream>
#include <random>

#include <QTest>
#include <nlohmann/json.hpp>

using namespace inkpeg;

namespace {

/// `count` residuals whose root mean squares are exactly these, east and north.
std::vector<PinResidual> checkResiduals(int count, double rmseEastM, double rmseNorthM)
{
    std::vector<PinResidual> residuals;
    for (int i = 0; i < count; ++i) {
        PinResidual residual;
        residual.use = PinUse::Check;
        residual.eastM = i % 2 == 0 ? rmseEastM : -rmseEastM;
        residual.northM = i % 3 == 0 ? rmseNorthM : -rmseNorthM;
        residuals.push_back(residual);
    }
    return residuals;
}

} // namespace

class CheckPointsTest final : public QObject {
    Q_OBJECT

private slots:
    /// FGDC-STD-007.3-1998, appendix 3-A: both cases of the horizontal formula and the bound of the second.
    void theStandardsCasesAreMet()
    {
        std::ifstream file(INKPEG_PUBLISHED_DIR "/accuracy_standards.json");
        const nlohmann::json cases = nlohmann::json::parse(file).at("nssda_arithmetic_cases_computed_here");
        int horizontal = 0;
        for (const auto& one : cases) {
            if (!one.contains("rmse_x"))
                continue;
            ++horizontal;
            const CheckPointAccuracy accuracy =
                accuracyOfCheckPoints(checkResiduals(20, one.at("rmse_x"), one.at("rmse_y")));
            if (one.at("accuracy_r").is_null()) {
                QVERIFY(!accuracy.accuracy95M);
                QVERIFY(accuracy.statement.find("differ too much") != std::string::npos);
                continue;
            }
            const double wanted = one.at("accuracy_r");
            QVERIFY(std::abs(*accuracy.accuracy95M / wanted - 1) < 1e-4);
        }
        QCOMPARE(horizontal, 3);
        const CheckPointAccuracy even = accuracyOfCheckPoints(checkResiduals(24, 0.05, 0.05));
        QVERIFY(std::abs(*even.accuracy95M - 1.7308 * even.rmseRadialM) < 1e-4 * *even.accuracy95M);
        QVERIFY(even.enoughPoints);
        QVERIFY(even.statement.find("tested 0.122 m horizontal accuracy at 95 %") != std::string::npos);
    }

    void fewerThanTwentyPointsAreNoStatement()
    {
        const CheckPointAccuracy few = accuracyOfCheckPoints(checkResiduals(4, 0.05, 0.05));
        QVERIFY(!few.enoughPoints);
        QVERIFY(few.statement.find("asks for 20") != std::string::npos);
        QCOMPARE(accuracyOfCheckPoints({}).points, 0);
        QVERIFY(accuracyOfCheckPoints({}).statement.find("no check points") != std::string::npos);
    }

    void onlyCheckPointsCount()
    {
        std::vector<PinResidual> residuals = checkResiduals(20, 0.02, 0.02);
        PinResidual used;
        used.eastM = 5;
        residuals.push_back(used);
        used.use = PinUse::LeftOut;
        residuals.push_back(used);
        QCOMPARE(accuracyOfCheckPoints(residuals).points, 20);
        QVERIFY(accuracyOfCheckPoints(residuals).rmseEastM < 0.021);
    }

    /// The figure is to hold 95 % of normal errors, here of 20,000 (within five of their binomial
    /// deviations).
    void ninetyFivePercentOfErrorsLieWithinTheFigure()
    {
        std::mt19937 random(11);
        std::normal_distribution<double> east(0, 0.05), north(0, 0.04);
        std::vector<PinResidual> residuals(20000);
        for (PinResidual& residual : residuals) {
            residual.use = PinUse::Check;
            residual.eastM = east(random);
            residual.northM = north(random);
        }
        const double figure = *accuracyOfCheckPoints(residuals).accuracy95M;
        const auto inside = std::count_if(residuals.begin(), residuals.end(),
                                          [&](const PinResidual& r) { return r.lengthM() <= figure; });
        // The standard's own approximation for unequal errors is good to half a per cent at this ratio.
        QVERIFY(std::abs(double(inside) / 20000 - 0.95) < 5 * std::sqrt(0.95 * 0.05 / 20000) + 0.005);
    }
};

QTEST_GUILESS_MAIN(CheckPointsTest)
#include "CheckPointsTest.moc"
