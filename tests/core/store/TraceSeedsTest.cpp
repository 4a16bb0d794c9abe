// SPDX-License-Identifier: GPL-3.0-or-later
// The seed file read, and outlines traced from it on a film drawn in the test.
#include "core/store/TraceSeeds.h"

#include <fstream>

#include <QTemporaryDir>
#include <QTest>

#include "core/outline/Validity.h"
#include "tests/core/film/DrawnFilm.h"

using namespace inkpeg;
using Mm = DrawnFilm::Mm;

class TraceSeedsTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;

    Result<std::vector<SeededOutline>> read(const std::string& text) const
    {
        const std::string file = m_folder.filePath("seeds.csv").toStdString();
        std::ofstream(file, std::ios::binary) << text;
        return readTraceSeeds(file);
    }

    static Mm oval(double t)
    {
        const double a = 2 * std::numbers::pi * t;
        return {30 + 16 * std::cos(a), 25 + 11 * std::sin(a)};
    }
    static std::vector<Mm> ovalLine()
    {
        std::vector<Mm> line;
        for (int i = 0; i <= 1'000; ++i)
            line.push_back(oval(i / 1'000.0));
        return line;
    }
    static FilmInk inkOf(double first, double last)
    {
        DrawnFilm film(60, 50, 11);
        film.grid(25, 0.01);
        film.stroke(oval, first, last, 0.35, 90);
        InkMap map = InkMap::build(film.scanned(4), film.place(), DrawnFilm::Dpi).value();
        InkNetwork network = InkNetwork::of(map);
        return {std::move(map), std::move(network)};
    }
    static void liesOnTheOval(const Ring& ring)
    {
        std::vector<Mm> line;
        for (const ScanPx& vertex : ring.vertices)
            line.push_back(DrawnFilm::mm(vertex));
        line.push_back(line.front());
        for (const Misfit& misfit : {misfitOf(line, ovalLine()), misfitOf(ovalLine(), line)}) {
            QVERIFY2(misfit.meanMm <= 0.15, qPrintable(QString::number(misfit.meanMm)));
            QVERIFY2(misfit.ninetyFiveMm <= 0.35, qPrintable(QString::number(misfit.ninetyFiveMm)));
        }
        QVERIFY(checkParts(std::vector<Part>{{ring, {}}}));
    }

private slots:
    void rowsAreGatheredIntoOutlines()
    {
        const auto outlines = read("drawing,context,way,column,row,edge,wider,part\r\n"
                                   "P-01,1004,area,100,200.5,uncertain,2,\r\n"
                                   "P-01,1004,area,900,200,,,\r\n"
                                   "P-01,1006,ink,10,20,,,a\r\n"
                                   "P-01,1006,straight,30,40,beyond the sheet,,a\r\n"
                                   "P-01,1006,ink,50,60,,,b\r\n"
                                   "P-01,1006,ink,70,80,,,b\r\n"
                                   "P-02,1006,ink,70,80,,,b\r\n"
                                   "P-02,1006,ink,90,80,,,b\r\n");
        QVERIFY2(outlines, outlines ? "" : outlines.error().message.c_str());
        QCOMPARE(outlines->size(), std::size_t(5));
        QCOMPARE((*outlines)[0].seeds[0].wider, 2);
        QVERIFY((*outlines)[0].seeds[0].edge == EdgeKind::Uncertain);
        QVERIFY((*outlines)[0].seeds[0].at == (ScanPx{100, 200.5}));
        QCOMPARE((*outlines)[2].seeds.size(), std::size_t(2));
        QVERIFY((*outlines)[2].seeds[1].way == SeedWay::Straight);
        QVERIFY((*outlines)[2].seeds[1].edge == EdgeKind::BeyondTheSheet);
        QCOMPARE((*outlines)[4].drawing, std::string("P-02"));
    }

    void brokenFilesAreRefusedWithTheirPlace_data()
    {
        QTest::addColumn<QString>("text");
        QTest::addColumn<QString>("words");
        const QString head = "drawing,context,way,column,row,edge,wider\r\n";
        QTest::newRow("empty") << ""
                               << "";
        QTest::newRow("no rows") << head << "holds no seeds";
        QTest::newRow("column missing") << "drawing,context,column,row\r\nP-01,1,2,3\r\n"
                                        << "there is no column \"way\"";
        QTest::newRow("no number") << head + "P-01,1004,area,left,200,,\r\n"
                                   << "line 2: column column: \"left\"";
        QTest::newRow("not finite") << head + "P-01,1004,area,nan,200,,\r\n"
                                    << "line 2: column column";
        QTest::newRow("negative") << head + "P-01,1004,area,5,-1,,\r\n"
                                  << "line 2: column row";
        QTest::newRow("way") << head + "P-01,1004,around,5,1,,\r\n"
                             << "line 2: column way: \"around\" is none of area, ink, straight";
        QTest::newRow("edge") << head + "P-01,1004,area,5,1,faint,\r\n"
                              << "line 2: column edge";
        QTest::newRow("wider") << head + "P-01,1004,area,5,1,,-2\r\n"
                               << "line 2: column wider";
        QTest::newRow("context") << head + "P-01,,area,5,1,,\r\n"
                                 << "line 2: column context is empty";
        QTest::newRow("drawing") << head + " ,1004,area,5,1,,\r\n"
                                 << "line 2: column drawing is empty";
        QTest::newRow("too few") << head + "P-01,1004,straight,5,1,,\r\nP-01,1004,straight,9,1,,\r\n"
                                 << "line 2: context 1004 on P-01 has 2 place(s)";
        QTest::newRow("short row") << head + "P-01,1004,area\r\n"
                                   << "line 2";
        QTest::newRow("bytes") << head + QString(QChar(0)) + "P-01\r\n"
                               << "";
    }
    void brokenFilesAreRefusedWithTheirPlace()
    {
        QFETCH(QString, text);
        QFETCH(QString, words);
        const auto outlines = read(text.toStdString());
        QVERIFY(!outlines);
        QVERIFY2(outlines.error().message.find(words.toStdString()) != std::string::npos,
                 outlines.error().message.c_str());
        QVERIFY(outlines.error().message.find("seeds.csv") != std::string::npos);
    }
    void missingFileIsNotFound()
    {
        QCOMPARE(readTraceSeeds("/nowhere/seeds.csv").error().code, ErrorCode::NotFound);
    }

    void onePlaceInsideGivesTheOutline()
    {
        const auto traced = traceSeeds(inkOf(0, 1), {"P-01", "1004", {{DrawnFilm::px({27, 23})}}});
        QVERIFY2(traced, traced ? "" : traced.error().message.c_str());
        liesOnTheOval(traced->ring);
        QVERIFY(traced->gaps.empty());
    }

    void placesAlongTheEdgeAreDrawnToThePencilAndJoinedByIt()
    {
        std::vector<TraceSeed> seeds;
        for (const double t : {0.05, 0.4, 0.7}) { // a third of a millimetre beside the line
            Mm place = oval(t);
            place.x += 0.25;
            place.y -= 0.2;
            seeds.push_back({DrawnFilm::px(place), SeedWay::Ink, EdgeKind::Uncertain, 0, 2});
        }
        const auto traced = traceSeeds(inkOf(0, 1), {"P-01", "1004", seeds});
        QVERIFY2(traced, traced ? "" : traced.error().message.c_str());
        liesOnTheOval(traced->ring);
        QVERIFY(traced->inkShare > 0.9);
        for (const EdgeKind kind : traced->ring.kinds)
            QVERIFY(kind == EdgeKind::Uncertain);
    }

    void straightWaysStayStraight()
    {
        // A quarter is missing: from one end to the other the outline goes straight, beyond the sheet.
        const std::vector<TraceSeed> seeds = {
            {DrawnFilm::px(oval(0.26)), SeedWay::Ink, EdgeKind::Certain, 0, 2},
            {DrawnFilm::px(oval(0.99)), SeedWay::Straight, EdgeKind::BeyondTheSheet, 0, 3}};
        const auto traced = traceSeeds(inkOf(0.25, 1), {"P-01", "1004", seeds});
        QVERIFY2(traced, traced ? "" : traced.error().message.c_str());
        QCOMPARE(std::ranges::count(traced->ring.kinds, EdgeKind::BeyondTheSheet), 1);
        QVERIFY(traced->ring.kinds.back() == EdgeKind::BeyondTheSheet);
    }

    void openOutlineAndPlaceOutsideNameTheirLine()
    {
        const FilmInk ink = inkOf(0, 0.8);
        for (const ScanPx at : {DrawnFilm::px({27, 23}), ScanPx{9'000, 9'000}}) {
            const auto traced =
                traceSeeds(ink, {"P-01", "1004", {{at, SeedWay::Area, EdgeKind::Certain, 0, 7}}});
            QVERIFY(!traced);
            QVERIFY2(traced.error().message.starts_with("line 7: "), traced.error().message.c_str());
        }
    }
};

QTEST_GUILESS_MAIN(TraceSeedsTest)
#include "TraceSeedsTest.moc"
