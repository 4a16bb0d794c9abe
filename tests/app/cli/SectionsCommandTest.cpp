// SPDX-License-Identifier: GPL-3.0-or-later
// The third dimension on the command line, run as the real program on the small yard: levels, sections,
// posts; their JSON, their reports, their exit codes, and what they say to bad input.
#include <algorithm>
#include <cmath>

#include <QDir>
#include <QFile>
#include <QProcess>
#include <QTemporaryDir>
#include <QTest>

#include <nlohmann/json.hpp>

#include "tests/app/cli/Program.h"
#include "tests/core/handover/YardProject.h"

using namespace inkpeg;
using nlohmann::json;

class SectionsCommandTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;

    QString path(const char* name) const { return m_folder.filePath(name); }
    QString project() const { return path("yard.gpkg"); }

    json runJson(QStringList arguments, int exitCode)
    {
        const Ran ran = run(arguments << "--json");
        if (ran.exitCode != exitCode)
            qWarning("exit %d: %s", ran.exitCode, qPrintable(ran.err));
        return ran.exitCode == exitCode ? json::parse(ran.out.toStdString()) : json();
    }
    void refused(const QStringList& arguments, const QString& words)
    {
        const Ran ran = run(arguments);
        QCOMPARE(ran.exitCode, 2);
        QVERIFY2(ran.err.contains(words), qPrintable(ran.err));
    }
    void write(const char* name, const QByteArray& bytes)
    {
        QFile file(path(name));
        QVERIFY(file.open(QIODevice::WriteOnly));
        file.write(bytes);
    }

