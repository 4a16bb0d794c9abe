// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/Project.h"

#include <fstream>
#include <memory>
#include <random>

#include <gdal_priv.h>
#include <ogrsf_frmts.h>

#include <QProcess>
#include <QTemporaryDir>
#include <QTest>

#include "core/records/Schema.h"
#include "core/store/ProjectFile.h"

using namespace inkpeg;

namespace {

const ProjectFacts Skelder{"SKR26", "Skelder Rigg", "EPSG:25832", "DHHN2016", 0.25, 0.5, "CC BY 4.0", "MH"};

Ring ring(std::vector<ScanPx> vertices, EdgeKind kind = EdgeKind::Certain)
{
    const std::size_t count = vertices.size();
    return {std::move(vertices), std::vector<EdgeKind>(count, kind)};
}

Drawing plan(const std::string& number)
{
    Drawing drawing;
    drawing.number = number;
    drawing.trench = "1";
    drawing.sheet = "14";
    drawing.frame = {{0, 0}, {1000, 0}, {1000, 800}, {0, 800}};
    return drawing;
}

Outline kiln(std::int64_t drawing)
{
    Part part{ring({{0, 0}, {100, 0}, {100, 100}, {0, 100}}), {ring({{20, 20}, {20, 40}, {40, 40}})}};
    part.outer.kinds[3] = EdgeKind::LimitOfExcavation;
    Outline outline;
    outline.drawing = drawing;
    outline.context = "1032";
    outline.parts = {part, {ring({{200, 0}, {220.00390625, 0}, {210, 30}}, EdgeKind::Uncertain), {}}};
    return outline;
}

} // namespace

class ProjectTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;
    std::filesystem::path path(const char* name) const { return m_folder.filePath(name).toStdString(); }

    template<typename Record>
    static void put(Project& project, Record& record)
    {
        const Result<Change> change = project.act("put", [&](Editor& edit) { return edit.put(record); });
        QVERIFY2(change, change ? "" : change.error().message.c_str());
    }

