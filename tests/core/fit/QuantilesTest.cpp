// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/fit/Quantiles.h"

#include <cmath>
#include <fstream>
#include <sstream>

#include <QTest>
#include <nlohmann/json.hpp>

using namespace inkpeg;

class QuantilesTest final : public QObject {
    Q_OBJECT

private slots:
    /// NIST/SEMATECH e-Handbook of Statistical Methods 1.3.6.7.2 (t), .3 (F), .4 (chi-square).
    void printedTablesAreMet()
    {
        std::ifstream file(INKPEG_PUBLISHED_DIR "/quantiles_t_chi2_f.csv");
        std::string line;
        std::getline(file, line);
        int rows = 0;
        while (std::getline(file, line)) {
            std::vector<std::string> field;
            std::stringstream cells(line);
            for (std::string cell; std::getline(cells, cell, ',');)
                field.push_back(cell);
            const double first = std::stod(field[1]);
            const double tail = std::stod(field[4]);
            const double probability = field[3] == "upper" ? 1 - tail : tail;
            const double got = field[0] == "t" ? studentQuantile(probability, first)
                               : field[0] == "chi2"
                                   ? chiSquareQuantile(probability, first)
                                   : fisherQuantile(probability, first, std::stod(field[2]));
            QVERIFY2(std::abs(got - std::stod(field[5])) <= 0.0006, line.c_str());
            QVERIFY2(std::abs(got - std::stod(field[6])) <= 1e-6 * std::max(1.0, got), line.c_str());
            ++rows;
        }
        QCOMPARE(rows, 247);
    }

    /// Baarda, A Testing Procedure for Use in Geodetic Networks, Netherlands Geodetic Commission 1968.
    void dataSnoopingValuesAreMet()
    {
        QVERIFY(std::abs(normalQuantile(1 - 0.001 / 2) - 3.29) < 0.005);
        QVERIFY(std::abs(normalQuantile(1 - 0.01 / 2) - 2.58) < 0.005);
        QVERIFY(std::abs(normalQuantile(1 - 0.05 / 2) - 1.96) < 0.005);
    }

    /// Modified Thompson tau table (Wheeler & Ganji, Introduction to Engineering Experimentation), which
    /// follows from Pope's tau with n - 1 degrees of freedom by the factor sqrt((n - 1) / n).
    void thompsonTableIsMet()
    {
        std::ifstream file(INKPEG_PUBLISHED_DIR "/outlier_tests.json");
        const nlohmann::json table = nlohmann::json::parse(file).at("thompson_table");
        QVERIFY(table.size() >= 10);
        for (const auto& row : table) {
            const int n = row.at("n");
            const double got = tauQuantile(0.05, n - 1) * std::sqrt((n - 1.0) / n);
            QVERIFY(std::abs(got - row.at("modified_thompson_tau_published").get<double>()) < 1e-4);
        }
    }

    void tailsAreTheOtherSideOfQuantiles()
    {
        QVERIFY(std::abs(chiSquareTail(chiSquareQuantile(0.95, 7), 7) - 0.05) < 1e-12);
        QVERIFY(std::abs(fisherTail(fisherQuantile(0.99, 2, 9), 2, 9) - 0.01) < 1e-12);
        QCOMPARE(chiSquareTail(0, 4), 1.0);
    }
};

QTEST_GUILESS_MAIN(QuantilesTest)
#include "QuantilesTest.moc"
