// SPDX-License-Identifier: GPL-3.0-or-later
// Runs the real program: laying a whole project, again, in part, stopped and gone on with.
#include <cmath>
#include <csignal>

#include <QDir>
#include <QFile>
#include <QImage>
#include <QPainter>
#include <QProcess>
#include <QTemporaryDir>
#include <QTest>

#include <nlohmann/json.hpp>

#include "tests/app/cli/Program.h"

using nlohmann::json;

namespace {

constexpr int WidthPx = 2400, HeightPx = 1800;
constexpr double Dpi = 300;
constexpr int Plans = 6;

json parsed(const Ran& ran)
{
    return json::parse(ran.out.toStdString());
}

} // namespace

class LayVerbTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;

    QString path(const QString& name) const { return m_folder.filePath(name); }
    QString project() const { return path("yard.gpkg"); }

    Ran lay(const QString& folder, const QStringList& more = {}) const
    {
        return run(QStringList{"lay", project(), "--all", "--to", path(folder), "--json"} + more);
    }
    void write(const QString& name, const QByteArray& bytes) const
    {
        QFile file(path(name));
        QDir().mkpath(QFileInfo(file).path());
        QVERIFY(file.open(QIODevice::WriteOnly));
        file.write(bytes);
    }
    QStringList filesIn(const QString& folder) const
    {
        return QDir(path(folder)).entryList(QDir::Files | QDir::Hidden, QDir::Name);
    }
    void drawFilm(const QString& name, int ink) const
    {
        QImage film(WidthPx, HeightPx, QImage::Format_Grayscale8);
        quint32 state = 1;
        for (int row = 0; row < HeightPx; ++row)
            for (int column = 0; column < WidthPx; ++column) {
                state = state * 1664525u + 1013904223u;
                film.scanLine(row)[column] = static_cast<uchar>(225 + (state >> 28)); // noise packs slowly
            }
        QPainter painter(&film);
        painter.setPen(QPen(QColor(ink, ink, ink), 4));
        painter.drawEllipse(QPoint(1100, 800), 300, 200);
        painter.end();
        film.setDotsPerMeterX(static_cast<int>(std::lround(Dpi / 0.0254)));
        film.setDotsPerMeterY(static_cast<int>(std::lround(Dpi / 0.0254)));
        QDir().mkpath(path("film"));
        QVERIFY(film.save(path(name)));
    }
    QByteArray pinsOf(const QString& drawing, double slipPx) const
    {
        QByteArray csv = "drawing,peg,column,row,use\n";
        int number = 1;
        for (const auto& [column, row] :
             {std::pair{150.0, 150.0}, {2250.0, 160.0}, {2240.0, 1650.0}, {140.0, 1640.0}, {1200.0, 900.0}})
            csv += drawing.toUtf8() + ",A" + QByteArray::number(number) + "," +
                   QByteArray::number(column + (number == 2 ? slipPx : 0)) + "," + QByteArray::number(row) +
                   ",fit\n",
                ++number;
        return csv;
    }
    void pin(const QString& drawing, double slipPx, int exitCode) const
    {
        write("pins.csv", pinsOf(drawing, slipPx));
        const Ran pinned = run({"pin", project(), "--drawing", drawing, "--pins", path("pins.csv")});
        QVERIFY2(pinned.exitCode == exitCode, qPrintable(pinned.err + pinned.out));
    }

