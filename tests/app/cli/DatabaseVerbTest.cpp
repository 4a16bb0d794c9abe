// SPDX-License-Identifier: GPL-3.0-or-later
// inkpeg hand-over --database against a real PostgreSQL with PostGIS: what is said and what arrives.
#include <fstream>

#include <QTemporaryDir>
#include <QTest>

#include <nlohmann/json.hpp>

#include "tests/app/cli/Program.h"
#include "tests/core/handover/SiteServer.h"
#include "tests/core/handover/YardProject.h"

using namespace inkpeg;
using nlohmann::json;

class DatabaseVerbTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;
    SiteServer m_server;

    QString project() const { return m_folder.filePath("yard.gpkg"); }
    Ran push(const QStringList& more) const
    {
        return run(QStringList{"hand-over", project(), "--database", "site"} + more);
    }

private slots:
    void initTestCase()
    {
        const QString trouble = m_server.start();
        QVERIFY2(trouble.isEmpty(), qPrintable(trouble));
        yard::make(project().toStdString());
    }

    void aDryRunCountsAndLeavesTheDatabaseAsItWas()
    {
        const Ran ran = push({"--stage", "listed", "--dry-run", "--json"});
        QVERIFY2(ran.exitCode == 0, qPrintable(ran.err));
        const json said = json::parse(ran.out.toStdString());
        QVERIFY(!said["committed"].get<bool>());
        QCOMPARE(said["tables"]["contexts"]["added"].get<int>(), 2);
        QCOMPARE(said["tables"]["outlines"]["added"].get<int>(), 1);
        QCOMPARE(m_server.sql("SELECT count(*) FROM pg_namespace WHERE nspname = 'excavation'"),
                 QString("0"));
    }

    void onlyWhatIsSignedOffGoesUnlessAskedOtherwise()
    {
        const Ran ran = push({"--schema", "signed"});
        QVERIFY2(ran.exitCode == 0 && ran.out.endsWith("pushed\n"), qPrintable(ran.out + ran.err));
        QCOMPARE(
            m_server.sql(
                "SELECT (SELECT count(*) FROM signed.outlines), (SELECT count(*) FROM signed.pegs) > 0"),
            QString("0|t"));
    }

    void everythingArrivesAndASecondPushFindsItSo()
    {
        const Ran first = push({"--stage", "listed"});
        QVERIFY2(first.exitCode == 0 && first.out.contains("contexts: 2 added") &&
                     first.out.endsWith("pushed\n"),
                 qPrintable(first.out + first.err));
        QCOMPARE(m_server.sql("SELECT context, drawing FROM excavation.outlines"), QString("1032|P-01"));
        QCOMPARE(m_server.sql("SELECT count(*) FROM excavation.contexts WHERE site_code = 'SKR26'"),
                 QString("2"));
        const Ran again = push({"--stage", "listed", "--json"});
        QVERIFY2(again.exitCode == 0, qPrintable(again.err));
        const json contexts = json::parse(again.out.toStdString())["tables"]["contexts"];
        QCOMPARE(contexts["same"].get<int>(), 2);
        QCOMPARE(contexts["added"].get<int>() + contexts["changed"].get<int>(), 0);
    }

    // A conflict is a fault until it is overwritten on purpose.
    void whatOtherHandsChangedIsListedAndKept()
    {
        m_server.sql("UPDATE excavation.contexts SET description = 'mine' WHERE record_number = '1032'");
        const Ran kept = push({"--stage", "listed"});
        QVERIFY2(kept.exitCode == 1, qPrintable(kept.out + kept.err));
        QVERIFY2(kept.out.contains("conflict: contexts 1032 was changed in the database: description"),
                 qPrintable(kept.out));
        QCOMPARE(m_server.sql("SELECT description FROM excavation.contexts WHERE record_number = '1032'"),
                 QString("mine"));
        const Ran tried = push({"--stage", "listed", "--overwrite", "--dry-run"});
        QVERIFY2(tried.out.contains("would be written over: contexts 1032"), qPrintable(tried.out));
        const Ran over = push({"--stage", "listed", "--overwrite"});
        QVERIFY2(over.exitCode == 0, qPrintable(over.out + over.err));
        QVERIFY2(over.out.contains("\nwritten over: contexts 1032"), qPrintable(over.out));
        QVERIFY(m_server.sql("SELECT description FROM excavation.contexts WHERE record_number = '1032'")
                    .startsWith("Kiln pit"));
    }

    void withoutAPasswordItSaysWhereOneBelongs()
    {
        m_server.usePasswordFile(false);
        const Ran ran = push({"--dry-run"});
        m_server.usePasswordFile(true);
        QCOMPARE(ran.exitCode, 2);
        QVERIFY2(ran.out.isEmpty() && ran.err.contains("no password supplied") &&
                     ran.err.contains("PGPASSFILE"),
                 qPrintable(ran.out + ran.err));
    }

    void noWordOfAPasswordIsSaidOrKept()
    {
        const Ran ran = push({"--stage", "listed", "--json"});
        QCOMPARE(ran.exitCode, 0);
        const QString password = SiteServer::Password;
        QVERIFY(!ran.out.contains(password) && !ran.err.contains(password));
        std::ifstream file(project().toStdString(), std::ios::binary);
        const std::string bytes{std::istreambuf_iterator<char>(file), {}};
        QVERIFY(bytes.find(SiteServer::Password) == std::string::npos);
    }

    void whatIsWrongIsNamed()
    {
        const auto refused = [&](const QStringList& arguments, const QString& word) {
            const Ran ran = run(QStringList{"hand-over", project()} + arguments);
            QVERIFY2(ran.exitCode == 2 && ran.out.isEmpty(), qPrintable(ran.out + ran.err));
            QVERIFY2(ran.err.contains(word), qPrintable("\"" + word + "\" is not in: " + ran.err));
        };
        refused({"--database", "nowhere"}, "nowhere");
        refused({"--database", "a b; DROP"}, "no plain name");
        refused({"--database", "site", "--schema", "x'y"}, "no plain name");
        refused({"--database", "site", "--stage", "done"}, "--stage \"done\"");
        refused({}, "--to FOLDER, or --database SERVICE");
    }
};

QTEST_GUILESS_MAIN(DatabaseVerbTest)
#include "DatabaseVerbTest.moc"
