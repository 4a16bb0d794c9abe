// SPDX-License-Identifier: GPL-3.0-or-later
// Kills a process in the middle of a scripted run of edits (outlines split, merged, cut out, redrawn,
// undone, redone) and looks at what the project holds then.
//
// The process killed is this program itself, started with "--edit FILE SEED". INKPEG_KILLS sets the number
// of kills (40 when not set). A kill takes the process away, not the machine.
#include "core/store/OutlineEdits.h"

#include <chrono>
#include <csignal>
#include <random>
#include <thread>

#include <unistd.h>

#include <QProcess>
#include <QTemporaryDir>
#include <QTest>

#include "core/store/Database.h"
#include "tests/core/store/RandomEdits.h"

using namespace inkpeg;

namespace {

/// The script: what act follows on what is there, by the seed alone.
class Script {
public:
    Script(Project& project, unsigned seed) : m_project(project), m_random(seed) {}

    /// The next act that the journal keeps. False when it failed for another reason than a refusal.
    bool next()
    {
        if (m_acts++ == 0)
            return begin();
        for (;;) {
            const auto dice = m_random() % 10;
            if (dice == 0 && m_undoable > 0) {
                --m_undoable;
                return bool(m_project.undo());
            }
            if (dice == 1 && m_project.canRedo()) {
                ++m_undoable;
                return bool(m_project.redo());
            }
            const Result<Change> change =
                editOutlines(m_project, 1, "edit", [&](DrawnOutlines& all) -> Result<void> {
                    if (all.empty()) {
                        all = randomYard(m_random);
                        return {};
                    }
                    return tryRandomEdit(all, m_random).done;
                });
            if (!change && change.error().code != ErrorCode::BadInput)
                return false;
            if (change && change->journalId != 0) {
                ++m_undoable;
                return true;
            }
        }
    }

private:
    bool begin()
    {
        Drawing drawing;
        drawing.number = "P-01";
        return bool(m_project.act("drawing", [&](Editor& edit) { return edit.put(drawing); }));
    }

    Project& m_project;
    std::mt19937 m_random;
    int m_acts = 0, m_undoable = 0;
};

int editForever(const char* file, unsigned seed)
{
    Result<Project> project = Project::create(file, ProjectFacts());
    if (!project)
        return 2;
    Script script(*project, seed);
    for (;;) {
        if (!script.next())
            return 3;
        if (::write(STDOUT_FILENO, ".", 1) != 1)
            return 4;
    }
}

/// What the outlines are after so many acts, found by doing them without being killed.
class Undisturbed {
public:
    Undisturbed(const QString& file, unsigned seed)
        : m_project(Project::create(file.toStdString(), ProjectFacts())), m_script(*m_project, seed)
    {
    }
    const DrawnOutlines& after(std::size_t acts)
    {
        while (m_states.size() <= acts) {
            if (!m_script.next())
                qFatal("the script cannot go on");
            m_states.push_back(drawnOutlines(*m_project, 1));
        }
        return m_states[acts];
    }

private:
    Result<Project> m_project;
    Script m_script;
    std::vector<DrawnOutlines> m_states = {{}};
};

} // namespace

class EditKillsTest final : public QObject {
    Q_OBJECT

private slots:
    void aKilledRunOfEditsLosesAtMostTheActInFlight()
    {
        const int kills =
            qEnvironmentVariableIsSet("INKPEG_KILLS") ? qEnvironmentVariableIntValue("INKPEG_KILLS") : 40;
        const unsigned seed = std::random_device()();
        qInfo("seed %u", seed);
        std::mt19937 random(seed + 1);
        std::uniform_int_distribution<int> waitMs(0, 120);
        QTemporaryDir folder;
        Undisturbed undisturbed(folder.filePath("undisturbed.gpkg"), seed);
        int told = 0, inFlightKept = 0;
        for (int kill = 0; kill < kills; ++kill) {
            const QString file = folder.filePath(QString::number(kill) + ".gpkg");
            QProcess child;
            child.start(QCoreApplication::applicationFilePath(), {"--edit", file, QString::number(seed)});
            QVERIFY(child.waitForStarted());
            QVERIFY(child.waitForReadyRead(20'000));
            std::this_thread::sleep_for(std::chrono::milliseconds(waitMs(random)));
            QCOMPARE(child.state(), QProcess::Running);
            ::kill(static_cast<pid_t>(child.processId()), SIGKILL);
            QVERIFY(child.waitForFinished());
            QCOMPARE(child.exitStatus(), QProcess::CrashExit);
            const auto acknowledged = static_cast<std::size_t>(child.readAllStandardOutput().size());

            Result<Project> project = Project::open(file.toStdString(), Access::Write);
            QVERIFY2(project, project ? "" : project.error().message.c_str());
            QVERIFY(project->openingRemark().find("ended without closing") != std::string::npos);
            const std::size_t acts = project->journal().size();
            QVERIFY2(acts == acknowledged || acts == acknowledged + 1,
                     qPrintable(QString("%1 acts told, %2 found").arg(acknowledged).arg(acts)));
            told += static_cast<int>(acknowledged);
            inFlightKept += acts > acknowledged ? 1 : 0;
            const DrawnOutlines found = drawnOutlines(*project, 1);
            QVERIFY(!project->takeReadingTrouble());
            QVERIFY2(found == undisturbed.after(acts),
                     "the outlines are not those of the acts in the journal");
            QCOMPARE(faultOfOutlines(found), std::string());
            const auto database = Database::open(file.toStdString(), SQLITE_OPEN_READONLY);
            QVERIFY(database);
            QCOMPARE(*database->ask("PRAGMA integrity_check"), std::string("ok"));
            QCOMPARE(*database->ask("SELECT count(*) FROM pragma_foreign_key_check"), std::string("0"));
        }
        qInfo("%d kills, %d acts told and found, %d in flight found whole", kills, told, inFlightKept);
        QVERIFY2(told > kills, "the kills came too early to mean anything");
    }
};

int main(int argc, char** argv)
{
    if (argc == 4 && std::string_view(argv[1]) == "--edit")
        return editForever(argv[2], static_cast<unsigned>(std::stoul(argv[3])));
    QCoreApplication application(argc, argv);
    EditKillsTest test;
    return QTest::qExec(&test, argc, argv);
}
#include "EditKillsTest.moc"
