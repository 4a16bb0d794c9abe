// SPDX-License-Identifier: GPL-3.0-or-later
// Kills a process in the middle of its editing and looks at what the project holds then.
//
// The process killed is this program itself, started with "--edit"; with "--count" it is another program that
// reads. INKPEG_KILLS sets the number of kills (40 when not set). A kill takes the process away, not the
// machine: what a disk does at a power cut is not tried here.
#include "core/store/Project.h"

#include <chrono>
#include <cmath>
#include <csignal>
#include <cstdio>
#include <random>
#include <thread>

#include <unistd.h>

#include <QProcess>
#include <QTemporaryDir>
#include <QTest>

#include "core/store/Database.h"

using namespace inkpeg;

namespace {

/// The outlines after so many acts.
using State = std::vector<Outline>;

Outline outlineOf(int act)
{
    Outline outline;
    outline.drawing = 1;
    outline.context = std::to_string(1000 + act);
    Ring ring;
    for (int i = 0; i < 300; ++i) // some kilobytes, so that an act spans several pages
        ring.vertices.push_back({act + std::cos(i / 48.0) * 100, std::sin(i / 48.0) * 100});
    ring.kinds.assign(ring.vertices.size(), EdgeKind::Certain);
    outline.parts = {{ring, {}}};
    return outline;
}

enum class Edit { Add, Change, Remove, Undo };

Edit editOf(int act, const State& state)
{
    if (act % 7 == 6)
        return Edit::Undo;
    if (state.empty() || act % 3 != 2)
        return Edit::Add;
    return act % 2 == 0 ? Edit::Change : Edit::Remove;
}

/// states[n] = what n acts lead to, by the rules alone.
State nextState(const std::vector<State>& states)
{
    const int act = static_cast<int>(states.size()) - 1;
    State state = states.back();
    switch (editOf(act, state)) {
    case Edit::Add:
        state.push_back(outlineOf(act));
        break;
    case Edit::Change:
        state.back().parts = outlineOf(act).parts;
        break;
    case Edit::Remove:
        state.erase(state.begin());
        break;
    case Edit::Undo:
        state = states[states.size() - 2];
        break;
    }
    return state;
}

Result<Change> doAct(Project& project, int act)
{
    State state = project.all<Outline>();
    switch (editOf(act, state)) {
    case Edit::Add: {
        Outline outline = outlineOf(act);
        return project.act("add", [&](Editor& edit) { return edit.put(outline); });
    }
    case Edit::Change:
        state.back().parts = outlineOf(act).parts;
        return project.act("change", [&](Editor& edit) { return edit.put(state.back()); });
    case Edit::Remove:
        return project.act("remove", [&](Editor& edit) { return edit.remove<Outline>(state.front().id); });
    case Edit::Undo:
        break;
    }
    return project.undo();
}

/// Edits until killed; tells each act when it is done.
int editForever(const char* file)
{
    Result<Project> project = Project::create(file, ProjectFacts());
    if (!project)
        return 2;
    for (int act = 0;; ++act) {
        if (!doAct(*project, act))
            return 3;
        if (::write(STDOUT_FILENO, ".", 1) != 1)
            return 4;
    }
}

/// As another program would: opens the file, counts the acts, closes it. The count is told.
int countActs(const char* file)
{
    const auto database = Database::open(file, SQLITE_OPEN_READWRITE);
    const auto acts = database ? database->ask("SELECT count(*) FROM journal") : database.error();
    std::fputs(acts ? acts->c_str() : acts.error().message.c_str(), stdout);
    return acts ? 0 : 2;
}

} // namespace

