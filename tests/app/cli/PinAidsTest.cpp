// SPDX-License-Identifier: GPL-3.0-or-later
// The real program pins a sheet from two crosses, names a wrong peg, puts it right, and says what is wrong
// with what it is told.
#include <cmath>
#include <fstream>

#include <QDir>
#include <QProcess>
#include <QTemporaryDir>
#include <QTest>

#include <nlohmann/json.hpp>

#include "core/store/Project.h"
#include "tests/app/cli/Program.h"
#include "tests/core/film/CrossFilm.h"
#include "tests/core/store/PinnedPlans.h"

using namespace inkpeg;
using namespace inkpeg::test;
using nlohmann::json;
using pinned::inCrs;
using pinned::pegName;

namespace {

constexpr int Columns = 5, Rows = 4;
constexpr double Dpi = 200; // at 1:50, pegs 2 m apart lie 40 mm apart on the film

/// Pegs stand just where the crosses are drawn.
GroundM sitePeg(int column, int row)
{
    return {100 + pinned::StepM * column, 200 + pinned::StepM * row};
}

} // namespace

class PinAidsTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;

    QString path(const QString& name) const { return m_folder.filePath(name); }

    static Ran pin(const QString& project, QStringList arguments)
    {
        return run(QStringList{"pin", project, "--drawing", "P-01", "--person", "MH"} + arguments);
    }

    void write(const QString& name, const QByteArray& bytes) const
    {
        QFile file(path(name));
        QDir().mkpath(QFileInfo(file).path());
        QVERIFY(file.open(QIODevice::WriteOnly));
        file.write(bytes);
    }

    /// A copy of the registered project, so that each test begins afresh.
    QString fresh(const QString& name) const
    {
        QFile::copy(path("yard.gpkg"), path(name));
        return path(name);
    }

    static std::size_t pinsOf(const QString& project)
    {
        const Result<Project> opened = Project::open(project.toStdString(), Access::Read);
        return opened ? opened->all<Pin>().size() : 0;
    }