private slots:
    void initTestCase()
    {
        Project project = yard::make(path("yard.gpkg").toStdString());
        const Result<Change> timbers = project.act("timbers", [](Editor& edit) {
            for (int i = 0; i < 4; ++i) {
                Timber timber;
                timber.number = "T-" + std::to_string(i + 1);
                // A row to the east, one metre apart, the third 30 mm off to the north.
                timber.position = GroundM{553'120.0 + i, 6'210'340.0 + (i == 2 ? 0.03 : 0)};
                yard::put(edit, timber);
            }
            Timber lost;
            lost.number = "T-9";
            yard::put(edit, lost);
            return Result<void>();
        });
        QVERIFY(timbers);
    }

    void levelsAreTakenInReducedAndCarried()
    {
        write("levels.csv", "point,backsight,intermediate,foresight,benchmark\n"
                            "BM,1.000,,,51.000\nSF8,,0.640,,\nA1,,0.400,,\nBM,,,1.003,51.000\n");
        QCOMPARE(run({"register", project(), path("levels.csv")}).exitCode, 0);
        // A1 has 51.5 by its register and 51.603 by the book: a fault to be told of.
        const json told = runJson({"levels", project()}, 1);
        QVERIFY(told["books"][0]["arithmetic_check"]["holds"].get<bool>());
        QCOMPARE(told["books"][0]["legs"][0]["misclosure_mm"].get<double>(), -3.0);
        QCOMPARE(told["would_carry"].size(), std::size_t(1));
        QCOMPARE(told["disagreeing"][0]["number"].get<std::string>(), std::string("A1"));
        const json carried = runJson({"levels", project(), "--carry", "--person", "MH"}, 1);
        QCOMPARE(carried["carried"][0]["number"].get<std::string>(), std::string("SF8"));
        QCOMPARE(carried["carried"][0]["level_m"].get<double>(), 51.363);
        const json again = runJson({"levels", project(), "--carry", "--overwrite"}, 0);
        QCOMPARE(again["carried"][0]["number"].get<std::string>(), std::string("A1"));
        // k is editable: with 2 mm the book no longer closes.
        QCOMPARE(run({"levels", project(), "--k", "2"}).exitCode, 1);
        QCOMPARE(run({"levels", project(), "--k", "5"}).exitCode, 0);
        const Ran words = run({"levels", project(), "--to", path("reports")});
        QVERIFY2(words.out.contains("miscloses by -3.0 mm"), qPrintable(words.out));
        QVERIFY(QFile::exists(path("reports/levels.pdf")));
        QFile html(path("reports/levels.html"));
        QVERIFY(html.open(QIODevice::ReadOnly));
        const QString page = html.readAll();
        QVERIFY(page.contains("arithmetic check holds") && page.contains("by rise, fall"));
        refused({"levels", project(), "--book", "other"}, "level book \"other\" is not in the project");
        refused({"levels", project(), "--k", "0"}, "--k 0");
        refused({"levels", project(), "--overwrite"}, "goes with --carry");
    }

    /// A spot height of a plan is told which levelled point it is, and then takes its level from the book.
    void aSpotHeightIsNamedAndCarried()
    {
        const auto spots = [&] {
            const Result<Project> kept = Project::open(project().toStdString(), Access::Read);
            return kept->ofDrawing<SpotLevel>(kept->byKey<Drawing>("P-01")->id);
        };
        QVERIFY(!spots().empty());
        const QString height = QString::number(spots()[0].levelM, 'f', 2);
        const QStringList named{"levels",    project(), "--spot",  height,
                                "--drawing", "P-01",    "--point", "SF8"};
        const Ran ran = run(named);
        QVERIFY2(ran.exitCode <= 1 && ran.err.contains("is point SF8"), qPrintable(ran.err));
        QCOMPARE(spots()[0].point, std::string("SF8"));
        const json told = runJson({"levels", project(), "--carry", "--overwrite"}, 0);
        // By hand: 51.000 + 1.000 - 0.640, and the misclosure of -3 mm taken back at the one set-up.
        QVERIFY(std::ranges::any_of(told["carried"], [](const json& use) {
            return use["record"] == "spot height" && use["number"] == "P-01" && use["point"] == "SF8" &&
                   std::abs(use["level_m"].get<double>() - 51.363) < 1e-9;
        }));
        QCOMPARE(spots()[0].levelM, 51.363);
        refused({"levels", project(), "--spot", "12.00", "--drawing", "P-01", "--point", "SF8"},
                "there is no level 12.00 on drawing P-01");
        refused({"levels", project(), "--spot", height, "--drawing", "P-01"}, "goes with --drawing");
        refused({"levels", project(), "--point", "SF8"}, "go with --spot METRES");
    }

    void sectionsTellHowTheyStandAndWhatMisfits()
    {
        const json told = runJson({"sections", project()}, 0);
        QCOMPARE(told["sections"].size(), std::size_t(1));
        const json& section = told["sections"][0];
        QCOMPARE(section["drawing"].get<std::string>(), std::string("S-01"));
        QCOMPARE(section["faces"].get<std::string>(), std::string("SE"));
        QVERIFY(std::abs(section["length_m"].get<double>() - 1.786) < 0.002);
        QVERIFY(told.contains("edges") && told.contains("levels") && told.contains("placed"));
        // At 0.45 m along: the cut 1032 from its top to its base.
        const json column =
            runJson({"sections", project(), "--drawing", "S-01", "--at", "0.45"}, 0)["column"];
        QCOMPARE(column.size(), std::size_t(1));
        QCOMPARE(column[0]["context"].get<std::string>(), std::string("1032"));
        const Ran report = run({"sections", project(), "--to", path("reports")});
        QCOMPARE(report.exitCode, 0);
        QVERIFY(QFile::exists(path("reports/sections.pdf")) &&
                QFile::exists(path("reports/sections.html")));
    }

    void aLineIsSetTurnedAndRefusedWithoutHalfAState()
    {
        const json turned =
            runJson({"sections", project(), "--drawing", "S-01", "--line", "N3; N2; N1"}, 1);
        QVERIFY(turned["sections"][0]["remedies"][0] == "line");
        const json mended = runJson({"sections", project(), "--drawing", "S-01", "--turn", "line"}, 0);
        QCOMPARE(mended["sections"][0]["line"][0]["nail"].get<std::string>(), std::string("N1"));
        refused({"sections", project(), "--drawing", "S-01", "--line", "N1; N9"}, "no peg of that name");
        refused({"sections", project(), "--drawing", "S-01", "--line", "N1; N2 | N3"},
                "the piece at nail N3 has one nail");
        refused({"sections", project(), "--drawing", "S-01", "--line", "N1; N3; N2"},
                "turns back on itself at N3");
        refused({"sections", project(), "--drawing", "S-01", "--exaggeration", "0"}, "is not above 0");
        refused({"sections", project(), "--drawing", "P-01", "--line", "A1; A2"}, "it is a plan");
        refused({"sections", project(), "--drawing", "P-01"}, "is a plan, not a section");
        refused({"sections", project(), "--line", "N1; N2"}, "goes with --drawing NUMBER");
        refused({"sections", project(), "--drawing", "S-01", "--turn", "round"}, "use line");
        QCOMPARE(runJson({"sections", project()}, 0)["sections"][0]["line"].size(), std::size_t(3));
    }

    /// Marks on the datum line need no level of their own: the nails' levels are those of the datum.
    void marksOnTheDatumLineComeWithThePins()
    {
        write("datum.csv", "peg,column,row,on_datum\nN1,787.4,2212.6,yes\nN2,2362.2,2212.6,yes\n"
                           "N3,3600,2212.6,yes\n");
        const Ran pinned = run({"pin", project(), "--drawing", "S-01", "--pins", path("datum.csv")});
        QVERIFY2(pinned.exitCode <= 1 && pinned.out.contains("S-01: similarity"), qPrintable(pinned.err));
        const Result<Project> kept = Project::open(project().toStdString(), Access::Read);
        for (const Pin& pin : kept->ofDrawing<Pin>(kept->byKey<Drawing>("S-01")->id))
            QVERIFY(pin.onDatum);
        write("bad.csv", "peg,column,row,on_datum\nN1,787.4,2212.6,perhaps\n");
        refused({"pin", project(), "--drawing", "S-01", "--pins", path("bad.csv")}, "neither yes nor no");
        write("feet.csv", "peg,column,row,on_datum,datum\nN1,787.4,2212.6,yes,169 ft\n");
        refused({"pin", project(), "--drawing", "S-01", "--pins", path("feet.csv")}, "is in feet");
    }

    void postsAreTestedForARow()
    {
        const json row = runJson({"posts", project(), "T-1", "T-2", "T-3", "T-4"}, 0);
        QVERIFY(std::abs(row["bearing_degrees"].get<double>() - 90) < 2);
        QVERIFY(std::abs(row["mean_spacing_m"].get<double>() - 1) < 0.001);
        QVERIFY(std::abs(row["posts"][2]["residual_m"].get<double>()) > 0.015);
        const Ran arc = run({"posts", project(), "T-1", "T-2", "T-3", "T-4", "--shape", "arc"});
        QCOMPARE(arc.exitCode, 0);
        QVERIFY(arc.out.contains("arc of radius"));
        const Ran written = run({"posts", project(), "T-1", "T-2", "T-3", "T-4", "--to", path("reports")});
        QVERIFY2(written.exitCode == 0, qPrintable(written.err));
        QVERIFY(QFile::exists(path("reports/posts.pdf")));
        QFile page(path("reports/posts.html"));
        QVERIFY(page.open(QIODevice::ReadOnly));
        const QString html = page.readAll();
        QVERIFY(html.contains("Along the best line") && html.contains("T-3") &&
                html.contains("How they stand"));
        refused({"posts", project(), "T-1", "T-2", "--shape", "star"}, "use line (the default) or arc");
        refused({"posts", project(), "T-1", "T-77"}, "timber \"T-77\" is not in the register");
        refused({"posts", project(), "T-1", "T-9"}, "timber T-9 has no place");
        refused({"posts", project(), "T-1", "T-1"}, "named twice");
    }
};

QTEST_MAIN(SectionsCommandTest)
#include "SectionsCommandTest.moc"
