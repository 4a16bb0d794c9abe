// SPDX-License-Identifier: GPL-3.0-or-later
// Runs the real program: the whole job on a small project, and what it says to bad input.
#include <cmath>
#include <fstream>

#include <QDir>
#include <QImage>
#include <QPainter>
#include <QProcess>
#include <QTemporaryDir>
#include <QTest>

#include <nlohmann/json.hpp>

#include "core/base/Digest.h"
#include "core/store/Project.h"
#include "tests/app/cli/Program.h"

using nlohmann::json;

namespace {

constexpr int WidthPx = 1600, HeightPx = 1200;
constexpr double Dpi = 200; // 0.127 mm on the film, 2.54 mm on the ground at 1:20

/// Where the film truly lies: 1:20, turned by 0.1.
std::pair<double, double> truth(double column, double row)
{
    const double x = column * 25.4 / Dpi * 0.02, y = (HeightPx - row) * 25.4 / Dpi * 0.02;
    return {553'100 + x * std::cos(0.1) - y * std::sin(0.1),
            6'203'000 + x * std::sin(0.1) + y * std::cos(0.1)};
}

} // namespace

class CommandLineTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;

    QString path(const QString& name) const { return m_folder.filePath(name); }
    QString project() const { return path("yard.gpkg"); }

    void write(const QString& name, const QByteArray& bytes) const
    {
        QFile file(path(name));
        QDir().mkpath(QFileInfo(file).path());
        QVERIFY(file.open(QIODevice::WriteOnly));
        file.write(bytes);
    }

    QByteArray projectBytes() const
    {
        QFile file(project());
        return file.open(QIODevice::ReadOnly) ? file.readAll() : QByteArray();
    }

    /// The call must end with exit code 2 and a message that holds each of `words`; the project must stay
    /// as it was.
    void mustBeRefused(const QStringList& arguments, const QStringList& words) const
    {
        const QByteArray before = projectBytes();
        const Ran ran = run(arguments);
        QVERIFY2(ran.exitCode == 2, qPrintable(QString::number(ran.exitCode) + ran.out + ran.err));
        QVERIFY2(ran.out.isEmpty(), qPrintable(ran.out));
        for (const QString& word : words)
            QVERIFY2(ran.err.contains(word), qPrintable("\"" + word + "\" is not in: " + ran.err));
        QVERIFY2(projectBytes() == before, "the project's bytes have changed");
    }

    QByteArray pinsCsv(double slipPx = 0) const
    {
        QByteArray csv = "drawing,peg,column,row,use\n";
        int number = 1;
        for (const auto& [column, row] :
             {std::pair{100.0, 100.0}, {1500.0, 110.0}, {1490.0, 1100.0}, {90.0, 1090.0}, {800.0, 600.0}})
            csv += "P-01,A" + QByteArray::number(number) + "," +
                   QByteArray::number(column + (number == 3 ? slipPx : 0)) + "," + QByteArray::number(row) +
                   ",fit\n",
                ++number;
        return csv;
    }

