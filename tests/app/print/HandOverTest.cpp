// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/print/HandOver.h"

#include <fstream>

#include <QProcess>
#include <QRegularExpression>
#include <QTemporaryDir>
#include <QTest>
#include <QXmlStreamReader>

#include <nlohmann/json.hpp>

#include "app/print/ProjectReport.h"
#include "core/base/Csv.h"
#include "core/handover/Bag.h"
#include "core/handover/FeatureLayers.h"
#include "tests/app/print/Reader.h"
#include "tests/core/handover/YardProject.h"

using namespace inkpeg;

namespace fs = std::filesystem;

namespace {

/// Names as an enemy, a careless hand and a wide world would write them.
const std::vector<std::string> Hostile = {"../../etc/passwd",
                                          "/absolute",
                                          "..",
                                          "C:\\windows\\x",
                                          "'; DROP TABLE outlines; --",
                                          "<script>alert(1)</script>",
                                          "\"><img src=x onerror=alert(1)>",
                                          "=HYPERLINK(\"http://x\",\"y\")",
                                          "@SUM(A1)",
                                          "\xD7\xA9\xD7\x9C\xD7\x95\xD7\x9D \xE2\x80\xAE gnp",
                                          "\xF0\x9F\x8F\xBA\xF0\x9F\x94\xA5",
                                          std::string(300, 'n'),
                                          "a,b\r\nc",
                                          "%0A%25 ]]> --> &amp;"};

Project hostileProject(const fs::path& file)
{
    Project project = yard::make(file);
    ProjectFacts facts = project.facts();
    facts.siteCode = Hostile[6];
    facts.title = Hostile[5];
    facts.rights = Hostile[4];
    facts.depositor = Hostile[7];
    const std::int64_t drawing = project.byKey<Drawing>("P-01")->id;
    const Result<Change> change = project.act("hostile", [&](Editor& edit) -> Result<void> {
        double place = 500;
        for (const std::string& name : Hostile) {
            Context context;
            context.number = context.description = context.kind = context.trench = context.period = name;
            yard::put(edit, context);
            Outline outline;
            outline.drawing = drawing;
            outline.context = name;
            outline.parts = {{yard::ring({{place, 1600}, {place + 150, 1600}, {place + 150, 1900}}), {}}};
            yard::put(edit, outline);
            yard::put(edit, Photograph{0, name, name, ""});
            yard::put(edit, DrawnPoint{0, drawing, PointKind::Note, "", name, {place, 2000}});
            place += 200;
        }
        yard::put(edit, Trench{0, Hostile[0], Hostile[5], {}});
        return edit.putFacts(facts);
    });
    if (!change)
        qFatal("%s", change.error().message.c_str());
    return project;
}

} // namespace

class HandOverTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;
    std::optional<Project> m_yard, m_hostile;

    fs::path path(const std::string& name) const { return fs::path(m_folder.path().toStdString()) / name; }

    static HandOverOrder everything(const fs::path& folder)
    {
        HandOverOrder order;
        order.folder = folder;
        order.geodata.gml = order.geodata.shapefile = true;
        order.plans = PlansOrder{};
        order.plans->eachContext = order.plans->eachPeriod = true;
        order.scans = false;
        return order;
    }

