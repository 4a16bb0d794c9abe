// SPDX-License-Identifier: GPL-3.0-or-later
// How well one click traces an outline of the demo and two clicks a line, against the truth files, clean
// film and poor; and how many clicks that saves. The bounds are the project's own: mean 0.15 mm and 95 %
// 0.35 mm on the film for nine outlines in ten, 0.4 mm along 95 % of a way, half the clicks.
// docs/tracing.md has the table for all drawings and for others than these.
#include <QProcess>
#include <QTemporaryDir>
#include <QTest>

#include "tests/samples/TracingQuality.h"

using namespace inkpeg::quality;

class TracingTest final : public QObject {
    Q_OBJECT

public:
    /// Qt ends a test function after five minutes, all its rows together; a busy machine needs longer.
    static void initMain() { qputenv("QTEST_FUNCTION_TIMEOUT", "840000"); }

private slots:
    void clicksTraceTheDemo_data()
    {
        QTest::addColumn<QStringList>("drawings");
        QTest::addColumn<QStringList>("how");
        // Clean film and the two smudged sheets, TIFF, colour JPEG, PNG, grey JPEG; plans and a section.
        QTest::newRow("the demo as handed out")
            << QStringList{"P-01", "P-02", "P-04", "P-06", "S-01"} << QStringList{};
        QTest::newRow("poor film, faint pencil, other shapes")
            << QStringList{"P-03", "P-04"} << QStringList{"--variant", "21", "--poor"};
        QTest::newRow("poor film that nobody looked at while the method was made")
            << QStringList{"P-03", "P-04"} << QStringList{"--variant", "62", "--poor"};
    }
    void clicksTraceTheDemo()
    {
        QFETCH(QStringList, drawings);
        QFETCH(QStringList, how);
        QTemporaryDir folder;
        Tally tally;
        for (const QString& drawing : drawings) {
            QCOMPARE(QProcess::execute(INKPEG_BUILD_DIR "/samples/inkpeg_demo_generator",
                                       QStringList{folder.path(), "--only", drawing} + how),
                     0);
            const TracedDrawing traced = traceDrawing(folder.path().toStdString(), drawing.toStdString());
            for (const TracedOutline& outline : traced.outlines)
                if (!outline.good())
                    qInfo("%s %s: mean %.3f mm, 95 %% %.3f mm %s", outline.drawing.c_str(),
                          outline.context.c_str(), outline.misfit.meanMm, outline.misfit.ninetyFiveMm,
                          outline.trouble.c_str());
            tally.add(traced);
        }
        qInfo("%s\n%s", Tally::header().c_str(), tally.line(QTest::currentDataTag()).c_str());
        QVERIFY(tally.closed >= 12);
        QVERIFY(tally.good >= 0.9 * tally.closed);
        QVERIFY(tally.paths >= 20);
        QVERIFY(tally.pathsGood >= 0.95 * tally.paths);
        QVERIFY(2 * tally.clicks <= tally.pointByPoint);
    }
};

QTEST_GUILESS_MAIN(TracingTest)
#include "TracingTest.moc"
