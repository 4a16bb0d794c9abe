// SPDX-License-Identifier: GPL-3.0-or-later
// A project file in which another program, or a bad disk, left something that cannot be read: nothing is
// said of the rest as if it were the whole.
#include <filesystem>
#include <fstream>

#include <QTemporaryDir>
#include <QTest>

#include "core/store/Database.h"
#include "tests/app/cli/Program.h"
#include "tests/core/handover/YardFilm.h"

using namespace inkpeg;

namespace fs = std::filesystem;

class UnreadableProjectTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;

    QString path(const QString& name) const { return m_folder.filePath(name); }
    fs::path at(const char* name) const { return path(name).toStdString(); }

    /// The sound project over again, for a test to spoil.
    void spoilt(const char* sql) const
    {
        fs::copy_file(at("sound.gpkg"), at("yard.gpkg"), fs::copy_options::overwrite_existing);
        const Result<Database> database = Database::open(at("yard.gpkg"), SQLITE_OPEN_READWRITE);
        QVERIFY(database);
        const Result<void> done = database->run(sql);
        QVERIFY2(done, done ? "" : done.error().message.c_str());
    }
    static QByteArray bytes(const QString& name)
    {
        QFile file(name);
        return file.open(QIODevice::ReadOnly) ? file.readAll() : QByteArray();
    }

    /// Every verb that speaks of the whole project refuses, names what cannot be read, and writes nothing; so
    /// do these kinds of report, of which what cannot be read is a part.
    void everyVerbSays(const QStringList& words, const QStringList& reports = {"project"}) const
    {
        const QByteArray before = bytes(path("yard.gpkg"));
        QList<QStringList> calls{
            {"check", path("yard.gpkg")},
            {"links", path("yard.gpkg")},
            {"hand-over", path("yard.gpkg"), "--to", path("out")},
            {"hand-over", path("yard.gpkg"), "--to", path("out"), "--bag", "--without-scans"},
            {"verify", path("bag"), "--project", path("yard.gpkg")}};
        for (const QString& kind : reports)
            calls << QStringList{"report", path("yard.gpkg"), "--to", path("out"), "--kind", kind};
        for (const QStringList& call : calls) {
            const Ran ran = run(call);
            QVERIFY2(ran.exitCode == 2 && ran.out.isEmpty(),
                     qPrintable(call.join(' ') + ": " + QString::number(ran.exitCode) + ran.out + ran.err));
            for (const QString& word : words + QStringList{path("yard.gpkg")})
                QVERIFY2(ran.err.contains(word), qPrintable(word + " is not in: " + ran.err));
            QVERIFY2(!ran.err.contains("not sound"), qPrintable(ran.err)); // the bag has no part in it
            QVERIFY(!fs::exists(at("out")));
        }
        QVERIFY(bytes(path("yard.gpkg")) == before);
    }

private slots:
    void initTestCase()
    {
        {
            Project project = yard::make(at("sound.gpkg"));
            yard::scanFilm(project);
        }
        const Ran bag = run({"hand-over", path("sound.gpkg"), "--to", path("bag"), "--bag"});
        QVERIFY2(bag.exitCode == 0, qPrintable(bag.err));
        const Ran sound = run({"verify", path("bag"), "--project", path("sound.gpkg")});
        QVERIFY2(sound.exitCode == 0, qPrintable(sound.err));
    }

    void aStageThatThereIsNotIsNamedWithItsRecord()
    {
        spoilt("UPDATE contexts SET stage = 'xyz' WHERE number = '1033'");
        everyVerbSays({"contexts 1033", "contexts.stage", "\"xyz\" is none of ", "signed off"},
                      {"project", "sequence"});
    }

    void aPinsUseThatThereIsNotIsNamed()
    {
        spoilt("UPDATE pins SET use = 'perhaps' WHERE id = 1");
        everyVerbSays({"pins, row 1", "pins.use", "\"perhaps\" is none of "},
                      {"project", "residuals", "plans"});
    }

    void aNumberThatIsNoneIsNamedWithItsRecord()
    {
        spoilt("UPDATE contexts SET top = 'high' WHERE number = '1032'");
        everyVerbSays({"contexts 1032", "contexts.top", "\"high\" is no number"});
    }

    void edgeKindsThatDoNotFitTheirOutlineAreNamed()
    {
        spoilt("UPDATE outlines SET edge_kinds = '2 certain' WHERE id = 1");
        everyVerbSays({"outlines, row 1", "outlines.edge_kinds"}, {"project", "plans"});
    }

    void aShapeThatIsNoneIsNamedAndTheOthersAreRead()
    {
        spoilt("UPDATE outlines SET geom = x'4750' WHERE id = 1");
        everyVerbSays({"outlines, row 1", "outlines.geom"}, {"project", "plans"});
        const Result<Project> project = Project::open(at("yard.gpkg"), Access::Read);
        QVERIFY(project);
        QCOMPARE(project->all<Outline>().size() + 1, project->count<Outline>());
    }

    void aDamagedPageIsSaidWithItsTable()
    {
        long page = 0, size = 0;
        {
            const Result<Database> database = Database::open(at("sound.gpkg"), SQLITE_OPEN_READONLY);
            QVERIFY(database);
            page = std::stol(
                database->ask("SELECT rootpage FROM sqlite_master WHERE name = 'contexts'").value());
            size = std::stol(database->ask("PRAGMA page_size").value());
        }
        fs::copy_file(at("sound.gpkg"), at("yard.gpkg"), fs::copy_options::overwrite_existing);
        {
            std::fstream file(at("yard.gpkg"), std::ios::in | std::ios::out | std::ios::binary);
            file.seekp((page - 1) * size);
            file << std::string(static_cast<std::size_t>(size), '\x7f');
        }
        everyVerbSays({"contexts: ", "damaged", "restore it from a copy"});
    }
};

QTEST_GUILESS_MAIN(UnreadableProjectTest)
#include "UnreadableProjectTest.moc"
