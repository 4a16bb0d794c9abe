// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/DrawingFit.h"

#include <cmath>

#include <QTemporaryDir>
#include <QTest>

using namespace inkpeg;

namespace {

/// Site 0, 0 is E 562000, N 5800000; site north lies 30 degrees clockwise of grid north.
GroundM inCrs(GroundM site)
{
    const double c = std::sqrt(3.0) / 2, s = 0.5;
    return {562000 + c * site.east + s * site.north, 5800000 - s * site.east + c * site.north};
}

Peg peg(const std::string& name, PegFrame frame, GroundM position)
{
    Peg made;
    made.name = name;
    made.frame = frame;
    made.position = position;
    return made;
}

} // namespace

class DrawingFitTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;

    Result<Project> newProject(const char* name)
    {
        ProjectFacts facts;
        facts.siteCode = "SKR26";
        facts.title = "Skelder Rigg";
        return Project::create(m_folder.filePath(name).toStdString(), facts);
    }

    static Result<Change> putAll(Project& project, std::vector<Peg> pegs)
    {
        return project.act("pegs", [&](Editor& editor) -> Result<void> {
            for (Peg& each : pegs)
                if (const Result<void> done = editor.put(each); !done)
                    return done;
            return {};
        });
    }

private slots:
    void aPegOfTheSiteGridComesOverThePegsKnownInBothFrames()
    {
        Result<Project> project = newProject("both.gpkg");
        QVERIFY2(project, project ? "" : project.error().message.c_str());
        std::vector<Peg> pegs;
        for (const auto& [name, site] : {std::pair{"S1", GroundM{0, 0}}, std::pair{"S2", GroundM{40, 0}},
                                         std::pair{"S3", GroundM{40, 30}}}) {
            pegs.push_back(peg(name, PegFrame::Site, site));
            pegs.push_back(peg(name, PegFrame::Crs, inCrs(site)));
        }
        pegs.push_back(peg("G5", PegFrame::Site, {12, 7}));
        const Result<Change> done = putAll(*project, pegs);
        QVERIFY2(done, done ? "" : done.error().message.c_str());

        const Result<Peg> moved = PegsInCrs(*project).named("G5");
        QVERIFY2(moved, moved ? "" : moved.error().message.c_str());
        QCOMPARE(moved->frame, PegFrame::Crs);
        QVERIFY(distance(moved->position, inCrs({12, 7})) < 1e-6);
        QVERIFY(moved->standardErrorEastM > pegs.back().standardErrorEastM);
        QCOMPARE(PegsInCrs(*project).siteGrid()->redundancy(), 2);

        // Known in both: as surveyed in the CRS.
        const Result<Peg> surveyed = PegsInCrs(*project).named("S2");
        QVERIFY(surveyed);
        QCOMPARE(surveyed->position.east, pegs[3].position.east);
    }

    void aSiteGridWithoutCommonPegsIsNamed()
    {
        Result<Project> project = newProject("none.gpkg");
        QVERIFY(project);
        const Peg lonely = peg("G5", PegFrame::Site, {12, 7});
        QVERIFY(putAll(*project, {lonely}));
        const Result<Peg> moved = PegsInCrs(*project).named("G5");
        QVERIFY(!moved);
        QVERIFY(moved.error().message.find("peg \"G5\"") != std::string::npos);
        QVERIFY(moved.error().message.find("0 common points") != std::string::npos);
    }
};

QTEST_GUILESS_MAIN(DrawingFitTest)
#include "DrawingFitTest.moc"
