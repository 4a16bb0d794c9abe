// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/SiteDatabase.h"

#include <fstream>

#include <QTest>

#include "core/handover/FeatureLayers.h"
#include "tests/core/handover/SiteServer.h"
#include "tests/core/handover/YardProject.h"

using namespace inkpeg;

class SiteDatabaseTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;
    SiteServer m_server;
    std::optional<Project> m_project;

    static PushReport must(const Result<PushReport>& report)
    {
        if (!report)
            qFatal("%s", report.error().message.c_str());
        return *report;
    }
    DatabaseSettings everything() const
    {
        DatabaseSettings settings;
        settings.service = "site";
        settings.leastStage = Stage::Listed;
        return settings;
    }

private slots:
    void initTestCase()
    {
        const QString trouble = m_server.start();
        QVERIFY2(trouble.isEmpty(), qPrintable(trouble));
        m_project.emplace(yard::make(m_folder.filePath("yard.gpkg").toStdString()));
    }

    void aDryRunCountsAndLeavesNothing()
    {
        DatabaseSettings settings = everything();
        settings.dryRun = true;
        const PushReport report = must(pushToDatabase(*m_project, settings));
        QVERIFY(!report.committed);
        QVERIFY(report.sum().added > 40);
        QCOMPARE(m_server.sql("SELECT count(*) FROM pg_namespace WHERE nspname = 'excavation'"),
                 QString("0"));
    }

    void everyRecordArrivesWithItsPlace()
    {
        const PushReport report = must(pushToDatabase(*m_project, everything()));
        QVERIFY(report.committed);
        const Result<HandOverContent> content = gatherLayers(*m_project);
        QStringList counts, wanted;
        for (const FeatureLayer& layer : content->layers) {
            counts << QString("(SELECT count(*) FROM excavation.\"%1\")").arg(layer.schema.name.c_str());
            wanted << QString::number(layer.features.size());
        }
        QCOMPARE(m_server.sql("SELECT " + counts.join(", ")), wanted.join('|'));
        QCOMPARE(m_server.sql("SELECT context, drawing, edge_kinds, traced_by FROM excavation.outlines"),
                 QString("1032|P-01|certain, uncertain, truncated|MH"));
        QCOMPARE(m_server.sql("SELECT description FROM excavation.contexts WHERE record_number = '1032'"),
                 QString("Kiln pit, \"flue\" to the <north>, ash & clay"));
        // PostGIS computes the area from what arrived; the field holds what the program computed.
        QCOMPARE(
            m_server.sql(
                "SELECT count(*) FROM excavation.outlines WHERE abs(ST_Area(geometry) - area_m2) < 1e-6"),
            QString("1"));
        QCOMPARE(m_server.sql("SELECT DISTINCT ST_SRID(geometry) FROM excavation.outlines"),
                 QString("25832"));
        QCOMPARE(m_server.sql("SELECT DISTINCT ST_SRID(geometry) FROM excavation.section_outlines"),
                 QString("0"));
        // a find with a level has it as Z, one without a place has no geometry
        QCOMPARE(m_server.sql("SELECT round(ST_Z(geometry)::numeric, 2) FROM excavation.finds WHERE "
                              "record_number = 'SF7'"),
                 QString("51.37"));
        QCOMPARE(m_server.sql("SELECT geometry IS NULL FROM excavation.finds WHERE record_number = 'SF8'"),
                 QString("t"));
        // 0.1 mm: the vertices as PostGIS holds them against those gathered
        const FeatureLayer& outlines =
            *std::find_if(content->layers.begin(), content->layers.end(),
                          [](const FeatureLayer& layer) { return layer.schema.name == "outlines"; });
        QStringList near;
        for (const GroundM at : outlines.features[0].geometry.polygons[0][0])
            near << QString(
                        "ST_DWithin(ST_Points(geometry), ST_SetSRID(ST_MakePoint(%1, %2), 25832), 1e-4)")
                        .arg(at.east, 0, 'f', 9)
                        .arg(at.north, 0, 'f', 9);
        QVERIFY(near.size() >= 4);
        QCOMPARE(m_server.sql("SELECT " + near.join(" AND ") + " FROM excavation.outlines"), QString("t"));
    }

    void pushingAgainChangesNothing()
    {
        const QString before = m_server.sql(
            "SELECT string_agg(xmin::text, ',' ORDER BY record_number) FROM excavation.contexts");
        const TablePush sum = must(pushToDatabase(*m_project, everything())).sum();
        QCOMPARE(sum.added, std::size_t{0});
        QCOMPARE(sum.changed, std::size_t{0});
        QCOMPARE(sum.conflicting, std::size_t{0});
        QVERIFY(sum.same > 40);
        QCOMPARE(m_server.sql(
                     "SELECT string_agg(xmin::text, ',' ORDER BY record_number) FROM excavation.contexts"),
                 before);
    }

    void aChangedRecordIsChangedAndOneMoreIsAdded()
    {
        Context fill = m_project->byKey<Context>("1033").value();
        fill.description = "'; DROP TABLE excavation.contexts; --";
        QVERIFY(m_project->act("describe", [&](Editor& edit) {
            yard::put(edit,
                      Context{0, "1034", "layer", "1", "Robert'); --", "", "", "", {}, {}, Stage::Listed});
            return edit.put(fill);
        }));
        const PushReport report = must(pushToDatabase(*m_project, everything()));
        QCOMPARE(report.sum().added, std::size_t{1});
        QCOMPARE(report.sum().changed, std::size_t{1});
        QCOMPARE(m_server.sql("SELECT description FROM excavation.contexts WHERE record_number = '1033'"),
                 QString("'; DROP TABLE excavation.contexts; --"));
    }

    void whatOtherHandsChangedIsAConflictAndStays()
    {
        m_server.sql("UPDATE excavation.contexts SET description = 'mine', kind = 'layer' WHERE "
                     "record_number = '1032'");
        const PushReport report = must(pushToDatabase(*m_project, everything()));
        QCOMPARE(report.sum().conflicting, std::size_t{1});
        QCOMPARE(report.conflicts.size(), std::size_t{1});
        QCOMPARE(report.conflicts[0].table, std::string("contexts"));
        QCOMPARE(report.conflicts[0].record, std::string("1032"));
        QCOMPARE(report.conflicts[0].fields, std::string("description, kind"));
        QCOMPARE(m_server.sql("SELECT description FROM excavation.contexts WHERE record_number = '1032'"),
                 QString("mine"));
        DatabaseSettings overwrite = everything();
        overwrite.overwrite = true;
        must(pushToDatabase(*m_project, overwrite));
        QVERIFY(m_server.sql("SELECT description FROM excavation.contexts WHERE record_number = '1032'")
                    .startsWith("Kiln pit"));
    }

    void anotherSitesRecordsAreLeftAlone()
    {
        m_server.sql("INSERT INTO excavation.contexts (site_code, record_number, description) VALUES "
                     "('OTHER', '1032', 'theirs')");
        const TablePush sum = must(pushToDatabase(*m_project, everything())).sum();
        QCOMPARE(sum.conflicting + sum.gone, std::size_t{0});
        QCOMPARE(m_server.sql("SELECT description FROM excavation.contexts WHERE site_code = 'OTHER'"),
                 QString("theirs"));
    }

    void onlyWhatIsSignedOffGoesUnlessAskedOtherwise()
    {
        DatabaseSettings settings;
        settings.service = "site";
        settings.schema = "signed";
        must(pushToDatabase(*m_project, settings));
        QCOMPARE(m_server.sql("SELECT count(*) FROM signed.outlines"), QString("0"));
        QCOMPARE(m_server.sql("SELECT count(*) FROM signed.contexts"), QString("0"));
        QVERIFY(m_server.sql("SELECT count(*) FROM signed.pegs").toInt() > 0);
        Drawing plan = m_project->byKey<Drawing>("P-01").value();
        plan.stage = Stage::SignedOff;
        Context kiln = m_project->byKey<Context>("1032").value();
        kiln.stage = Stage::SignedOff;
        QVERIFY(m_project->act("sign", [&](Editor& edit) -> Result<void> {
            if (const Result<void> put = edit.put(plan); !put)
                return put;
            return edit.put(kiln);
        }));
        must(pushToDatabase(*m_project, settings));
        QCOMPARE(m_server.sql("SELECT record_number FROM signed.drawings"), QString("P-01"));
        QCOMPARE(m_server.sql("SELECT record_number FROM signed.contexts"), QString("1032"));
        QCOMPARE(m_server.sql("SELECT context FROM signed.outlines"), QString("1032"));
        QCOMPARE(m_server.sql("SELECT count(*) FROM signed.finds"), QString("0"));
        QCOMPARE(m_server.sql("SELECT count(*) FROM signed.section_outlines"), QString("0"));
    }

    // One transaction: stopping in the middle leaves the database as it was.
    void stoppingHalfwayLeavesTheDatabaseAsItWas()
    {
        DatabaseSettings settings = everything();
        settings.schema = "stopped";
        const auto stopped = pushToDatabase(*m_project, settings, [](double share) { return share < 0.7; });
        QVERIFY(!stopped && stopped.error().code == ErrorCode::Cancelled);
        QCOMPARE(m_server.sql("SELECT count(*) FROM pg_namespace WHERE nspname = 'stopped'"), QString("0"));
        // a table that refuses a row stops the whole push too
        m_server.sql("CREATE SCHEMA strict; CREATE TABLE strict.contexts (site_code text, record_number "
                     "text, geometry geometry, "
                     "pushed_digest text, pushed_state text, kind text CHECK (kind <> 'fill'), PRIMARY KEY "
                     "(site_code, record_number))");
        settings.schema = "strict";
        const auto refused = pushToDatabase(*m_project, settings);
        QVERIFY(!refused);
        QVERIFY2(refused.error().message.find("contexts") != std::string::npos,
                 refused.error().message.c_str());
        QCOMPARE(m_server.sql("SELECT count(*) FROM pg_tables WHERE schemaname = 'strict'"), QString("1"));
    }

    void thePasswordComesFromFileOrPromptAndIsNeverSaid()
    {
        m_server.usePasswordFile(false);
        DatabaseSettings settings = everything();
        settings.dryRun = true;
        const auto none = pushToDatabase(*m_project, settings);
        QVERIFY(!none);
        QVERIFY2(wantsPassword(none.error()), none.error().message.c_str());
        settings.password = "wrong-secret";
        const auto wrong = pushToDatabase(*m_project, settings);
        QVERIFY(!wrong);
        QVERIFY2(wrong.error().message.find("wrong-secret") == std::string::npos,
                 wrong.error().message.c_str());
        QVERIFY(!wantsPassword(wrong.error()));
        settings.password = SiteServer::Password;
        const auto typed = pushToDatabase(*m_project, settings);
        QVERIFY2(typed, typed ? "" : typed.error().message.c_str());
        m_server.usePasswordFile(true);
        // neither the project file nor the server's log holds it
        std::ifstream file(m_folder.filePath("yard.gpkg").toStdString(), std::ios::binary);
        const std::string bytes{std::istreambuf_iterator<char>(file), {}};
        QVERIFY(bytes.find("mash 1349") == std::string::npos &&
                bytes.find("service=") == std::string::npos);
        QVERIFY(!m_server.log().contains("mash 1349"));
    }

    void namesThatAreNoNamesAreRefused()
    {
        for (const char* name : {"", "a b", "x'; DROP", "../x", "s\" --"}) {
            DatabaseSettings settings = everything();
            settings.service = name;
            const auto service = pushToDatabase(*m_project, settings);
            QVERIFY(!service && service.error().code == ErrorCode::BadInput);
            settings = everything();
            settings.schema = name;
            const auto schema = pushToDatabase(*m_project, settings);
            QVERIFY(!schema && schema.error().code == ErrorCode::BadInput);
        }
        DatabaseSettings unknown = everything();
        unknown.service = "nowhere";
        const auto refused = pushToDatabase(*m_project, unknown);
        QVERIFY(!refused && refused.error().code == ErrorCode::NotFound);
        QVERIFY2(refused.error().message.find("nowhere") != std::string::npos,
                 refused.error().message.c_str());
    }

    void recordNumbersAreAllDifferent()
    {
        const Result<HandOverContent> content = gatherLayers(*m_project);
        for (const FeatureLayer& layer : content->layers) {
            std::vector<std::string> numbers = recordNumbers(layer);
            std::sort(numbers.begin(), numbers.end());
            QVERIFY2(std::adjacent_find(numbers.begin(), numbers.end()) == numbers.end(),
                     layer.schema.name.c_str());
            QVERIFY2(layer.features.empty() || !numbers.front().starts_with("#"),
                     layer.schema.name.c_str());
        }
    }
};

QTEST_GUILESS_MAIN(SiteDatabaseTest)
#include "SiteDatabaseTest.moc"