class DurabilityTest final : public QObject {
    Q_OBJECT

private slots:
    // Source: SQLite, How To Corrupt An SQLite Database File, section 2.2: a process that closes any descriptor
    // of the file lets go of all its locks; a reader elsewhere would then take the log away when it closes.
    void anotherProgramsReaderTakesNothingAwayWhileTheProjectIsReadTwiceHere()
    {
        QTemporaryDir folder;
        const QString file = folder.filePath("a.gpkg");
        Result<Project> project = Project::create(file.toStdString(), ProjectFacts());
        QVERIFY(project && doAct(*project, 0));
        const auto actsSeenElsewhere = [&] {
            QProcess other;
            other.start(QCoreApplication::applicationFilePath(), {"--count", file});
            other.waitForFinished();
            return other.readAllStandardOutput();
        };
        for (int act = 1; act <= 3; ++act) {
            {
                const Result<Project> second = Project::open(file.toStdString(), Access::Read);
                QVERIFY(second);
            }
            QVERIFY(QFile::exists(file + "-wal"));
            QCOMPARE(actsSeenElsewhere(), QByteArray::number(act));
            QVERIFY2(QFile::exists(file + "-wal"), "the log was taken away from under its writer");
            QVERIFY(doAct(*project, act));
        }
        QCOMPARE(actsSeenElsewhere(), QByteArray::number(4));
    }
    void aKilledProcessLosesAtMostTheActInFlight()
    {
        const int kills =
            qEnvironmentVariableIsSet("INKPEG_KILLS") ? qEnvironmentVariableIntValue("INKPEG_KILLS") : 40;
        const unsigned seed = std::random_device()();
        qInfo("seed %u", seed);
        std::mt19937 random(seed);
        std::uniform_int_distribution<int> waitMs(0, 120);
        QTemporaryDir folder;
        std::vector<State> states = {{}};
        int told = 0, inFlightKept = 0, killedInCreation = 0;
        for (int kill = 0; kill < kills; ++kill) {
            const QString file = folder.filePath(QString::number(kill) + ".gpkg");
            QProcess child;
            child.start(QCoreApplication::applicationFilePath(), {"--edit", file});
            QVERIFY(child.waitForStarted());
            // Most kills meet the editing; every eighth may meet the making of the file.
            if (kill % 8 != 0)
                QVERIFY(child.waitForReadyRead(20'000));
            std::this_thread::sleep_for(std::chrono::milliseconds(waitMs(random)));
            QCOMPARE(child.state(), QProcess::Running);
            ::kill(static_cast<pid_t>(child.processId()), SIGKILL);
            QVERIFY(child.waitForFinished());
            QCOMPARE(child.exitStatus(), QProcess::CrashExit);
            const auto acknowledged = static_cast<std::size_t>(child.readAllStandardOutput().size());
            if (!QFile::exists(file)) {
                QCOMPARE(acknowledged, std::size_t(0));
                ++killedInCreation;
                continue;
            }

            Result<Project> project = Project::open(file.toStdString(), Access::Write);
            QVERIFY2(project, project ? "" : project.error().message.c_str());
            if (acknowledged > 0)
                QVERIFY(project->openingRemark().find("ended without closing") != std::string::npos);
            const std::size_t acts = project->journal().size();
            QVERIFY2(acts == acknowledged || acts == acknowledged + 1,
                     qPrintable(QString("%1 acts told, %2 found").arg(acknowledged).arg(acts)));
            told += static_cast<int>(acknowledged);
            inFlightKept += acts > acknowledged ? 1 : 0;
            while (states.size() <= acts)
                states.push_back(nextState(states));
            State found = project->all<Outline>();
            QVERIFY(!project->takeReadingTrouble());
            for (Outline& outline : found)
                outline.id = 0;
            QVERIFY2(found == states[acts], "the outlines are not those of the acts in the journal");
            // It can be worked on at once.
            QVERIFY(doAct(*project, 0));
            const auto database = Database::open(file.toStdString(), SQLITE_OPEN_READONLY);
            QVERIFY(database);
            QCOMPARE(*database->ask("PRAGMA integrity_check"), std::string("ok"));
            QCOMPARE(*database->ask("SELECT count(*) FROM pragma_foreign_key_check"), std::string("0"));
        }
        qInfo("%d kills (%d in the making of the file), %d acts told and found, %d in flight found whole",
              kills, killedInCreation, told, inFlightKept);
        QVERIFY2(told > kills, "the kills came too early to mean anything");
    }
};

int main(int argc, char** argv)
{
    if (argc == 3 && std::string_view(argv[1]) == "--edit")
        return editForever(argv[2]);
    if (argc == 3 && std::string_view(argv[1]) == "--count")
        return countActs(argv[2]);
    QCoreApplication application(argc, argv);
    DurabilityTest test;
    return QTest::qExec(&test, argc, argv);
}
#include "DurabilityTest.moc"
