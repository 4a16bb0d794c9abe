// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/SurveyedPosts.h"

#include <optional>

#include <QTemporaryDir>
#include <QTest>

using namespace inkpeg;

class SurveyedPostsTest final : public QObject {
    Q_OBJECT

    static Result<void> put(Editor& edit, const std::string& number, std::optional<GroundM> position)
    {
        Timber timber;
        timber.number = number;
        timber.position = position;
        return edit.put(timber);
    }

    QTemporaryDir m_folder;
    std::optional<Project> m_yard;

private slots:
    void initTestCase()
    {
        ProjectFacts facts;
        facts.siteCode = "SKR26";
        m_yard = Project::create(m_folder.filePath("posts.gpkg").toStdString(), facts).value();
        const auto filled = m_yard->act("timbers", [](Editor& edit) -> Result<void> {
            for (const auto& [number, place] :
                 {std::pair<std::string, std::optional<GroundM>>{"T1", GroundM{553'001.25, 6'100'002.5}},
                  {"T2", GroundM{553'002.5, 6'100'002.75}},
                  {"T3", std::nullopt}})
                if (const Result<void> done = put(edit, number, place); !done)
                    return done;
            return {};
        });
        QVERIFY2(filled, filled ? "" : filled.error().message.c_str());
    }

    void theyComeInTheOrderAskedForWithTheirPlaces()
    {
        const auto posts = surveyedPosts(*m_yard, {"T2", "T1"});
        QVERIFY(posts);
        QCOMPARE(posts->size(), std::size_t(2));
        QCOMPARE(posts->at(0).name, std::string("T2"));
        QCOMPARE(posts->at(0).position.east, 553'002.5);
        QCOMPARE(posts->at(1).name, std::string("T1"));
        QCOMPARE(posts->at(1).position.north, 6'100'002.5);
        QVERIFY(surveyedPosts(*m_yard, {})->empty());
    }

    void whatIsNoPostIsNamed()
    {
        const auto refused = [&](const std::vector<std::string>& numbers, ErrorCode code,
                                 const char* because) {
            const auto posts = surveyedPosts(*m_yard, numbers);
            QVERIFY2(!posts && posts.error().code == code && posts.error().message == because, because);
        };
        refused({"T1", "T9"}, ErrorCode::NotFound, "timber \"T9\" is not in the register");
        refused({"T1", "T3"}, ErrorCode::BadInput, "timber T3 has no place; survey it first");
        refused({"T1", "T2", "T1"}, ErrorCode::BadInput, "timber T1 is named twice");
    }
};

QTEST_GUILESS_MAIN(SurveyedPostsTest)
#include "SurveyedPostsTest.moc"