private slots:
    void initTestCase()
    {
        fs::create_directories(path("projects"));
        m_yard.emplace(yard::make(path("projects/yard.gpkg")));
        m_hostile.emplace(hostileProject(path("projects/hostile.gpkg")));
    }

    void everythingThatWasOrderedIsThereAndListed()
    {
        const Result<HandedOver> done = handOver(*m_yard, everything(path("out")));
        QVERIFY2(done, done ? "" : done.error().message.c_str());
        for (const char* file :
             {"geodata.gpkg", "geodata.gml", "csv/outlines.csv", "geojson/outlines.geojson",
              "plans/plans.pdf", "plans/sections.pdf", "plans/plans-svg/Context_1032.svg",
              "reports/residuals.pdf", "reports/project-report.pdf", "reports/project-report.html"})
            QVERIFY2(fs::exists(path("out") / file), file);
        const Result<ReadBackReport> held = holdGeodata(path("out"));
        QVERIFY2(held, held ? "" : held.error().message.c_str());
        const nlohmann::json mark = nlohmann::json::parse(done->json);
        QCOMPARE(mark["files"].size() + 1, done->files.size()); // all but hand-over.json itself
    }

    // A report or plan that fails or is stopped after the geodata leaves nothing behind.
    void stoppingAtAnyTimeLeavesNothing()
    {
        for (const bool bag : {false, true})
            for (const double stopAt : {0.1, 0.3, 0.45, 0.6, 0.75, 0.95}) {
                HandOverOrder order = everything(path("stopped"));
                order.bag = bag;
                const auto stopped = handOver(*m_yard, order, [&](double share) { return share < stopAt; });
                QVERIFY(!stopped);
                QCOMPARE(stopped.error().code, ErrorCode::Cancelled);
                for (const fs::directory_entry& entry :
                     fs::directory_iterator(m_folder.path().toStdString()))
                    QVERIFY2(entry.path().filename().string().find("stopped") == std::string::npos,
                             entry.path().c_str());
            }
    }

    // Names with ../, quotes, HTML, SQL, right to left, emoji, 300 letters: safe files everywhere.
    void aHostileProjectYieldsSafeFiles()
    {
        const QRegularExpression safe("^[A-Za-z0-9._/-]{1,160}$");
        for (const bool bag : {false, true}) {
            HandOverOrder order = everything(path(bag ? "hostile/bag" : "hostile/folder"));
            order.bag = bag;
            const Result<HandedOver> done = handOver(*m_hostile, order);
            QVERIFY2(done, done ? "" : done.error().message.c_str());
            for (const std::string& file : done->files) {
                QVERIFY2(safe.match(QString::fromStdString(file)).hasMatch(), file.c_str());
                QVERIFY2(!file.starts_with("/") && file.find("..") == std::string::npos, file.c_str());
                holdFile(order.folder / file);
            }
            for (const fs::directory_entry& entry : fs::recursive_directory_iterator(order.folder))
                QVERIFY(!entry.is_symlink());
        }
        // nothing was written beside the two folders
        QVERIFY(std::distance(fs::directory_iterator(path("hostile")), fs::directory_iterator()) == 2);
        const Result<BagReport> sound = verifyBag(path("hostile/bag"));
        QVERIFY2(sound, sound ? "" : sound.error().message.c_str());
        const Result<ReadBackReport> held = verifyBagContent(path("hostile/bag"), &*m_hostile);
        QVERIFY2(held, held ? "" : held.error().message.c_str());
    }

    static void holdFile(const fs::path& file)
    {
        const std::string ending = file.extension().string(), bytes = slurp(file);
        if (ending == ".svg" || ending == ".xml" || ending == ".gml") {
            QXmlStreamReader xml(QByteArray::fromStdString(bytes));
            while (!xml.atEnd()) {
                xml.readNext();
                QVERIFY2(xml.name() != u"script" && xml.name() != u"img", file.c_str());
            }
            QVERIFY2(!xml.hasError(),
                     qPrintable(QString::fromStdString(file.string()) + xml.errorString()));
        }
        if (ending == ".html")
            for (const char* markup : {"<script", "<img", "javascript:"})
                QVERIFY2(bytes.find(markup) == std::string::npos, file.c_str());
        if (ending == ".csv") {
            const Result<std::vector<CsvRow>> rows = readCsvRows(bytes, file.string());
            QVERIFY2(rows, rows ? "" : rows.error().message.c_str());
            for (const CsvRow& row : *rows)
                for (const std::string& cell : row.fields)
                    QVERIFY2(cell.empty() || (cell[0] != '=' && cell[0] != '@'), cell.c_str());
        }
        if (ending == ".json" || ending == ".geojson")
            QVERIFY2(nlohmann::json::accept(bytes), file.c_str());
        if (ending == ".pdf") {
            const QString info = run("pdfinfo", {QString::fromStdString(file.string())});
            QVERIFY2(info.contains("Pages:") && info.contains("JavaScript:      no"), qPrintable(info));
        }
    }

    void safeNamesAreSafe()
    {
        for (const std::string& name : Hostile) {
            const std::string safe = safeFileName(name);
            QVERIFY2(QRegularExpression("^[A-Za-z0-9_-][A-Za-z0-9._-]{0,81}$")
                         .match(QString::fromStdString(safe))
                         .hasMatch(),
                     safe.c_str());
        }
        QCOMPARE(safeFileName("Context 1032"), std::string("Context_1032"));
        QCOMPARE(safeFileName(".hidden"), std::string("_hidden"));
        QCOMPARE(safeFileName("a..b"), std::string("a._b"));
    }

    // pdftohtml of poppler reads the document's outline; pdftotext its words.
    void theProjectReportHasItsChaptersAndTheDictionary()
    {
        const Result<Document> document = projectReport(*m_yard);
        QVERIFY2(document, document ? "" : document.error().message.c_str());
        std::ofstream(path("report.pdf"), std::ios::binary) << documentPdf(*document);
        const QString file = QString::fromStdString(path("report.pdf").string());
        const QString outline = run("pdftohtml", {"-xml", "-stdout", "-i", file});
        const QString text = run("pdftotext", {"-layout", file, "-"});
        for (const DocumentChapter& chapter : document->chapters) {
            const QString title = QString::fromStdString(chapter.title);
            QVERIFY2(outline.contains(QRegularExpression("<item page=\"\\d+\">" +
                                                         QRegularExpression::escape(title) + "<")),
                     qPrintable(title));
            QVERIFY2(text.contains(title), qPrintable(title));
        }
        for (const char* expected :
             {"Project summary", "Residuals", "Finds, samples and timbers", "Checks", "Sign-off sheet",
              "Deposit statement", "Data dictionary", "outline_vertices", "se_control_m", "CC BY 4.0",
              "Not for setting out", "1 check point", "RMSE"})
            QVERIFY2(text.contains(expected), expected);
        // every field of the schema that writes the files stands in the PDF
        for (const LayerSchema& schema : handOverSchema())
            for (const FieldSchema& field : schema.fields)
                QVERIFY2(text.contains(QString::fromStdString(field.name)), field.name.c_str());
        QCOMPARE(run("pdfimages", {"-list", file}).trimmed().split('\n').size(), 2); // no image
        QVERIFY(documentPdf(*document) == slurp(path("report.pdf")));
    }

    void theHtmlStandsAloneAndFitsAPhone()
    {
        const Result<Document> document = projectReport(*m_hostile);
        QVERIFY(document);
        const QString html = QString::fromStdString(documentHtml(*document));
        for (const char* reachingOut :
             {"<script", "src=x onerror=alert(1)>", "@import", "url(", "href=\"http"})
            QVERIFY2(!html.contains(reachingOut), reachingOut);
        QVERIFY(html.contains("width=device-width") && html.contains("@media(max-width:40rem)"));
        QVERIFY(html.contains("data-of=\"drawing\""));
        QVERIFY(html.contains("&lt;script&gt;alert(1)&lt;/script&gt;"));
    }
};

QTEST_MAIN(HandOverTest)
#include "HandOverTest.moc"
