// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/survey/LevelBook.h"

#include <cmath>
#include <fstream>
#include <iterator>
#include <numeric>
#include <random>

#include <QTest>

#include "core/base/Csv.h"
#include "core/base/Text.h"

using namespace inkpeg;

namespace {

std::string contentOf(const std::string& path)
{
    std::ifstream file(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(file), {}};
}

TenthMm tenthsOf(const std::string& text)
{
    return std::llround(parseNumber(text).value() * 10'000.0);
}

LevelRow backsight(const std::string& point, double m, std::optional<double> benchmarkM = {})
{
    return {.point = point, .backsightM = m, .benchmarkM = benchmarkM};
}
LevelRow intermediate(const std::string& point, double m)
{
    return {.point = point, .intermediateM = m};
}
LevelRow turn(const std::string& point, double foreM, double backM)
{
    return {.point = point, .backsightM = backM, .foresightM = foreM};
}
LevelRow foresight(const std::string& point, double m, std::optional<double> benchmarkM = {})
{
    return {.point = point, .foresightM = m, .benchmarkM = benchmarkM};
}

/// A closed loop over random ground, every reading disturbed by up to `slipTenths`.
std::vector<LevelRow> randomLoop(std::mt19937& random, int setUps, int slipTenths)
{
    std::uniform_int_distribution<int> reading(2'000, 30'000);
    std::uniform_int_distribution<int> slip(-slipTenths, slipTenths);
    std::vector<LevelRow> rows;
    long long levelOfStaff = 0; // of the change point, above the first
    double back = reading(random) / 1e4;
    rows.push_back(backsight("BM", back, 41.237));
    for (int s = 1; s <= setUps; ++s) {
        rows.push_back(intermediate("P" + std::to_string(s), reading(random) / 1e4));
        const long long collimation = levelOfStaff + std::llround(back * 1e4);
        const int wished = s == setUps ? static_cast<int>(collimation) : reading(random);
        levelOfStaff = collimation - wished;
        const double fore = (wished + slip(random)) / 1e4;
        back = reading(random) / 1e4;
        rows.push_back(s == setUps ? foresight("BM", fore) : turn("C" + std::to_string(s), fore, back));
    }
    return rows;
}

} // namespace

class LevelBookTest final : public QObject {
    Q_OBJECT

private slots:
    // tests/published/README.md: Punmia, Surveying vol. I (levelling chapter); R. Rode, Collimation method
    // to reduce a levelling field book page; dreamcivil.com, Rise and Fall Method, question 1; ques10.com,
    // question 29304.
    void publishedBookingsAreReproducedBothWays_data()
    {
        QTest::addColumn<QString>("file");
        QTest::addColumn<QString>("datum");   // the point whose level is given
        QTest::addColumn<QString>("closing"); // second bench mark, or nothing
        QTest::addColumn<double>("closingM");
        QTest::newRow("textbook") << "levelling_textbook.csv"
                                  << "BM"
                                  << "" << 0.0;
        QTest::newRow("rise and fall") << "levelling_rise_fall.csv"
                                       << "1"
                                       << "" << 0.0;
        QTest::newRow("bench mark in mid-run, inverted staff") << "levelling_inverted_staff.csv"
                                                               << "10 BM"
                                                               << "" << 0.0;
        QTest::newRow("misclosure") << "levelling_misclosure.csv"
                                    << "BM1"
                                    << "BM2" << 105.263;
    }
    void publishedBookingsAreReproducedBothWays()
    {
        QFETCH(QString, file);
        QFETCH(QString, datum);
        QFETCH(QString, closing);
        QFETCH(double, closingM);
        const std::string text = contentOf(INKPEG_PUBLISHED_DIR "/" + file.toStdString());
        const auto published = readCsv(text, file.toStdString());
        auto rows = readLevelBook(text, file.toStdString());
        QVERIFY2(rows, rows ? "" : rows.error().message.c_str());
        for (LevelRow& row : *rows) {
            if (row.point == datum.toStdString())
                row.benchmarkM = row.bookedM;
            if (row.point == closing.toStdString())
                row.benchmarkM = closingM;
            row.bookedM.reset(); // the result must not lean on it
        }
        const auto book = reduceLevelBook(*rows, {.toleranceK = 20});
        QVERIFY2(book, book ? "" : book.error().message.c_str());
        QVERIFY(book->check.holds());
        QCOMPARE(book->rows.size(), published->rows.size());
        for (std::size_t i = 0; i < book->rows.size(); ++i)
            comparePublishedRow(*published, published->rows[i], book->rows[i]);
        QVERIFY(book->conflicts.empty());
    }