private slots:
    void initTestCase()
    {
        CrossFilm film(200, 160, Dpi, CleanFilm, 12);
        QByteArray pegs = "name,frame,east,north,se_east,se_north\n";
        QByteArray two = "peg,column,row\n";
        for (int column = 0; column < Columns; ++column)
            for (int row = 0; row < Rows; ++row) {
                const double x = 20 + 40.0 * column, y = 140 - 40.0 * row;
                film.cross(x, y);
                GroundM at = inCrs(sitePeg(column, row));
                if (column == 3 && row == 0)
                    at.east += 10; // a slip of ten metres
                pegs += QByteArray::fromStdString(pegName(column, row)) + ",crs," +
                        QByteArray::number(at.east, 'f', 3) + "," + QByteArray::number(at.north, 'f', 3) +
                        ",0.003,0.003\n";
                if (row == 1 && (column == 1 || column == 2)) {
                    const ScanPx mark = film.toScan(x, y);
                    two += QByteArray::fromStdString(pegName(column, row)) + "," +
                           QByteArray::number(mark.column + 4, 'f', 1) + "," +
                           QByteArray::number(mark.row - 3, 'f', 1) + "\n";
                }
            }
        QDir().mkpath(path("film"));
        QVERIFY(writeFilm(path("film/F-01.tif").toStdString(), film.image()));
        write("registers/pegs.csv", pegs);
        write("registers/sheets.csv", "number,film_size,scan,dpi\nF-01,A4,film/F-01.tif,200\n");
        write("registers/drawings.csv", "number,kind,title,sheet,scale\nP-01,plan,Kiln,F-01,50\n"
                                        "P-02,plan,Kiln floor,F-01,50\n");
        write("two.csv", two);
        QCOMPARE(run({"new", path("yard.gpkg"), "--site-code", "SKR26", "--title", "Skelder Rigg", "--crs",
                      "EPSG:25832"})
                     .exitCode,
                 0);
        for (const char* name : {"pegs", "sheets", "drawings"}) {
            const Ran ran =
                run({"register", path("yard.gpkg"), path(QString("registers/%1.csv").arg(name))});
            QVERIFY2(ran.exitCode == 0, qPrintable(ran.err + ran.out));
        }
    }

    void crossesAreShownAndNothingIsStored()
    {
        const QString project = fresh("shown.gpkg");
        const Ran ran = pin(project, {"--pins", path("two.csv"), "--crosses", "show", "--json"});
        QVERIFY2(ran.exitCode == 0, qPrintable(ran.err));
        const json grid = json::parse(ran.out.toStdString());
        QCOMPARE(grid["crosses"].size(), std::size_t(Columns * Rows - 2));
        int doubtful = 0;
        for (const json& cross : grid["crosses"]) {
            doubtful += cross["doubtful"].get<bool>();
            QVERIFY(cross["standard_error_px"].get<double>() > 0);
        }
        QCOMPARE(doubtful, 1);
        QCOMPARE(pinsOf(project), std::size_t(0));
        const Ran table = pin(project, {"--pins", path("two.csv"), "--crosses", "show"});
        QVERIFY2(table.out.contains("doubtful: by its name this is 106/200"), qPrintable(table.out));
    }

    void aSheetIsPinnedFromTwoCrosses()
    {
        const QString project = fresh("sure.gpkg");
        const Ran ran =
            pin(project, {"--pins", path("two.csv"), "--centre", "--crosses", "sure", "--json"});
        QVERIFY2(ran.exitCode == 0, qPrintable(ran.err + ran.out));
        QVERIFY2(ran.err.contains("106/200 is doubtful"), qPrintable(ran.err));
        const json drawing = json::parse(ran.out.toStdString())["drawings"][0];
        QCOMPARE(drawing["pins_used"].get<int>(), Columns * Rows - 1);
        QCOMPARE(drawing["verdict"].get<std::string>(), std::string("within tolerance"));
        QCOMPARE(drawing["models"]["compared"].size(), std::size_t(6));
        QVERIFY(!drawing["models"]["reason"].get<std::string>().empty());
        QVERIFY(!drawing["models"]["compared"][1]["leave_one_out_mm"].is_null());
        QVERIFY(!drawing["models"]["compared"][1]["f_test"].is_null());
        QVERIFY(!drawing["diagnosis"]["alarm"].get<bool>());
        QVERIFY(drawing["tests"]["largest_w"].get<double>() < drawing["tests"]["limit_w"].get<double>());
        QCOMPARE(drawing["pins"][0]["placed_by"].get<std::string>(), std::string("cross"));
        QCOMPARE(drawing["pins"][2]["placed_by"].get<std::string>(), std::string("lattice"));
    }

    void aWrongPegIsNamedAndPutRight()
    {
        const QString project = fresh("all.gpkg");
        Ran ran = pin(project, {"--pins", path("two.csv"), "--centre", "--crosses", "all"});
        QCOMPARE(ran.exitCode, 1);
        QVERIFY2(ran.out.contains("--remedy 1: write east") && ran.out.contains("106/200"),
                 qPrintable(ran.out));
        QVERIFY2(ran.out.contains("advised is"), qPrintable(ran.out));
        ran = pin(project, {"--remedy", "1", "--why", "field book, page 12"});
        QVERIFY2(ran.exitCode == 0, qPrintable(ran.err + ran.out));
        QVERIFY(ran.out.contains("none of them suspect"));
        const Result<Project> opened = Project::open(project.toStdString(), Access::Read);
        QVERIFY(opened);
        const GroundM right = inCrs(sitePeg(3, 0));
        QVERIFY(distance(opened->byKey<Peg>(pegName(3, 0))->position, right) < 0.001);
        QCOMPARE(opened->journal().back().why, std::string("field book, page 12"));
        QCOMPARE(opened->journal().back().person, std::string("MH"));
    }

    void aModelIsChosenWithItsReason()
    {
        const QString project = fresh("model.gpkg");
        QCOMPARE(pin(project, {"--pins", path("two.csv"), "--centre", "--crosses", "sure"}).exitCode, 0);
        const Ran ran =
            pin(project, {"--model", "projective", "--why", "a photograph of the film", "--json"});
        QVERIFY2(ran.exitCode == 0, qPrintable(ran.err));
        const json drawing = json::parse(ran.out.toStdString())["drawings"][0];
        QCOMPARE(drawing["model"].get<std::string>(), std::string("projective"));
        QCOMPARE(drawing["model_reason"].get<std::string>(), std::string("a photograph of the film"));
        QCOMPARE(run({"report", project, "--to", path("report")}).exitCode, 0);
        QFile html(path("report/residuals.html"));
        QVERIFY(html.open(QIODevice::ReadOnly));
        QVERIFY(QString::fromUtf8(html.readAll()).contains("a photograph of the film"));
    }

    void drawingsOfOneSheetSharePins()
    {
        const QString project = fresh("share.gpkg");
        QCOMPARE(pin(project, {"--pins", path("two.csv"), "--centre", "--crosses", "sure"}).exitCode, 0);
        const Ran ran = run({"pin", project, "--drawing", "P-02", "--share", "--json"});
        QVERIFY2(ran.exitCode == 0, qPrintable(ran.err));
        const json drawing = json::parse(ran.out.toStdString())["drawings"][0];
        QCOMPARE(drawing["pins_used"].get<int>(), Columns * Rows - 1);
        QCOMPARE(pinsOf(project), std::size_t(2 * (Columns * Rows - 1)));
    }

    void badInputIsRefusedWithWords_data()
    {
        QTest::addColumn<QStringList>("arguments");
        QTest::addColumn<QStringList>("words");
        const QString two = path("two.csv");
        QTest::newRow("unknown word")
            << QStringList{"--drawing", "P-01", "--pins", two, "--crosses", "maybe"}
            << QStringList{"--crosses", "maybe", "show, sure, all"};
        QTest::newRow("no single drawing")
            << QStringList{"--all", "--crosses", "show"} << QStringList{"--crosses", "--drawing NUMBER"};
        QTest::newRow("no number") << QStringList{"--drawing", "P-01", "--pins", two, "--remedy", "first"}
                                   << QStringList{"--remedy", "first"};
        QTest::newRow("below the first")
            << QStringList{"--drawing", "P-01", "--remedy", "0"} << QStringList{"--remedy", "likeliest"};
        QTest::newRow("one pin") << QStringList{"--drawing",     "P-01",      "--pins",
                                                path("one.csv"), "--crosses", "sure"}
                                 << QStringList{"1 pin", "two neighbouring crosses"};
        QTest::newRow("no cross there")
            << QStringList{"--drawing", "P-01", "--pins", path("beside.csv"), "--crosses", "show"}
            << QStringList{"no drawn cross"};
        QTest::newRow("too few to fit")
            << QStringList{"--drawing", "P-01", "--pins", two, "--centre"} << QStringList{"P-01", "3"};
    }

    void badInputIsRefusedWithWords()
    {
        QFETCH(QStringList, arguments);
        QFETCH(QStringList, words);
        write("one.csv", "peg,column,row\n102/202,472,787\n");
        write("beside.csv", "peg,column,row\n102/202,300,300\n104/202,615,300\n");
        QFile file(path("yard.gpkg"));
        QVERIFY(file.open(QIODevice::ReadOnly));
        const QByteArray before = file.readAll();
        const Ran ran = run(QStringList{"pin", path("yard.gpkg")} + arguments);
        QVERIFY2(ran.exitCode == 2, qPrintable(QString::number(ran.exitCode) + ran.out + ran.err));
        for (const QString& word : words)
            QVERIFY2(ran.err.contains(word), qPrintable("\"" + word + "\" is not in: " + ran.err));
        file.seek(0);
        QVERIFY(file.readAll() == before);
    }

    void aRemedyThatThereIsNotIsRefused()
    {
        const QString project = fresh("none.gpkg");
        QCOMPARE(pin(project, {"--pins", path("two.csv"), "--centre", "--crosses", "sure"}).exitCode, 0);
        const Ran ran = pin(project, {"--remedy", "7"});
        QCOMPARE(ran.exitCode, 2);
        QVERIFY2(ran.err.contains("no remedy 7"), qPrintable(ran.err));
    }

    void aScanThatIsGoneIsNamed()
    {
        const QString project = fresh("gone.gpkg");
        QVERIFY(QFile::rename(path("film/F-01.tif"), path("film/away.tif")));
        const Ran ran = pin(project, {"--pins", path("two.csv"), "--crosses", "show"});
        QVERIFY(QFile::rename(path("film/away.tif"), path("film/F-01.tif")));
        QCOMPARE(ran.exitCode, 2);
        QVERIFY2(ran.err.contains("F-01.tif"), qPrintable(ran.err));
    }
};

QTEST_MAIN(PinAidsTest)
#include "PinAidsTest.moc"
