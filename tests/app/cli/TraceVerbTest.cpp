// SPDX-License-Identifier: GPL-3.0-or-later
// inkpeg trace on a sheet of the demo: the outlines in the project against the truth files, and bad input.
#include <algorithm>
#include <fstream>

#include <QProcess>
#include <QTest>

#include <nlohmann/json.hpp>

#include "core/outline/Validity.h"
#include "core/store/Project.h"
#include "tests/app/cli/Program.h"
#include "tests/app/window/DemoFolder.h"
#include "tests/samples/TracingQuality.h"

using namespace inkpeg;
using nlohmann::json;

class TraceVerbTest final : public QObject {
    Q_OBJECT

    DemoFolder m_demo;

    QString project() const { return m_demo.path("demo/site.gpkg"); }
    QString seeds() const { return m_demo.path("demo/tracing/seeds.csv"); }
    std::vector<Outline> outlinesOf(const char* drawing) const
    {
        const auto open = Project::open(project().toStdString(), Access::Read);
        return open->ofDrawing<Outline>(open->byKey<Drawing>(drawing)->id);
    }
    QByteArray projectBytes() const
    {
        QFile file(project());
        return file.open(QIODevice::ReadOnly) ? file.readAll() : QByteArray();
    }

private slots:
    void initTestCase()
    {
        // One sheet with three drawings, at 200 dpi: a pixel is as wide as a cell of the ink map.
        QCOMPARE(QProcess::execute(INKPEG_BUILD_DIR "/samples/inkpeg_demo_generator",
                                   {m_demo.path("demo"), "--only", "P-08", "--dpi", "200"}),
                 0);
        QCOMPARE(run({"new", project(), "--site-code", "SKR26", "--title", "Skelder Rigg", "--crs",
                      "EPSG:25832"})
                     .exitCode,
                 0);
        for (const char* name : {"people", "trenches", "pegs", "sheets", "drawings", "contexts"}) {
            const Ran ran =
                run({"register", project(), m_demo.registers() + "/" + name + ".csv", "--skip-refused"});
            QVERIFY2(ran.exitCode <= 1, qPrintable(ran.err));
        }
        const Ran pinned =
            run({"pin", project(), "--drawing", "P-08", "--pins", m_demo.registers() + "/pins.csv"});
        QVERIFY2(pinned.exitCode == 0, qPrintable(pinned.err));
    }

    void dryRunTellsAndLeavesTheProjectAsItWas()
    {
        const QByteArray before = projectBytes();
        const Ran ran = run({"trace", project(), "--seeds", seeds(), "--drawing", "P-08", "--dry-run"});
        QVERIFY2(ran.exitCode == 0, qPrintable(ran.err));
        QVERIFY2(ran.out.contains("2 outlines traced, 0 not"), qPrintable(ran.out));
        QCOMPARE(projectBytes(), before);
    }

    void outlinesAreStoredAndLieOnTheTruth()
    {
        const Ran ran = run({"trace", project(), "--seeds", seeds(), "--drawing", "P-08", "--drawing",
                             "P-09", "--drawing", "P-10", "--person", "TK", "--mark-traced", "--json"});
        QVERIFY2(ran.exitCode == 0, qPrintable(ran.err));
        const json told = json::parse(ran.out.toStdString());
        QCOMPARE(told.size(), std::size_t(6));
        for (const json& each : told) {
            QVERIFY(each["traced"].get<bool>());
            const std::string drawing = each["drawing"].get<std::string>();
            const TrueOutline truth =
                m_demo.outline(QString::fromStdString(drawing),
                               QString::fromStdString(each["context"].get<std::string>()));
            const std::vector<Outline> stored = outlinesOf(drawing.c_str());
            const auto outline =
                std::ranges::find(stored, each["context"].get<std::string>(), &Outline::context);
            QVERIFY(outline != stored.end());
            QCOMPARE(outline->tracedBy, std::string("TK"));
            QVERIFY(checkParts(outline->parts));
            QCOMPARE(outline->parts[0].outer.vertices.size(), each["vertices_px"].size());
            const quality::Misfit misfit =
                quality::misfitBetween(outline->parts[0].outer.vertices, truth.px, 200 / 25.4);
            QVERIFY2(misfit.meanMm <= 0.15, qPrintable(QString::number(misfit.meanMm)));
            QVERIFY2(misfit.ninetyFiveMm <= 0.35, qPrintable(QString::number(misfit.ninetyFiveMm)));
        }
        // The spread on P-09 is drawn uncertain, in dashes: its gaps are told, its edges are uncertain.
        const auto dashed =
            std::ranges::find(told, "1066", [](const json& each) { return each["context"]; });
        QVERIFY((*dashed)["gaps"].size() > 10);
        for (const Outline& outline : outlinesOf("P-09"))
            QVERIFY(outline.parts[0].outer.kinds[0] ==
                    (outline.context == "1066" ? EdgeKind::Uncertain : EdgeKind::Certain));
        const auto open = Project::open(project().toStdString(), Access::Read);
        QCOMPARE(open->byKey<Drawing>("P-08")->stage, Stage::Traced);
        QVERIFY(open->byKey<Drawing>("P-09")->stage < Stage::Pinned); // not pinned here
    }

