// SPDX-License-Identifier: GPL-3.0-or-later
// Posts of the register as a plan and a section show them. Places are given by hand.
#include "core/handover/PostOutlines.h"

#include <cmath>

#include <QTemporaryDir>
#include <QTest>

#include "tests/core/handover/YardProject.h"

using namespace inkpeg;

namespace {

Timber post(const char* number, GroundM place, std::optional<double> diameterM)
{
    Timber timber;
    timber.number = number;
    timber.context = "1032";
    timber.kind = "post";
    timber.position = place;
    timber.topM = 51.4;
    timber.bottomM = 50.6;
    timber.diameterM = diameterM;
    return timber;
}

std::vector<std::string> numbersOf(const std::vector<PostOutline>& posts)
{
    std::vector<std::string> numbers;
    for (const PostOutline& each : posts)
        numbers.push_back(each.timber);
    return numbers;
}

} // namespace

class PostOutlinesTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;

    /// A project that holds these timbers and no others.
    Project projectWith(const std::vector<Timber>& timbers) const
    {
        const auto file = m_folder.filePath("posts.gpkg").toStdString();
        std::filesystem::remove(file);
        Project project = yard::make(file);
        const auto added = project.act("posts", [&](Editor& edit) {
            for (const Timber& timber : timbers)
                yard::put(edit, timber);
            return Result<void>();
        });
        if (!added)
            qFatal("%s", added.error().message.c_str());
        return project;
    }

    /// From A eastwards over 4 m.
    static SectionFrame frame()
    {
        return SectionFrame::through("S-01",
                                     {{.name = "A", .position = {553'120, 6'210'340}},
                                      {.name = "B", .position = {553'124, 6'210'340}}},
                                     51.5)
            .value();
    }

private slots:
    void fromAboveOnlyThoseThatStandAndHaveADiameterShow()
    {
        Timber lies = post("T3", {553'121, 6'210'341}, 0.2);
        lies.topM = lies.bottomM = {}; // nothing says that it stands
        Timber unplaced = post("T4", {}, 0.2);
        unplaced.position = {};
        const GroundM at{553'121.5, 6'210'341.25};
        const Project project =
            projectWith({post("T1", at, 0.2), post("T2", {553'122, 6'210'341}, {}), lies, unplaced});
        const std::vector<PostOutline> posts = postsFromAbove(project);
        QCOMPARE(numbersOf(posts), (std::vector<std::string>{"T1"}));
        QCOMPARE(posts[0].context, std::string("1032"));
        QVERIFY(posts[0].ring.size() >= 16);
        for (const GroundM corner : posts[0].ring)
            QVERIFY(std::abs(distance(corner, at) - 0.1) < 1e-9);
    }

    void onAFaceTheyStandSquareOn()
    {
        const Project project = projectWith({post("T1", {553'121.5, 6'210'340.3}, 0.2)});
        const std::vector<PostOutline> posts = postsOnFace(project, frame());
        QCOMPARE(posts.size(), std::size_t(1));
        const GroundM expected[] = {{1.4, 50.6}, {1.6, 50.6}, {1.6, 51.4}, {1.4, 51.4}};
        QCOMPARE(posts[0].ring.size(), std::size_t(4));
        for (std::size_t i = 0; i < 4; ++i)
            QVERIFY(distance(posts[0].ring[i], expected[i]) < 1e-9);
    }

    void withoutADiameterAFaceShowsTheAxis()
    {
        const Project project = projectWith({post("T1", {553'121.5, 6'210'340.3}, {})});
        const std::vector<PostOutline> posts = postsOnFace(project, frame());
        QCOMPARE(posts.size(), std::size_t(1));
        QCOMPARE(posts[0].ring.size(), std::size_t(2));
        for (const GroundM end : posts[0].ring)
            QVERIFY(std::abs(end.east - 1.5) < 1e-9);
        QVERIFY(std::abs(std::abs(posts[0].ring[0].north - posts[0].ring[1].north) - 0.8) < 1e-9);
    }

    void aFaceShowsThoseWithinHalfAMetreBetweenItsEnds()
    {
        const auto at = [](double alongM, double offM) {
            return GroundM{553'120 + alongM, 6'210'340 + offM};
        };
        const Project project =
            projectWith({post("left", at(1, 0.49), 0.1), post("right", at(2, -0.49), 0.1),
                         post("far left", at(1, 0.51), 0.1), post("far right", at(2, -0.51), 0.1),
                         post("at A", at(0.01, 0), 0.1), post("before A", at(-0.01, 0), 0.1),
                         post("at B", at(3.99, 0), 0.1), post("after B", at(4.01, 0), 0.1)});
        QCOMPARE(numbersOf(postsOnFace(project, frame())),
                 (std::vector<std::string>{"left", "right", "at A", "at B"}));
    }
};

QTEST_GUILESS_MAIN(PostOutlinesTest)
#include "PostOutlinesTest.moc"
