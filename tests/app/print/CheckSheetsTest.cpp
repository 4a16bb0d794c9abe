// SPDX-License-Identifier: GPL-3.0-or-later
// The close-of-day sheet and the stratigraphic diagram on paper, read again by poppler and by an XML reader.
#include <fstream>

#include <QProcess>
#include <QRegularExpression>
#include <QTemporaryDir>
#include <QTest>
#include <QXmlStreamReader>

#include "app/print/CloseOfDay.h"
#include "app/print/SequencePainting.h"
#include "tests/app/print/Reader.h"

using namespace inkpeg;

namespace {

Matter matter(Severity severity, const std::string& subject, const std::string& trench,
              const std::string& words)
{
    Matter made;
    made.check = "context not drawn";
    made.severity = severity;
    made.subjectKind = "context";
    made.subject = subject;
    made.trench = trench;
    made.words = words;
    made.whatToDo = "Draw it while it can be seen.";
    return made;
}

Tally tally()
{
    Waiver waiver;
    waiver.check = "context not drawn";
    waiver.subject = "context 1009";
    waiver.person = "KB";
    waiver.reason = "photographed and levelled instead";
    waiver.at = "2026-07-01T16:00:00Z";
    return tallyOf({matter(Severity::Must, "1004", "T1", "context 1004 is on no plan"),
                    matter(Severity::Must, "2001", "T2", "context 2001 is on no plan"),
                    matter(Severity::Should, "1005", "T1", "no relation says what fills cut 1005"),
                    matter(Severity::Note, "1006", "T1", "context 1006 is not signed off"),
                    matter(Severity::Must, "1009", "T1", "context 1009 is on no plan")},
                   std::vector<Waiver>{waiver});
}

const CloseOfDayHead Head{"SKR26", "Skelder Rigg", "MH", "2026-07-01T16:30:00.000Z"};

SequenceDiagram diagram()
{
    std::vector<Context> contexts(4);
    for (int i = 0; i < 4; ++i) {
        contexts[static_cast<std::size_t>(i)].number = std::to_string(1001 + i);
        contexts[static_cast<std::size_t>(i)].kind = i == 0 ? "cut" : "layer";
        contexts[static_cast<std::size_t>(i)].stage = i == 1 ? Stage::SignedOff : Stage::Traced;
    }
    const std::vector<Relation> relations{{0, "1001", RelationKind::Cuts, "1002"},
                                          {0, "1002", RelationKind::Above, "1003"},
                                          {0, "1003", RelationKind::Above, "1002"},
                                          {0, "1001", RelationKind::Above, "1004"}};
    return drawSequence(contexts, relations);
}

} // namespace

class CheckSheetsTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;

    QString textOf(const std::string& pdf, const char* option = "-layout")
    {
        const QString file = m_folder.filePath("sheet.pdf");
        std::ofstream(file.toStdString(), std::ios::binary) << pdf;
        return run("pdftotext", {option, file, "-"});
    }