private slots:
    void everyRecordTypeReadsBackAsWritten()
    {
        Result<Project> project = Project::create(path("round.gpkg"), Skelder);
        QVERIFY2(project, project ? "" : project.error().message.c_str());
        QVERIFY(project->facts() == Skelder);

        Drawing drawing = plan("P-014");
        drawing.datumM = 52.31;
        drawing.model = Model::ThinPlateSpline;
        drawing.stage = Stage::SignedOff;
        Outline outline = kiln(1);
        Peg peg{0, "A1", PegFrame::Site, {100, 200.5}, 52.1, 0.004, 0.005, 0.003, "nail"};
        Trench trench{0, "1", "trench", {{553'000, 6'100'000}, {553'010, 6'100'000}, {553'010, 6'100'020}}};
        Timber timber{0,   "T7", "1032", "1",   "post", GroundM{553'001.25, 6'100'002.5}, 52.0, {},
                      1.5, 0.2,  4.0,    270.0, 0.02};
        Pin pin{0, 1, "A1", {12.25, 77.5}, PinUse::LeftOut, "cross"};
        Sheet sheet{0, "14", "A3", "film/14.tif", "00ff", {6614, 4677, 400, 399.5, true}};
        SignOff signOff{0,  "drawing", "P-014", Stage::Checked, "MH", "2026-05-04T16:20:05.123Z",
                        "", "ab",      true};
        put(*project, drawing);
        put(*project, outline);
        put(*project, peg);
        put(*project, trench);
        put(*project, timber);
        put(*project, pin);
        put(*project, sheet);
        put(*project, signOff);

        QVERIFY(project->byKey<Drawing>("P-014") == drawing);
        QVERIFY(project->all<Outline>() == std::vector{outline});
        QVERIFY(project->byKey<Peg>("A1") == peg);
        QVERIFY(project->byKey<Trench>("1") == trench);
        QVERIFY(project->byKey<Timber>("T7") == timber);
        QVERIFY(project->ofDrawing<Pin>(1) == std::vector{pin});
        QVERIFY(project->byId<Sheet>(sheet.id) == sheet);
        QVERIFY(project->all<SignOff>() == std::vector{signOff});
        QVERIFY(!project->byKey<Drawing>("P-015"));
        QCOMPARE(project->count<Outline>(), std::size_t(1));
        QCOMPARE(project->count<Find>(), std::size_t(0));
        QVERIFY(!project->takeReadingTrouble());
    }

    void undoAndRedoMoveBetweenTheSameStates()
    {
        Result<Project> project = Project::create(path("undo.gpkg"), Skelder);
        QVERIFY(project);
        project->setPerson("MH");
        Drawing drawing = plan("P-014");
        put(*project, drawing);
        Outline outline = kiln(drawing.id);
        put(*project, outline);
        const Outline before = outline;
        outline.parts[0].outer.vertices[1] = {110, -4};
        put(*project, outline);
        const auto removed = project->act("remove the drawing",
                                          [&](Editor& edit) { return edit.remove<Drawing>(drawing.id); });
        QVERIFY(removed);
        QCOMPARE(removed->rows.size(), std::size_t{2});
        QVERIFY(project->all<Outline>().empty());

        QCOMPARE(project->canUndo(), std::optional<std::string>("remove the drawing"));
        QVERIFY(project->undo());
        QVERIFY(project->all<Outline>() == std::vector{outline});
        QVERIFY(project->undo());
        QVERIFY(project->all<Outline>() == std::vector{before});
        QVERIFY(project->undo());
        QVERIFY(project->undo());
        QVERIFY(project->all<Drawing>().empty());
        QVERIFY(!project->canUndo());
        QVERIFY(!project->undo());
        for (int i = 0; i < 3; ++i)
            QVERIFY(project->redo());
        QVERIFY(project->all<Outline>() == std::vector{outline});
        QVERIFY(project->undo());
        QVERIFY(project->redo());
        QVERIFY(project->all<Outline>() == std::vector{outline});
        // A new act takes away what could be redone.
        QVERIFY(project->undo());
        Person person{0, "MH", "", ""};
        put(*project, person);
        QVERIFY(!project->canRedo());

        const std::vector<JournalEntry> journal = project->journal();
        QCOMPARE(journal.size(), std::size_t{4 + 4 + 3 + 3 + 1});
        QCOMPARE(journal[4].undoes, std::optional<std::int64_t>(4));
        QCOMPARE(journal[4].person, std::string("MH"));
    }

    void aFailedActLeavesNothing()
    {
        Result<Project> project = Project::create(path("failed.gpkg"), Skelder);
        QVERIFY(project);
        Drawing drawing = plan("P-014");
        put(*project, drawing);
        const auto failed = project->act("two at once", [&](Editor& edit) -> Result<void> {
            Person person{0, "AB", "", ""};
            if (const auto done = edit.put(person); !done)
                return done;
            Drawing again = plan("P-014");
            return edit.put(again);
        });
        QVERIFY(!failed);
        QCOMPARE(failed.error().code, ErrorCode::Conflict);
        QVERIFY2(failed.error().message.find("P-014") != std::string::npos, failed.error().message.c_str());
        QVERIFY(project->all<Person>().empty());
        QCOMPARE(project->journal().size(), std::size_t{1});
    }

    void aSecondWriterIsRefusedAndMayRead()
    {
        Result<Project> first = Project::create(path("two.gpkg"), Skelder);
        QVERIFY(first);
        const Result<Project> second = Project::open(path("two.gpkg"), Access::Write);
        QVERIFY(!second);
        QCOMPARE(second.error().code, ErrorCode::ReadOnly);
        Result<Project> reader = Project::open(path("two.gpkg"), Access::Read);
        QVERIFY2(reader, reader ? "" : reader.error().message.c_str());
        Drawing drawing = plan("P-014");
        put(*first, drawing);
        QCOMPARE(reader->all<Drawing>().size(), std::size_t{1});
        QVERIFY(!reader->act("x", [](Editor&) -> Result<void> { return {}; }));
    }

    void theJournalCannotBeChanged()
    {
        {
            Result<Project> project = Project::create(path("journal.gpkg"), Skelder);
            QVERIFY(project);
            Drawing drawing = plan("P-014");
            put(*project, drawing);
        }
        auto database = Database::open(path("journal.gpkg"), SQLITE_OPEN_READWRITE);
        QVERIFY(database);
        for (const char* sql :
             {"DELETE FROM journal", "UPDATE journal SET what = 'x'", "DELETE FROM journal_changes",
              "UPDATE journal_changes SET changeset = x'00'"})
            QVERIFY2(!database->run(sql), sql);
    }

    // OGC 12-128r17 (GeoPackage 1.3.0) as checked by validate_gpkg.py of Debian's python3-gdal samples.
    void theFileIsAValidGeoPackage()
    {
        {
            Result<Project> project = Project::create(path("valid.gpkg"), Skelder);
            QVERIFY(project);
            Drawing drawing = plan("P-014");
            put(*project, drawing);
            Outline outline = kiln(drawing.id);
            put(*project, outline);
            Peg peg{0, "A1", PegFrame::Crs, {553'000, 6'100'000}, {}, 0.01, 0.01, {}, ""};
            put(*project, peg);
            EdgeLine edge{0, drawing.id, LineKind::SectionLine, "", "A-B", {{0, 0}, {10, 5}}};
            put(*project, edge);
        }
        QVERIFY(!std::filesystem::exists(path("valid.gpkg-wal")));
        QVERIFY(!std::filesystem::exists(path("valid.gpkg-lock")));
        QProcess validator;
        validator.start("python3",
                        {"/usr/lib/python3/dist-packages/osgeo_utils/samples/validate_gpkg.py", "-q",
                         "--extra", "--warning-as-error", m_folder.filePath("valid.gpkg")});
        QVERIFY(validator.waitForFinished(60'000));
        const QByteArray words = validator.readAllStandardOutput() + validator.readAllStandardError();
        QVERIFY2(validator.exitCode() == 0, words.constData());
    }

    // The reference reader is GDAL's GeoPackage driver.
    void gdalReadsEveryTableWithItsColumns()
    {
        {
            Result<Project> project = Project::create(path("gdal.gpkg"), Skelder);
            QVERIFY(project);
            Find find{0, "SF12", "1032", "1", "bone", "pin", GroundM{553'000.25, 6'100'000.5}, 52.3, 0.02};
            put(*project, find);
            Outline outline = kiln(1);
            put(*project, outline);
        }
        GDALAllRegister();
        const std::unique_ptr<GDALDataset> dataset(
            GDALDataset::Open(path("gdal.gpkg").c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY));
        QVERIFY(dataset != nullptr);
        for (const Table* table : allTables()) {
            OGRLayer* layer = dataset->GetLayerByName(table->name.c_str());
            QVERIFY2(layer, table->name.c_str());
            for (const Column& column : table->columns)
                if (column.type == ColumnType::Shape)
                    QCOMPARE(std::string(layer->GetGeometryColumn()), column.name);
                else if (column.name == "id")
                    QCOMPARE(std::string(layer->GetFIDColumn()), column.name);
                else
                    QVERIFY2(layer->GetLayerDefn()->GetFieldIndex(column.name.c_str()) >= 0,
                             column.name.c_str());
        }
        const OGRFeatureUniquePtr find(dataset->GetLayerByName("finds")->GetNextFeature());
        QVERIFY(find);
        QCOMPARE(QString(find->GetFieldAsString("number")), QString("SF12"));
        QCOMPARE(QString::fromStdString(find->GetGeometryRef()->exportToWkt()),
                 QString("POINT (553000.25 6100000.5)"));
        const OGRSpatialReference* crs = dataset->GetLayerByName("finds")->GetSpatialRef();
        QVERIFY(crs);
        QCOMPARE(QString(crs->GetAuthorityCode(nullptr)), QString("25832"));
        const OGRFeatureUniquePtr outline(dataset->GetLayerByName("outlines")->GetNextFeature());
        QVERIFY(outline);
        // 100 x 100 without the hole of 200, and the triangle of half 20.00390625 x 30: by hand.
        const double area = outline->GetGeometryRef()->toMultiPolygon()->get_Area();
        QVERIFY(std::abs(area - (10'000 - 200 + 300.05859375)) < 1e-9);
    }

    // Random acts on three tables: undoing all leads back through every state, redoing all forward again.
    void undoAllAndRedoAllPassThroughTheSameStates()
    {
        Result<Project> project = Project::create(path("random.gpkg"), Skelder);
        QVERIFY(project);
        const unsigned seed = 20260506;
        std::mt19937 random(seed);
        const auto any = [&](std::size_t below) { return static_cast<std::size_t>(random() % below); };
        struct State {
            std::vector<Outline> outlines;
            std::vector<Pin> pins;
            std::vector<Context> contexts;
            bool operator==(const State&) const = default;
        };
        const auto state = [&] {
            return State{project->all<Outline>(), project->all<Pin>(), project->all<Context>()};
        };
        std::vector<State> states = {state()};
        for (int i = 0; i < 120; ++i) {
            const auto edit = [&](Editor& editor) -> Result<void> {
                for (std::size_t steps = 1 + any(3); steps > 0; --steps) {
                    const std::size_t what = any(6);
                    const State& now = states.back();
                    Result<void> done;
                    if (what == 0 && !now.outlines.empty()) {
                        Outline outline = now.outlines[any(now.outlines.size())];
                        outline.parts[0].outer.vertices[any(3)].column +=
                            1 + static_cast<double>(any(9)) / 256;
                        if (project->byId<Outline>(outline.id))
                            done = editor.put(outline);
                    } else if (what == 1 && !now.outlines.empty()) {
                        const auto id = now.outlines[any(now.outlines.size())].id;
                        if (project->byId<Outline>(id))
                            done = editor.remove<Outline>(id);
                    } else if (what == 2) {
                        Pin pin{0,           1 + static_cast<std::int64_t>(any(3)),
                                "A",         {1.5, static_cast<double>(i)},
                                PinUse::Fit, "hand"};
                        done = editor.put(pin);
                    } else if (what == 3 && !now.contexts.empty()) {
                        // A number goes from one record to the next: unique keys must not stop the undo.
                        Context context = now.contexts[any(now.contexts.size())];
                        if (project->byId<Context>(context.id)) {
                            done = editor.remove<Context>(context.id);
                            context.id = 0;
                            if (done)
                                done = editor.put(context);
                        }
                    } else if (what == 4) {
                        Context context;
                        context.number = std::to_string(1000 + i * 4) + "." + std::to_string(steps);
                        done = editor.put(context);
                    } else {
                        Outline outline = kiln(1 + static_cast<std::int64_t>(any(3)));
                        done = editor.put(outline);
                    }
                    if (!done)
                        return done;
                }
                return {};
            };
            const Result<Change> change = project->act("act", edit);
            QVERIFY2(change, change ? "" : change.error().message.c_str());
            if (change->journalId != 0)
                states.push_back(state());
        }
        for (int round = 0; round < 2; ++round) {
            for (std::size_t i = states.size() - 1; i > 0; --i) {
                const auto undone = project->undo();
                QVERIFY2(undone, undone ? "" : undone.error().message.c_str());
                QVERIFY2(state() == states[i - 1],
                         qPrintable(QString("undo to %1, seed %2").arg(i - 1).arg(seed)));
            }
            QVERIFY(!project->canUndo());
            for (std::size_t i = 1; i < states.size(); ++i) {
                QVERIFY(project->redo());
                QVERIFY2(state() == states[i], qPrintable(QString("redo to %1, seed %2").arg(i).arg(seed)));
            }
            QVERIFY(!project->canRedo());
        }
        QVERIFY(!project->takeReadingTrouble());
    }

    void anEditThatThrowsLeavesNothing()
    {
        Result<Project> project = Project::create(path("throws.gpkg"), Skelder);
        QVERIFY(project);
        const auto throwing = [&] {
            (void)project->act("x", [](Editor& edit) -> Result<void> {
                Person person{0, "AB", "", ""};
                (void)edit.put(person);
                throw std::runtime_error("stop");
            });
        };
        QVERIFY_EXCEPTION_THROWN(throwing(), std::runtime_error);
        QVERIFY(project->all<Person>().empty());
        Person person{0, "AB", "", ""};
        put(*project, person);
    }

    void otherFilesAreRefusedInWords()
    {
        const auto refusal = [&](const char* name, const std::string& content) {
            std::ofstream(path(name), std::ios::binary) << content;
            const Result<Project> project = Project::open(path(name), Access::Write);
            return project ? std::string() : project.error().message;
        };
        QVERIFY(refusal("a.gpkg", "II*").find("a TIFF image") != std::string::npos);
        QVERIFY(refusal("b.gpkg", "number,kind\n").find("a text file") != std::string::npos);
        QVERIFY(refusal("c.gpkg", "").find("an empty file") != std::string::npos);
        QVERIFY(!Project::open(path("none.gpkg"), Access::Read));
        auto database = Database::open(path("sq.gpkg"), SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE);
        QVERIFY(database && database->run("CREATE TABLE t (a)"));
        const Result<Project> other = Project::open(path("sq.gpkg"), Access::Read);
        QVERIFY(!other && other.error().message.find("not an Inkpeg project") != std::string::npos);
    }

    void anUnknownCrsIsRefused_data()
    {
        QTest::addColumn<QString>("crs");
        for (const char* crs : {"EPSG:999999", "EPSG:4326", "UTM 32", "", "EPSG:2263"})
            QTest::newRow(*crs ? crs : "none") << QString(crs);
    }
    void anUnknownCrsIsRefused()
    {
        QFETCH(QString, crs);
        ProjectFacts facts = Skelder;
        facts.crs = crs.toStdString();
        const Result<Project> project = Project::create(path("crs.gpkg"), facts);
        QVERIFY(!project);
        QCOMPARE(project.error().code, ErrorCode::BadInput);
        QVERIFY(project.error().message.find(facts.crs) != std::string::npos);
        QVERIFY(!std::filesystem::exists(path("crs.gpkg")));
    }

    void anOlderFileIsCopiedAndGainsItsColumns()
    {
        {
            Result<Project> project = Project::create(path("old.gpkg"), Skelder);
            QVERIFY(project);
            Drawing drawing = plan("P-014");
            drawing.note = "wet";
            put(*project, drawing);
        }
        {
            auto database = Database::open(path("old.gpkg"), SQLITE_OPEN_READWRITE);
            QVERIFY(database &&
                    database->run(
                        "ALTER TABLE drawings DROP COLUMN note; UPDATE file_format SET version = 0;"
                        "DROP TABLE waivers; DELETE FROM gpkg_contents WHERE table_name = 'waivers'"));
        }
        QCOMPARE(Project::open(path("old.gpkg"), Access::Read).error().code, ErrorCode::ReadOnly);
        Result<Project> project = Project::open(path("old.gpkg"), Access::Write);
        QVERIFY2(project, project ? "" : project.error().message.c_str());
        QVERIFY(project->openingRemark().find("old.gpkg.version-0.copy") != std::string::npos);
        QVERIFY(std::filesystem::exists(path("old.gpkg.version-0.copy")));
        QCOMPARE(project->byKey<Drawing>("P-014")->note, std::string());
        QVERIFY(project->all<Waiver>().empty());
        QVERIFY(!project->takeReadingTrouble());
    }

    /// Version 2 knew no level books and nothing of section lines: what is there is kept, the rest is as new.
    void aFileOfVersionTwoGainsSectionLinesAndLevelBooks()
    {
        std::int64_t id = 0;
        {
            Result<Project> project = Project::create(path("of-version-two.gpkg"), Skelder);
            QVERIFY(project);
            Drawing section;
            section.number = "S-01";
            section.kind = DrawingKind::Section;
            put(*project, section);
            id = section.id;
            Pin pin;
            pin.drawing = id;
            pin.peg = "N1";
            put(*project, pin);
        }
        {
            auto database = Database::open(path("of-version-two.gpkg"), SQLITE_OPEN_READWRITE);
            QVERIFY(
                database &&
                database->run("ALTER TABLE drawings DROP COLUMN section_line;"
                              "ALTER TABLE drawings DROP COLUMN exaggeration;"
                              "ALTER TABLE pins DROP COLUMN on_datum; ALTER TABLE pins DROP COLUMN datum;"
                              "ALTER TABLE levels DROP COLUMN point;"
                              "DROP TABLE level_books; DROP TABLE level_readings;"
                              "DELETE FROM gpkg_contents WHERE table_name LIKE 'level\\_%' ESCAPE '\\';"
                              "UPDATE file_format SET version = 2;"));
        }
        Result<Project> project = Project::open(path("of-version-two.gpkg"), Access::Write);
        QVERIFY2(project, project ? "" : project.error().message.c_str());
        QVERIFY(std::filesystem::exists(path("of-version-two.gpkg.version-2.copy")));
        const Drawing section = *project->byId<Drawing>(id);
        QCOMPARE(section.number, std::string("S-01"));
        QVERIFY(section.sectionLine.empty() && section.verticalExaggeration == 1);
        QVERIFY(!project->ofDrawing<Pin>(id).at(0).onDatum);
        LevelBook book;
        book.name = "morning";
        put(*project, book);
        QCOMPARE(project->byKey<LevelBook>("morning"), std::optional(book));
    }

    void aNewerFileIsOnlyRead()
    {
        (void)Project::create(path("newer.gpkg"), Skelder);
        {
            auto database = Database::open(path("newer.gpkg"), SQLITE_OPEN_READWRITE);
            QVERIFY(database && database->run("UPDATE file_format SET version = 99"));
        }
        QCOMPARE(Project::open(path("newer.gpkg"), Access::Write).error().code, ErrorCode::ReadOnly);
        const Result<Project> project = Project::open(path("newer.gpkg"), Access::Read);
        QVERIFY(project && !project->openingRemark().empty());
        QVERIFY(project->facts() == Skelder);
    }

    void aLogLeftOfAnotherProjectIsNotFoldedIn()
    {
        std::ofstream(path("gone.gpkg-wal")) << "a log";
        const Result<Project> project = Project::create(path("gone.gpkg"), Skelder);
        QVERIFY(!project);
        QCOMPARE(project.error().code, ErrorCode::Conflict);
        QVERIFY2(project.error().message.find("gone.gpkg-wal") != std::string::npos,
                 project.error().message.c_str());
        QVERIFY(!std::filesystem::exists(path("gone.gpkg")));
        QCOMPARE(Project::create(path("gone.gpkg"), Skelder).error().code, ErrorCode::Conflict);
        QCOMPARE(Project::create(path("no/folder.gpkg"), Skelder).error().code, ErrorCode::NotFound);
        QCOMPARE(Project::create(path("valid.gpkg"), Skelder).error().code, ErrorCode::Conflict);
    }

    void theCrsStays()
    {
        Result<Project> project = Project::create(path("stays.gpkg"), Skelder);
        QVERIFY(project);
        ProjectFacts facts = Skelder;
        facts.title = "Skelder Rigg, kiln";
        QVERIFY(project->act("title", [&](Editor& edit) { return edit.putFacts(facts); }));
        QVERIFY(project->facts() == facts);
        facts.crs = "EPSG:25833";
        QVERIFY(!project->act("CRS", [&](Editor& edit) { return edit.putFacts(facts); }));
    }
};

QTEST_GUILESS_MAIN(ProjectTest)
#include "ProjectTest.moc"
