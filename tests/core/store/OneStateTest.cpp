// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/OneState.h"

#include <QTemporaryDir>
#include <QTest>

using namespace inkpeg;

class OneStateTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;

    std::filesystem::path path(const char* name) const { return m_folder.filePath(name).toStdString(); }
    static Project made(const std::filesystem::path& file)
    {
        ProjectFacts facts;
        facts.siteCode = "SKR26";
        Result<Project> project = Project::create(file, facts);
        if (!project)
            qFatal("%s", project.error().message.c_str());
        return std::move(project).value();
    }
    static void add(Project& project, const std::string& number)
    {
        const Result<Change> change = project.act("add", [&](Editor& edit) -> Result<void> {
            Context context;
            context.number = number;
            Find find;
            find.number = "SF" + number;
            find.context = number;
            if (const auto put = edit.put(context); !put)
                return put;
            return edit.put(find);
        });
        QVERIFY2(change, change ? "" : change.error().message.c_str());
    }

private slots:
    void whatAnotherDoesInBetweenIsNotSeen()
    {
        Project writing = made(path("two.gpkg"));
        add(writing, "1");
        Result<Project> reading = Project::open(path("two.gpkg"), Access::Read);
        QVERIFY(reading);
        {
            const Result<OneState> state = OneState::hold(*reading);
            QVERIFY2(state, state ? "" : state.error().message.c_str());
            // The very first reading is of the state held, also when the act came before it.
            add(writing, "2");
            QCOMPARE(reading->all<Context>().size(), std::size_t{1});
            add(writing, "3");
            QCOMPARE(reading->all<Find>().size(), std::size_t{1});
            QVERIFY(!reading->byKey<Context>("3"));
            QCOMPARE(reading->journal().size(), std::size_t{1});
            QVERIFY(!reading->takeReadingTrouble());
        }
        QCOMPARE(reading->all<Context>().size(), std::size_t{3});
        QCOMPARE(reading->all<Find>().size(), std::size_t{3});
    }

    void itIsLetGoOfAlsoWhenTheProjectMoved()
    {
        Project writing = made(path("moved.gpkg"));
        Result<Project> opened = Project::open(path("moved.gpkg"), Access::Read);
        QVERIFY(opened);
        std::optional<Project> moved;
        {
            const Result<OneState> state = OneState::hold(*opened);
            QVERIFY(state);
            moved.emplace(std::move(opened).value());
            add(writing, "1");
            QVERIFY(moved->all<Context>().empty());
        }
        QCOMPARE(moved->all<Context>().size(), std::size_t{1});
    }

    void heldTwiceItEndsWithTheFirst()
    {
        Project writing = made(path("twice.gpkg"));
        const Result<Project> reading = Project::open(path("twice.gpkg"), Access::Read);
        QVERIFY(reading);
        const Result<OneState> first = OneState::hold(*reading);
        QVERIFY(first);
        {
            const Result<OneState> second = OneState::hold(*reading);
            QVERIFY(second);
        }
        add(writing, "1");
        QVERIFY(reading->all<Context>().empty());
    }

    void withinAnActItLeavesTheActAlone()
    {
        Project writing = made(path("act.gpkg"));
        const Result<Change> change = writing.act("add", [&](Editor& edit) -> Result<void> {
            const Result<OneState> state = OneState::hold(writing);
            if (!state)
                return state.error();
            Context context;
            context.number = "1";
            return edit.put(context);
        });
        QVERIFY2(change, change ? "" : change.error().message.c_str());
        QCOMPARE(writing.all<Context>().size(), std::size_t{1});
    }
};

QTEST_GUILESS_MAIN(OneStateTest)
#include "OneStateTest.moc"
