// SPDX-License-Identifier: GPL-3.0-or-later
// The shared set of outlines against a plain sorted map, by chance.
#include "app/board/OutlineSet.h"

#include <map>
#include <random>

#include <QTest>

using namespace inkpeg;

namespace {

Outline outlineOf(std::int64_t id, int version)
{
    Outline outline;
    outline.id = id;
    outline.context = std::to_string(version);
    return outline;
}

using Plain = std::map<std::int64_t, Outline>;

bool alike(const OutlineSet& set, const Plain& plain)
{
    return set.size() == plain.size() &&
           std::ranges::equal(set, plain, [](const Outline& a, const auto& b) { return a == b.second; });
}

} // namespace

class OutlineSetTest final : public QObject {
    Q_OBJECT

private slots:
    void outlinesComeInAnyOrderAndStandByRisingId()
    {
        const OutlineSet set{outlineOf(5, 0), outlineOf(2, 0), outlineOf(9, 0)};
        QCOMPARE(set.size(), std::size_t(3));
        QCOMPARE(set[0].id, std::int64_t(2));
        QCOMPARE(set[2].id, std::int64_t(9));
        QVERIFY(set.byId(5) && !set.byId(4) && !set.byId(10) && !set.byId(0));
        QCOMPARE(set.indexOf(9), std::size_t(2));
        QCOMPARE(set.indexOf(4), std::size_t(3));
        const OutlineSet none;
        QVERIFY(none.empty() && !none.byId(1) && none.begin() == none.end());
    }
    void randomChangesGiveWhatAMapGivesAndAreAllTold()
    {
        constexpr unsigned seed = 31;
        std::mt19937 random(seed);
        std::vector<Outline> first;
        Plain plain;
        for (std::int64_t id = 1; id < 2400; id += 2) { // several chunks
            first.push_back(outlineOf(id, 0));
            plain[id] = first.back();
        }
        OutlineSet set(first);
        for (int round = 0; round < 300; ++round) {
            const OutlineSet before = set;
            const Plain was = plain;
            const int changes = static_cast<int>(random() % 20);
            for (int i = 0; i < changes; ++i) {
                const auto id = static_cast<std::int64_t>(1 + random() % 2500);
                if (random() % 2) {
                    set.put(outlineOf(id, round + 1));
                    plain[id] = outlineOf(id, round + 1);
                } else {
                    set.remove(id);
                    plain.erase(id);
                }
            }
            QVERIFY(alike(set, plain));
            QVERIFY(alike(before, was)); // a copy does not change with its origin
            Plain told = was;
            OutlineSet::forEachChange(before, set, [&](const Outline* old, const Outline* now) {
                QVERIFY(old || now);
                if (old)
                    QVERIFY(was.at(old->id) == *old);
                if (now)
                    told[now->id] = *now;
                else
                    told.erase(old->id);
            });
            QVERIFY(told == plain);
            QVERIFY(before == before && before.sameAs(before));
            QCOMPARE(before == set, was == plain);
        }
    }
};

QTEST_GUILESS_MAIN(OutlineSetTest)
#include "OutlineSetTest.moc"