private slots:
    /// Six plans on two sheets, a seventh without pins, and a section.
    void initTestCase()
    {
        drawFilm("film/F-01.png", 20);
        drawFilm("film/F-02.png", 30);
        QByteArray pegs = "name,frame,east,north,level\n", drawings = "number,kind,trench,sheet,scale\n";
        int number = 1;
        for (const auto& [column, row] : {std::pair{150.0, 150.0},
                                          {2250.0, 160.0},
                                          {2240.0, 1650.0},
                                          {140.0, 1640.0},
                                          {1200.0, 900.0}}) {
            const double x = column * 25.4 / Dpi * 0.02, y = (HeightPx - row) * 25.4 / Dpi * 0.02;
            pegs += "A" + QByteArray::number(number++) + ",crs," +
                    QByteArray::number(553'100 + x * std::cos(0.1) - y * std::sin(0.1), 'f', 4) + "," +
                    QByteArray::number(6'203'000 + x * std::sin(0.1) + y * std::cos(0.1), 'f', 4) +
                    ",51.2\n";
        }
        for (int i = 1; i <= Plans; ++i)
            drawings += "P-0" + QByteArray::number(i) + ",plan,1," + (i <= 3 ? "F-01" : "F-02") + ",20\n";
        drawings += "P-99,plan,1,F-02,20\nS-01,section,1,F-02,20\n";
        write("registers/pegs.csv", pegs);
        write("registers/trenches.csv", "name,kind\n1,trench\n");
        write("registers/sheets.csv",
              "number,film_size,scan\nF-01,A4,film/F-01.png\nF-02,A4,film/F-02.png\n");
        write("registers/drawings.csv", drawings);
        QCOMPARE(run({"new", project(), "--site-code", "SKR26", "--title", "Skelder Rigg", "--crs",
                      "EPSG:25832"})
                     .exitCode,
                 0);
        for (const char* name : {"trenches", "pegs", "sheets", "drawings"}) {
            const Ran taken = run({"register", project(), path(QString("registers/%1.csv").arg(name))});
            QVERIFY2(taken.exitCode == 0, qPrintable(taken.err));
        }
        for (int i = 1; i <= Plans; ++i)
            pin(QString("P-0%1").arg(i), 0, 0);
    }

    void everyPinnedPlanIsLaidAndTheOthersAreTold()
    {
        const Ran first = lay("laid");
        QVERIFY2(first.exitCode == 1, qPrintable(first.err)); // P-99 has no pins
        QVERIFY2(first.err.contains("P-99"), qPrintable(first.err));
        const json report = parsed(first);
        QCOMPARE(report["laid"].get<int>(), Plans);
        QCOMPARE(report["failed"].get<int>(), 1);
        QCOMPARE(report["up_to_date"].get<int>(), 0);
        QCOMPARE(report["drawings"].size(), std::size_t{Plans + 1}); // the section is none of them
        QCOMPARE(filesIn("laid"),
                 QStringList({"P-01.tif", "P-02.tif", "P-03.tif", "P-04.tif", "P-05.tif", "P-06.tif"}));
        QVERIFY(report["drawings"][0]["worst_approximation_px"].get<double>() <= 0.02);
    }

    void aLineForEachDrawing()
    {
        const Ran lines = run({"lay", project(), "--all", "--to", path("laid")});
        QCOMPARE(lines.out.count('\n'), Plans + 1);
        QVERIFY2(lines.out.contains("P-03: up to date"), qPrintable(lines.out));
        QVERIFY2(lines.out.endsWith("0 laid, 6 up to date, 1 failed\n"), qPrintable(lines.out));
    }

    void onlyWhatHasChangedIsLaidAgain()
    {
        pin("P-02", 1, 0); // within tolerance: 0.08 mm on the film
        const Ran second = lay("laid");
        QCOMPARE(parsed(second)["laid"].get<int>(), 1);
        QCOMPARE(parsed(second)["up_to_date"].get<int>(), Plans - 1);
        QCOMPARE(parsed(second)["drawings"][1]["outcome"].get<std::string>(), std::string("laid"));
        QFile::remove(path("laid/P-05.tif"));
        QCOMPARE(parsed(lay("laid"))["laid"].get<int>(), 1);
        QCOMPARE(parsed(lay("laid", {"--packing", "none"}))["laid"].get<int>(), Plans);
        QCOMPARE(parsed(lay("laid", {"--packing", "none"}))["laid"].get<int>(), 0);
        QCOMPARE(parsed(lay("laid", {"--packing", "none", "--again"}))["laid"].get<int>(), Plans);
        QCOMPARE(parsed(lay("laid", {"--packing", "none", "--world-file"}))["laid"].get<int>(), Plans);
        QFile::remove(path("laid/P-01.tfw"));
        QCOMPARE(parsed(lay("laid", {"--packing", "none", "--world-file"}))["laid"].get<int>(), 1);
    }

    void pinsThatDoNotHoldAreAFault()
    {
        pin("P-04", 30, 1); // 2.5 mm on the film
        const Ran laid = run({"lay", project(), "--drawing", "P-04", "--to", path("slip"), "--json"});
        QCOMPARE(laid.exitCode, 1);
        QVERIFY2(laid.err.contains("P-04") && laid.err.contains("do not hold"), qPrintable(laid.err));
        QVERIFY(QFile::exists(path("slip/P-04.tif")));
        pin("P-04", 0, 0);
    }

    void aScanThatIsNotTheOnePinnedIsToldAndTheOthersAreLaid()
    {
        QVERIFY(QFile::rename(path("film/F-01.png"), path("film/kept.png")));
        drawFilm("film/F-01.png", 90);
        const Ran laid = lay("changed");
        QCOMPARE(laid.exitCode, 1);
        QCOMPARE(parsed(laid)["laid"].get<int>(), 3);
        QCOMPARE(parsed(laid)["failed"].get<int>(), 4);
        QVERIFY2(laid.err.contains("F-01.png") && laid.err.contains("SHA-256"), qPrintable(laid.err));
        QFile::remove(path("film/F-01.png"));
        const Ran missing = lay("missing");
        QVERIFY2(missing.exitCode == 1 && missing.err.contains("F-01.png"), qPrintable(missing.err));
        QVERIFY(QFile::rename(path("film/kept.png"), path("film/F-01.png")));
    }

    /// Stopped as soon as the first file is begun; with one worker five more would follow.
    void stoppingLeavesNoHalfFileAndTheNextCallGoesOn_data()
    {
        QTest::addColumn<int>("signal");
        QTest::newRow("Ctrl-C") << SIGINT;
        QTest::newRow("terminated") << SIGTERM;
        QTest::newRow("killed") << SIGKILL;
    }
    void stoppingLeavesNoHalfFileAndTheNextCallGoesOn()
    {
        QFETCH(int, signal);
        const QString folder = QString("stopped-%1").arg(signal);
        QProcess process;
        start(process, {"lay", project(), "--all", "--to", path(folder), "--workers", "1", "--kernel",
                        "cubic", "--packing", "zstd", "--json"});
        QVERIFY(process.waitForStarted());
        while (filesIn(folder).isEmpty() && process.state() == QProcess::Running)
            QTest::qWait(1);
        ::kill(static_cast<pid_t>(process.processId()), signal);
        const Ran stopped = waitedFor(process);
        const QStringList left = filesIn(folder);
        if (signal == SIGKILL) {
            QCOMPARE(stopped.exitCode, -1);
        } else {
            QVERIFY2(stopped.exitCode == 1, qPrintable(stopped.err));
            QVERIFY2(stopped.err.contains("goes on from here"), qPrintable(stopped.err));
            QVERIFY(parsed(stopped)["stopped"].get<int>() >= 1);
            for (const QString& name : left)
                QVERIFY2(!name.startsWith('.'), qPrintable(name));
            QCOMPARE(left.size(), parsed(stopped)["laid"].get<int>());
        }
        QVERIFY2(left.size() < Plans, "it was stopped");
        const Ran rest = lay(folder, {"--kernel", "cubic", "--packing", "zstd"});
        QCOMPARE(parsed(rest)["laid"].get<int>() + parsed(rest)["up_to_date"].get<int>(), Plans);
        QCOMPARE(filesIn(folder).size(), Plans); // and nothing beside them
    }

    void badWordsAreRefused()
    {
        const std::pair<QStringList, QString> cases[] = {
            {{"lay", project(), "--all"}, "--to"},
            {{"lay", project(), "--to", path("x")}, "--all"},
            {{"lay", project(), "--all", "--drawing", "P-01", "--to", path("x")}, "--all"},
            {{"lay", project(), "--all", "--to", path("x"), "--workers", "0"}, "--workers"},
            {{"lay", project(), "--all", "--to", path("x"), "--workers", "two"}, "two"},
            {{"lay", project(), "--all", "--to", path("x"), "--kernel", "soft"}, "soft"},
            {{"lay", project(), "--all", "--to", path("x"), "--packing", "zip"}, "zip"},
            {{"lay", project(), "--all", "--to", path("x"), "--pixel", "-1"}, "--pixel"},
            {{"lay", project(), "--drawing", "P-77", "--to", path("x")}, "P-77"},
            {{"lay", project(), "--drawing", "S-01", "--to", path("x")}, "S-01"},
            {{"lay", project(), "--drawing", "P-99", "--to", path("x")}, "P-99"},
            {{"lay", project(), "--all", "--to", path("yard.gpkg/x")}, "yard.gpkg"},
        };
        for (const auto& [arguments, word] : cases) {
            const Ran refused = run(arguments);
            QVERIFY2(refused.exitCode == 2, qPrintable(arguments.join(' ') + ": " + refused.err));
            QVERIFY2(refused.err.contains(word), qPrintable(refused.err));
        }
    }
};

QTEST_GUILESS_MAIN(LayVerbTest)
#include "LayVerbTest.moc"