    void whatIsDrawnIsTracedAnewOnlyWhenAsked()
    {
        const QByteArray before = projectBytes();
        const Ran refused = run({"trace", project(), "--seeds", seeds(), "--drawing", "P-08"});
        QCOMPARE(refused.exitCode, 2);
        QVERIFY2(refused.err.contains("already") && refused.err.contains("--replace"),
                 qPrintable(refused.err));
        QCOMPARE(projectBytes(), before);
        const Ran anew = run({"trace", project(), "--seeds", seeds(), "--drawing", "P-08", "--replace"});
        QVERIFY2(anew.exitCode == 0, qPrintable(anew.err));
        QCOMPARE(outlinesOf("P-08").size(), std::size_t(2));
    }

    void aPlaceWithoutAnOutlineIsToldAndTheRestIsTraced()
    {
        const std::string file = m_demo.path("some.csv").toStdString();
        std::ofstream(file) << "drawing,context,way,column,row\nP-10,1999,area,1900,300\n";
        const Ran ran = run({"trace", project(), "--seeds", QString::fromStdString(file)});
        QCOMPARE(ran.exitCode, 1);
        QVERIFY2(ran.err.contains("P-10 context 1999: line 2:"), qPrintable(ran.err));
        QVERIFY(ran.out.contains("0 outlines traced, 1 not"));
    }

    void badInputIsRefusedAndTheProjectStaysAsItWas_data()
    {
        QTest::addColumn<QString>("csv");
        QTest::addColumn<QStringList>("options");
        QTest::addColumn<QString>("words");
        const QString good = "drawing,context,way,column,row\nP-10,1063,area,1900,300\n";
        QTest::newRow("drawing") << QString(good).replace("P-10", "P-99") << QStringList()
                                 << "line 2: drawing \"P-99\"";
        QTest::newRow("no scan") << QString(good).replace("P-10", "P-01") << QStringList()
                                 << "line 2: drawing";
        QTest::newRow("none of it") << good << QStringList{"--drawing", "P-08"} << "holds no seeds for";
        QTest::newRow("gap") << good << QStringList{"--gap", "wide"} << "--gap \"wide\"";
        QTest::newRow("gap 0") << good << QStringList{"--gap", "0"} << "--gap";
        QTest::newRow("tolerance") << good << QStringList{"--tolerance", "9"} << "--tolerance";
        QTest::newRow("number") << QString(good).replace("1900", "x") << QStringList()
                                << "line 2: column column";
    }
    void badInputIsRefusedAndTheProjectStaysAsItWas()
    {
        QFETCH(QString, csv);
        QFETCH(QStringList, options);
        QFETCH(QString, words);
        const std::string file = m_demo.path("bad.csv").toStdString();
        std::ofstream(file) << csv.toStdString();
        const QByteArray before = projectBytes();
        const Ran ran =
            run(QStringList{"trace", project(), "--seeds", QString::fromStdString(file)} + options);
        QVERIFY2(ran.exitCode == 2, qPrintable(ran.err));
        QVERIFY2(ran.err.contains(words), qPrintable(ran.err));
        QCOMPARE(projectBytes(), before);
    }
    void seedsMustBeGiven()
    {
        const Ran ran = run({"trace", project()});
        QCOMPARE(ran.exitCode, 2);
        QVERIFY(ran.err.contains("--seeds"));
    }
};

QTEST_GUILESS_MAIN(TraceVerbTest)
#include "TraceVerbTest.moc"