    void publishedMisclosureIsSevenMillimetresASetUp()
    {
        auto rows = readLevelBook(contentOf(INKPEG_PUBLISHED_DIR "/levelling_misclosure.csv"), "book");
        rows->front().benchmarkM = 106.366;
        rows->back().benchmarkM = 105.263;
        const auto book = reduceLevelBook(*rows, {.toleranceK = 5});
        QVERIFY(book);
        QCOMPARE(book->legs.size(), std::size_t(1));
        QCOMPARE(book->legs[0].misclosure, TenthMm(-420));
        QCOMPARE(book->legs[0].corrections, std::vector<TenthMm>(6, 70));
        QCOMPARE(book->check.backsights, TenthMm(107'430));
        QCOMPARE(book->check.foresights, TenthMm(118'880));
        // 42 mm against 5 * sqrt(6) = 12.2 mm: named, with both figures.
        QVERIFY(!book->withinTolerance());
        QVERIFY(book->conflicts.front().message.find("12.2 mm for 6 set-ups") != std::string::npos);
    }

    void slipsOfTheSiteBookAreNamed()
    {
        auto rows = readLevelBook(contentOf(INKPEG_PUBLISHED_DIR "/levelling_rise_fall.csv"), "book");
        rows->front().benchmarkM = 100;
        rows->at(5).bookedM = 95.860; // 95.960 in the publication
        const auto book = reduceLevelBook(*rows);
        QVERIFY(book);
        QCOMPARE(book->conflicts.size(), std::size_t(1));
        QCOMPARE(book->conflicts[0].line, 7);
        QVERIFY(book->conflicts[0].message.find("booked as 95.860 m, the readings give 95.960 m") !=
                std::string::npos);
    }

    void correctionsOfRandomLoopsSumToZeroExactly()
    {
        constexpr unsigned Seed = 20260611;
        std::mt19937 random(Seed);
        qInfo("seed %u", Seed);
        for (int loop = 0; loop < 2'000; ++loop) {
            const int setUps = 1 + static_cast<int>(random() % 40);
            const auto book = reduceLevelBook(randomLoop(random, setUps, 60), {.longestStaffM = 1000});
            QVERIFY2(book, book ? "" : book.error().message.c_str());
            QVERIFY(book->check.holds());
            QCOMPARE(book->setUps, setUps);
            const LevelLeg& leg = book->legs.at(0);
            QCOMPARE(leg.misclosure +
                         std::accumulate(leg.corrections.begin(), leg.corrections.end(), TenthMm(0)),
                     TenthMm(0));
            QCOMPARE(book->rows.back().adjusted, TenthMm(412'370));
            for (const ReducedLevel& row : book->rows)
                QCOMPARE(row.byCollimation, row.byRiseAndFall);
            // Even: no set-up gets a tenth of a millimetre more than its share, rounded up.
            for (const TenthMm correction : leg.corrections)
                QVERIFY(std::abs(static_cast<double>(correction) +
                                 static_cast<double>(leg.misclosure) / setUps) <= 1.0);
        }
    }

    void eachLegBetweenBenchMarksClosesByItself()
    {
        std::vector<LevelRow> rows = {backsight("A", 1.5, 10.0), turn("B", 0.5, 1.2), foresight("C", 1.0)};
        rows[1].benchmarkM = 11.004; // levelled 11.000
        rows[2].benchmarkM = 11.201; // levelled 11.200, 11.204 from B
        const auto book = reduceLevelBook(rows);
        QVERIFY(book);
        QCOMPARE(book->legs.size(), std::size_t(2));
        QCOMPARE(book->legs[0].misclosure, TenthMm(-40));
        QCOMPARE(book->legs[1].misclosure, TenthMm(30));
        QCOMPARE(book->levelOfM("B").value(), 11.004);
        QCOMPARE(book->levelOfM("C").value(), 11.201);
        QVERIFY(!book->levelOfM("D"));
    }

    void benchMarkSeenInPassingIsACheck()
    {
        std::vector<LevelRow> rows = {backsight("A", 1.5, 10.0), intermediate("Q", 1.0),
                                      foresight("B", 0.7)};
        rows[1].benchmarkM = 10.510; // levelled 10.500
        const auto book = reduceLevelBook(rows);
        QVERIFY(book);
        QVERIFY(!book->closed);
        QCOMPARE(book->conflicts.size(), std::size_t(1));
        QVERIFY(book->conflicts[0].message.find("-10.0 mm apart") != std::string::npos);
    }

    void onePointWithTwoLevelsIsNamed()
    {
        const auto book =
            reduceLevelBook({backsight("A", 1.5, 10.0), intermediate("nail 3", 1.0), turn("C", 1.2, 1.4),
                             intermediate("nail 3", 1.1), foresight("D", 1.0)});
        QVERIFY(book);
        QCOMPARE(book->conflicts.size(), std::size_t(1)); // 10.500 and 10.600
        QVERIFY(book->conflicts[0].message.find("\"nail 3\"") != std::string::npos);
        QVERIFY(book->conflicts[0].message.find("100.0 mm apart") != std::string::npos);
    }

    void changePointOnTwoLinesIsOnePoint()
    {
        const auto book = reduceLevelBook(
            {backsight("A", 1.5, 10.0), foresight("C", 1.2), backsight("C", 1.4), foresight("D", 1.0)});
        QVERIFY2(book, book ? "" : book.error().message.c_str());
        QCOMPARE(book->setUps, 2);
        QCOMPARE(book->levelOfM("D").value(), 10.7);
    }

    void invertedStaffRaisesTheLevel()
    {
        const auto book =
            reduceLevelBook({backsight("A", 1.5, 10.0), foresight("soffit of the arch", -2.25)});
        QVERIFY(book);
        QCOMPARE(book->levelOfM("soffit of the arch").value(), 13.75);
    }

    void badBooksAreRefusedWithTheirPlace_data()
    {
        QTest::addColumn<QByteArray>("csv");
        QTest::addColumn<QByteArray>("says");
        const auto row = [](const char* name, const char* csv, const char* says) {
            QTest::newRow(name) << QByteArray("point,bs,is,fs,benchmark\n") + csv << QByteArray(says);
        };
        row("no bench mark", "A,1,,,\nB,,,1,\n", "no bench mark");
        row("word", "A,1,,,10\nB,,x,,\nC,,,1,\n", "line 3, is: \"x\" is no number");
        row("comma decimals", "A,\"1,5\",,,10\nC,,,1,\n", "line 2, bs: \"1,5\"");
        row("millimetres", "A,1216,,,10\nB,,,1,\n", "line 2, point \"A\": backsight 1216 is beyond 5.0 m");
        row("too fine", "A,1.21605,,,10\nB,,,1,\n", "finer than 0.1 mm");
        row("no reading", "A,1,,,10\nB,,,,\nC,,,1,\n", "line 3, point \"B\": no reading");
        row("two readings", "A,1,,,10\nB,,1,1,\nC,,,1,\n",
            "line 3, point \"B\": an intermediate sight beside");
        row("no backsight first", "A,,1,,10\nB,,,1,\n", "must begin with a backsight");
        row("no foresight last", "A,1,,,10\nB,,1,,\n", "must end with a foresight");
        row("foresight alone", "A,1,,,10\nB,,,1,\nC,,1,,\nD,,,1,\n",
            "line 3, point \"B\": a foresight and no backsight");
        row("backsight alone", "A,1,,,10\nB,1,,,\nC,,,1,\n",
            "line 3, point \"B\": a backsight and no foresight");
        row("no name", ",1,,,10\nC,,,1,\n", "without a name");
        row("one row", "A,1,,,10\n", "fewer than two rows");
        row("bench mark twice", "A,1,,,10\nB,,1,,\nA,,,1,10.1\n", "bench mark \"A\" is 10.000 m in line 2");
    }
    void badBooksAreRefusedWithTheirPlace()
    {
        QFETCH(QByteArray, csv);
        QFETCH(QByteArray, says);
        const auto rows = readLevelBook(csv.toStdString(), "levels.csv");
        const auto book = rows ? reduceLevelBook(*rows) : Result<ReducedBook>(rows.error());
        QVERIFY(!book);
        QVERIFY2(book.error().message.find(says.toStdString()) != std::string::npos,
                 book.error().message.c_str());
    }

private:
    void comparePublishedRow(const CsvTable& published, const CsvRow& row, const ReducedLevel& reduced)
    {
        const auto field = [&](const char* name) {
            const auto column = published.column(name);
            return column ? row.fields[*column] : std::string();
        };
        QCOMPARE(reduced.byCollimation, tenthsOf(field("rl")));
        QCOMPARE(reduced.byRiseAndFall, tenthsOf(field("rl")));
        if (!field("hoc").empty())
            QCOMPARE(reduced.collimation.value(), tenthsOf(field("hoc")));
        if (!field("rise").empty())
            QCOMPARE(reduced.riseFromPrevious, tenthsOf(field("rise")));
        if (!field("fall").empty())
            QCOMPARE(reduced.riseFromPrevious, -tenthsOf(field("fall")));
        if (!field("final_rl_after_equal_per_setup_correction").empty())
            QCOMPARE(reduced.adjusted, tenthsOf(field("final_rl_after_equal_per_setup_correction")));
    }
};

QTEST_GUILESS_MAIN(LevelBookTest)
#include "LevelBookTest.moc"