private slots:
    void initTestCase()
    {
        QImage film(WidthPx, HeightPx, QImage::Format_Grayscale8);
        film.fill(245);
        QPainter painter(&film);
        painter.setPen(QPen(Qt::black, 3));
        painter.drawEllipse(QPoint(700, 500), 200, 150);
        painter.end();
        film.setDotsPerMeterX(static_cast<int>(std::lround(Dpi / 0.0254)));
        film.setDotsPerMeterY(static_cast<int>(std::lround(Dpi / 0.0254)));
        QDir().mkpath(path("film"));
        QVERIFY(film.save(path("film/F-01.png")));
        QByteArray pegs = "name,frame,east,north,level\n";
        int number = 1;
        for (const auto& [column, row] :
             {std::pair{100.0, 100.0}, {1500.0, 110.0}, {1490.0, 1100.0}, {90.0, 1090.0}, {800.0, 600.0}}) {
            const auto [east, north] = truth(column, row);
            pegs += "A" + QByteArray::number(number++) + ",crs," + QByteArray::number(east, 'f', 4) + "," +
                    QByteArray::number(north, 'f', 4) + ",51.2\n";
        }
        write("registers/pegs.csv", pegs);
        write("registers/trenches.csv", "name,kind\n1,trench\n");
        write("registers/sheets.csv", "number,film_size,scan\nF-01,A4,film/F-01.png\n");
        write("registers/drawings.csv", "number,kind,title,trench,sheet,scale\nP-01,plan,Kiln,1,F-01,20\n");
        write("registers/contexts.csv",
              "number,kind,trench,description\n1001,cut,1,Kiln pit\n1002,fill,1,\"Ash, charcoal\"\n");
        write("registers/pins.csv", pinsCsv());
    }

    void theWholeJobRuns()
    {
        Ran ran = run(
            {"new", project(), "--site-code", "SKR26", "--title", "Skelder Rigg", "--crs", "EPSG:25832"});
        QVERIFY2(ran.exitCode == 0, qPrintable(ran.err));
        for (const char* name : {"trenches", "pegs", "sheets", "drawings", "contexts"}) {
            ran = run({"register", project(), path(QString("registers/%1.csv").arg(name)), "--json"});
            QVERIFY2(ran.exitCode == 0, qPrintable(ran.err + ran.out));
            const json report = json::parse(ran.out.toStdString());
            QVERIFY(report[0]["added"].get<int>() >= 1);
            QVERIFY(report[0]["applied"].get<bool>());
        }
        ran = run({"pin", project(), "--drawing", "P-01", "--pins", path("registers/pins.csv"), "--person",
                   "MH"});
        QVERIFY2(ran.exitCode == 0, qPrintable(ran.err + ran.out));
        QVERIFY2(ran.out.contains("within tolerance"), qPrintable(ran.out));
        ran = run({"lay", project(), "--drawing", "P-01", "--to", path("laid"), "--json"});
        QVERIFY2(ran.exitCode == 0, qPrintable(ran.err));
        QVERIFY(QFile::exists(path("laid/P-01.tif")));
        ran = run({"report", project(), "--to", path("reports")});
        QVERIFY2(ran.exitCode == 0, qPrintable(ran.err));
        QVERIFY(QFile(path("reports/residuals.pdf")).size() > 5'000);
        ran = run({"hand-over", project(), "--to", path("out"), "--json"});
        QVERIFY2(ran.exitCode == 0, qPrintable(ran.err));
        const json report = json::parse(ran.out.toStdString());
        QCOMPARE(report["layers"]["contexts"].get<int>(), 2);
        QVERIFY(QFile::exists(path("out/geodata.gpkg")));
        ran = run({"check", project(), "--json"});
        QCOMPARE(ran.exitCode, 1); // nothing has been drawn yet
        QVERIFY(json::parse(ran.out.toStdString())["open"].size() > 0);
    }

    void anAlteredBagIsAFault()
    {
        // rights and depositor are asked for once, and kept
        const Ran bare = run({"hand-over", project(), "--to", path("bag"), "--bag"});
        QVERIFY2(bare.exitCode == 2 && bare.err.contains("the rights") == false, qPrintable(bare.err));
        QVERIFY2(bare.err.contains("rights and its depositor"), qPrintable(bare.err));
        const Ran made = run({"hand-over", project(), "--to", path("bag"), "--bag", "--rights", "CC BY 4.0",
                              "--depositor", "Skelder Rigg Project"});
        QVERIFY2(made.exitCode == 0, qPrintable(made.err));
        QCOMPARE(run({"hand-over", project(), "--to", path("bag"), "--bag", "--replace"}).exitCode, 0);
        const Ran held = run({"verify", path("bag"), "--project", project(), "--json"});
        QVERIFY2(held.exitCode == 0, qPrintable(held.err + held.out));
        QVERIFY(json::parse(held.out.toStdString())["records"].get<int>() > 5);
        QVERIFY(QFile::exists(path("bag/data/reports/project-report.pdf")));
        QVERIFY(QFile::exists(path("bag/data/reports/residuals.pdf")));
        QVERIFY(QFile::exists(path("bag/data/scans/F-01.png")));
        const Ran sound = run({"verify", path("bag")});
        QVERIFY2(sound.exitCode == 0 && sound.out.contains("sound"), qPrintable(sound.err));
        write("bag/data/README.txt", "altered");
        const Ran altered = run({"verify", path("bag")});
        QVERIFY2(altered.exitCode == 1 && altered.err.contains("README.txt"), qPrintable(altered.err));
        QCOMPARE(run({"verify", path("film")}).exitCode, 2);
    }

    void theJournalSaysWhoPinned()
    {
        const Ran ran = run({"pin", project(), "--drawing", "P-01", "--json"});
        const json report = json::parse(ran.out.toStdString());
        QVERIFY(report["drawings"][0]["pinned_by"] == "MH");
        QVERIFY(report["drawings"][0]["rmse_mm"].get<double>() < 0.01); // pegs are given to 0.1 mm
    }

    void pinsOutOfToleranceAreAFault()
    {
        QFile::copy(project(), path("slip.gpkg"));
        write("slipped.csv", pinsCsv(40)); // 5 mm on the film
        const Ran ran = run({"pin", path("slip.gpkg"), "--drawing", "P-01", "--pins", path("slipped.csv")});
        QCOMPARE(ran.exitCode, 1);
        QVERIFY2(ran.out.contains("OUT") && ran.out.contains("out of tolerance"), qPrintable(ran.out));
        QCOMPARE(run({"report", path("slip.gpkg"), "--to", path("slip-report")}).exitCode, 1);
    }

    void aDryRunChangesNothing()
    {
        write("more/contexts.csv", "number,kind,trench\n1003,layer,1\n");
        const QByteArray before = projectBytes();
        const Ran ran = run({"register", project(), path("more/contexts.csv"), "--dry-run"});
        QVERIFY2(ran.exitCode == 0 && ran.out.contains("1 added"), qPrintable(ran.out + ran.err));
        QVERIFY(projectBytes() == before);
    }

    void aTruncatedTiffIsRefused()
    {
        QByteArray tiff = "II*";
        tiff.append('\0');
        tiff += QByteArray::fromHex("08000000") +
                QByteArray::fromHex("0500"); // a directory of five entries that is not there
        write("film/cut.tif", tiff);
        write("bad/sheets.csv", "number,film_size,scan\nF-09,A4," + path("film/cut.tif").toUtf8() + "\n");
        mustBeRefused({"register", project(), path("bad/sheets.csv")}, {"cut.tif"});
    }

    void aTextNamedTifIsRefused()
    {
        write("film/text.tif", "This is no picture.\n");
        write("bad/sheets.csv", "number,film_size,scan\nF-09,A4," + path("film/text.tif").toUtf8() + "\n");
        mustBeRefused({"register", project(), path("bad/sheets.csv")}, {"text.tif"});
    }

    void anEmptyCsvIsRefused()
    {
        write("bad/contexts.csv", "");
        mustBeRefused({"register", project(), path("bad/contexts.csv")}, {"contexts.csv"});
        write("bad/pins.csv", "");
        mustBeRefused({"pin", project(), "--drawing", "P-01", "--pins", path("bad/pins.csv")},
                      {"pins.csv"});
    }

    void aWrongColumnIsRefused()
    {
        write("bad/contexts.csv", "nubmer,kind\n1,cut\n");
        mustBeRefused({"register", project(), path("bad/contexts.csv")}, {"contexts.csv", "number"});
        write("bad/pins.csv", "peg,col,row\nA1,1,2\n");
        mustBeRefused({"pin", project(), "--drawing", "P-01", "--pins", path("bad/pins.csv")},
                      {"\"column\"", "col"});
    }

    void aFieldThatIsNoNumberIsNamedWithItsLine()
    {
        write("bad/pins.csv", "peg,column,row\nA1,100,100\nA2,15OO,110\n");
        mustBeRefused({"pin", project(), "--drawing", "P-01", "--pins", path("bad/pins.csv")},
                      {"line 3", "15OO"});
    }

    void aCrsThatDoesNotExistIsRefused()
    {
        mustBeRefused({"new", path("no.gpkg"), "--crs", "EPSG:999999"}, {"EPSG:999999"});
        QVERIFY(!QFile::exists(path("no.gpkg")));
    }

    void anExistingProjectIsNotOverwritten() { mustBeRefused({"new", project()}, {"exists"}); }

    void unknownVerbsAndOptionsAreRefused()
    {
        mustBeRefused({"levitate", project()}, {"levitate", "hand-over"});
        mustBeRefused({"pin", project(), "--drawnig", "P-01"}, {"--drawnig", "did you mean --drawing"});
        mustBeRefused({"hand-over", project(), "--to", path("x"), "--format", "papyrus"},
                      {"papyrus", "geopackage"});
        mustBeRefused({"pin", project(), "--drawing", "P-77"}, {"P-77"});
        mustBeRefused({"pin"}, {"PROJECT"});
        mustBeRefused({"pin", project(), "--drawing"}, {"NUMBER"});
    }

    void tooFewPinsAreRefusedAndNothingIsStored()
    {
        write("bad/pins.csv", "peg,column,row\nA1,100,100\nA2,1500,110\n");
        mustBeRefused({"pin", project(), "--drawing", "P-01", "--pins", path("bad/pins.csv")},
                      {"P-01", "A1", "3"});
    }

    void errorsAreJsonWhenAsked()
    {
        const Ran ran = run({"pin", project(), "--drawing", "P-77", "--json"});
        QCOMPARE(ran.exitCode, 2);
        QVERIFY(json::parse(ran.out.toStdString())["error"]["kind"] == "not found");
    }

    void everyListedVerbHasHelp()
    {
        const Ran usage = run({"--help"});
        QCOMPARE(usage.exitCode, 0);
        int verbs = 0;
        const QString table = usage.out.mid(usage.out.indexOf("Verbs\n") + 6);
        for (const QString& line : table.left(table.indexOf("\n\n")).split('\n')) {
            const QString verb = line.trimmed().section(' ', 0, 0);
            const Ran help = run({verb, "--help"});
            QVERIFY2(help.exitCode == 0 && help.out.contains("--json"), qPrintable(verb));
            ++verbs;
        }
        QVERIFY(verbs >= 8);
    }
};

QTEST_MAIN(CommandLineTest)
#include "CommandLineTest.moc"
