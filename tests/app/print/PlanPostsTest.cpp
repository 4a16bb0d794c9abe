// SPDX-License-Identifier: GPL-3.0-or-later
// Upright timbers on printed plans and sections: to scale, where they were surveyed, and only those that belong.
#include <algorithm>
#include <cmath>

#include <QTemporaryDir>
#include <QTest>

#include "app/print/Conventions.h"
#include "app/print/PlanSheet.h"
#include "core/handover/FeatureLayers.h"
#include "tests/core/handover/YardProject.h"

using namespace inkpeg;

namespace {

Timber post(const char* number, const char* context, GroundM place)
{
    Timber timber;
    timber.number = number;
    timber.context = context;
    timber.position = place;
    timber.topM = 51.4;
    timber.bottomM = 50.9;
    timber.diameterM = 0.18;
    return timber;
}

/// Width and height of what is drawn with the pen of posts, for each piece.
std::vector<std::pair<double, double>> postsOn(const PlanSheet& sheet)
{
    std::vector<std::pair<double, double>> sizes;
    for (const ArtPiece& piece : sheet.art.pieces) {
        const auto* line = std::get_if<ArtLine>(&piece);
        if (!line || line->pen.dashesMm != postPen().dashesMm || line->at.size() < 4)
            continue;
        const auto [west, east] = std::ranges::minmax_element(line->at, {}, &PageMm::x);
        const auto [north, south] = std::ranges::minmax_element(line->at, {}, &PageMm::y);
        sizes.emplace_back(east->x - west->x, south->y - north->y);
    }
    return sizes;
}

} // namespace

class PlanPostsTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;
    std::optional<Project> m_project;
    DrawnWork m_work;

private slots:
    void initTestCase()
    {
        m_project = yard::make(m_folder.filePath("yard.gpkg").toStdString());
        const SectionFrame frame =
            *groundOfDrawing(*m_project, *m_project->byKey<Drawing>("S-01"))->section;
        const SpacePoint beside = frame.toSpace(SectionPoint{frame.lengthM() / 2, 51});
        const Result<Change> put = m_project->act("posts", [&](Editor& edit) {
            yard::put(edit, post("T-1", "1032", yard::truth({900, 900})));
            yard::put(edit, post("T-2", "9999", yard::truth({950, 900})));
            yard::put(edit, post("T-3", "9999", {beside.eastM, beside.northM}));
            return Result<void>();
        });
        QVERIFY2(put, put ? "" : put.error().message.c_str());
        const Result<GatheredWork> gathered = gatherDrawnWork(*m_project);
        QVERIFY2(gathered, gathered ? "" : gathered.error().message.c_str());
        m_work = gathered->work;
    }

    void aPlanShowsThePostsOfItsContextsToScale()
    {
        const Result<SheetContent> content = planContent(*m_project, m_work, {.contexts = {"1032"}});
        QVERIFY2(content, content ? "" : content.error().message.c_str());
        QCOMPARE(content->posts.size(), std::size_t(1));
        QCOMPARE(content->posts[0].timber, std::string("T-1"));
        SheetSettings settings;
        settings.scaleDenominator = 50;
        const Result<PlanSheet> sheet = planSheet(*content, {}, settings);
        QVERIFY2(sheet, sheet ? "" : sheet.error().message.c_str());
        const auto sizes = postsOn(*sheet);
        QCOMPARE(sizes.size(), std::size_t(1));
        // 0.18 m at 1:50 are 3.6 mm; a polygon of 32 corners has corners at all four sides.
        QVERIFY(std::abs(sizes[0].first - 3.6) < 0.01 && std::abs(sizes[0].second - 3.6) < 0.01);
        QVERIFY(std::ranges::find(sheet->key, "upright timber, to scale") != sheet->key.end());
    }

    // The key explains what is on the sheet: a post that was surveyed outside of the field is not.
    void aPostOffTheFieldIsNotInTheKey()
    {
        Result<SheetContent> content = planContent(*m_project, m_work, {.contexts = {"1032"}});
        QVERIFY2(content, content ? "" : content.error().message.c_str());
        for (GroundM& corner : content->posts.at(0).ring)
            corner.east += 500;
        const Result<PlanSheet> sheet = planSheet(*content, {}, {});
        QVERIFY2(sheet, sheet ? "" : sheet.error().message.c_str());
        QVERIFY(postsOn(*sheet).empty());
        QVERIFY(std::ranges::find(sheet->key, "upright timber, to scale") == sheet->key.end());
    }

    // A post that was driven far below what is drawn is part of the section: the sheet makes room for it.
    void aSectionMakesRoomForItsPosts()
    {
        Result<SheetContent> content = sectionContent(*m_project, m_work, "S-01");
        QVERIFY2(content, content ? "" : content.error().message.c_str());
        const Result<PlanSheet> before = planSheet(*content, {}, {});
        QVERIFY2(before, before ? "" : before.error().message.c_str());
        const auto deep = std::ranges::find(content->posts, "T-3", &PostOutline::timber);
        QVERIFY(deep != content->posts.end());
        const auto [low, high] = std::ranges::minmax(deep->ring, {}, &GroundM::north);
        for (GroundM& corner : deep->ring)
            if (corner.north < (low.north + high.north) / 2)
                corner.north -= 6;
        const Result<PlanSheet> sheet = planSheet(*content, {}, {});
        QVERIFY2(sheet, sheet ? "" : sheet.error().message.c_str());
        QVERIFY(sheet->scaleDenominator > before->scaleDenominator);
        // Whole: 6.5 m tall (0.5 m by its levels, and the six).
        QVERIFY(std::ranges::any_of(postsOn(*sheet), [&](const auto& size) {
            return std::abs(size.second * sheet->scaleDenominator - 6500) < 5;
        }));
        QVERIFY(std::ranges::find(sheet->key, "upright timber, to scale") != sheet->key.end());
    }

    void aSectionShowsThoseThatStandBesideItAsTheyStand()
    {
        const Result<SheetContent> content = sectionContent(*m_project, m_work, "S-01");
        QVERIFY2(content, content ? "" : content.error().message.c_str());
        QVERIFY(std::ranges::any_of(content->posts,
                                    [](const PostOutline& one) { return one.timber == "T-3"; }));
        SheetSettings settings;
        settings.scaleDenominator = 10;
        const Result<PlanSheet> sheet = planSheet(*content, {}, settings);
        QVERIFY2(sheet, sheet ? "" : sheet.error().message.c_str());
        // Half a metre tall and 0.18 m wide at 1:10.
        QVERIFY(std::ranges::any_of(postsOn(*sheet), [](const auto& size) {
            return std::abs(size.first - 18) < 0.05 && std::abs(size.second - 50) < 0.05;
        }));
    }
};

QTEST_MAIN(PlanPostsTest)
#include "PlanPostsTest.moc"