private slots:
    void theSheetListsWhatMustBeDoneBeforeTheTrenchIsBackfilled()
    {
        const QString text = textOf(closeOfDayPdf(tally(), Head, {"T1"}));
        for (const char* expected :
             {"CLOSE OF DAY", "before trench T1 is backfilled", "ONE MATTER STANDS IN THE WAY",
              "1 must · 1 should · 1 to note", "context 1004", "context 1005", "Set aside", "KB",
              "photographed and levelled instead", "Gone through by", "Not for setting out",
              "competent person on site", "2026-07-01T16:30"})
            QVERIFY2(text.contains(expected), qPrintable(QString(expected) + " is not in:\n" + text));
        QVERIFY(!text.contains("2001")); // another trench
        QVERIFY(!text.contains("1006")); // a note: counted, not listed
        QVERIFY(text.indexOf("1004") < text.indexOf("1005"));
    }

    void theWholeSiteByPerson()
    {
        const QString text = textOf(closeOfDayPdf(tally(), Head, {"", GroupBy::Person, Severity::Note}));
        QVERIFY2(text.contains("2 MATTERS STAND IN THE WAY"), qPrintable(text));
        QVERIFY(text.contains("2001") && text.contains("1006") && text.contains("none named"));
    }

    void nothingOutstandingIsSaid()
    {
        const QString text = textOf(closeOfDayPdf({}, Head, {"T1"}));
        QVERIFY2(text.contains("NOTHING OUTSTANDING THAT MUST BE DONE"), qPrintable(text));
    }

    void aLongListRunsOverPagesAndLosesNothing()
    {
        std::vector<Matter> matters;
        for (int i = 0; i < 300; ++i)
            matters.push_back(matter(Severity::Must, std::to_string(3000 + i), "T1",
                                     "context " + std::to_string(3000 + i) + " is on no plan"));
        const std::string pdf = closeOfDayPdf(tallyOf(matters, {}), Head);
        const QString text = textOf(pdf, "-raw");
        for (int i = 0; i < 300; ++i)
            QVERIFY2(text.contains(QString("context %1 is on").arg(3000 + i)),
                     qPrintable(QString::number(i)));
        QVERIFY(run("pdfinfo", {m_folder.filePath("sheet.pdf")}).contains("(A4)"));
        QVERIFY(text.count('\f') >= 6);
    }

    void theSameTallyGivesTheSameBytes()
    {
        QCOMPARE(closeOfDayPdf(tally(), Head), closeOfDayPdf(tally(), Head));
        const SequenceTitle title{"SKR26", "Skelder Rigg", "T1", Head.at};
        QCOMPARE(sequencePdf(diagram(), title), sequencePdf(diagram(), title));
    }

    void theDiagramAsPdfIsOnePageWithItsWords()
    {
        const QString text = textOf(sequencePdf(diagram(), {"SKR26", "Skelder Rigg", "T1", Head.at}));
        for (const char* expected :
             {"Stratigraphic sequence, SKR26 Skelder Rigg, trench T1", "[1001]", "(1002)", "(1004)",
              "traced", "signed off · circle", "Circle: ", "One of these relations is wrong"})
            QVERIFY2(text.contains(expected), qPrintable(QString(expected) + " is not in:\n" + text));
        QVERIFY(
            run("pdfinfo", {m_folder.filePath("sheet.pdf")}).contains(QRegularExpression("Pages:\\s+1\n")));
        const QString images = run("pdfimages", {"-list", m_folder.filePath("sheet.pdf")});
        QCOMPARE(images.trimmed().split('\n').size(), 2); // two lines of heading, no image
    }

    void theDiagramAsSvgIsWellFormedAndSearchable()
    {
        const SequenceDiagram drawn = diagram();
        QXmlStreamReader svg(QString::fromStdString(sequenceSvg(drawn, {"SKR26", "", "", Head.at})));
        QString text;
        while (!svg.atEnd())
            if (svg.readNext() == QXmlStreamReader::Characters)
                text += svg.text();
        QVERIFY2(!svg.hasError(), qPrintable(svg.errorString()));
        for (const DiagramUnit& unit : drawn.units)
            QVERIFY2(text.contains(QString::fromStdString(unit.label)), unit.label.c_str());
    }

    void aSheetLargerThanAPdfMayBeIsMadeSmaller()
    {
        std::vector<Context> contexts;
        std::vector<Relation> relations;
        for (int i = 0; i < 400; ++i) {
            contexts.emplace_back();
            contexts.back().number = std::to_string(i);
            if (i > 0)
                relations.push_back({0, std::to_string(i - 1), RelationKind::Above, std::to_string(i)});
        }
        const QString text = textOf(sequencePdf(drawSequence(contexts, relations), {"S", "", "", Head.at}));
        QVERIFY(text.contains("(399)"));
        const QString info = run("pdfinfo", {m_folder.filePath("sheet.pdf")});
        const QRegularExpressionMatch size =
            QRegularExpression("Page size:\\s+([0-9.]+) x ([0-9.]+)").match(info);
        QVERIFY2(size.hasMatch(), qPrintable(info));
        QVERIFY2(size.captured(2).toDouble() <= 14400.5, qPrintable(info));
    }
};

QTEST_MAIN(CheckSheetsTest)
#include "CheckSheetsTest.moc"
