// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/outline/Outline.h"

#include <cmath>

#include <QTest>

using namespace inkpeg;

class OutlineTest final : public QObject {
    Q_OBJECT

private slots:
    void kindsOfEdgesGoByTheirNames()
    {
        for (const EdgeKind kind : {EdgeKind::Certain, EdgeKind::Uncertain, EdgeKind::Truncated,
                                    EdgeKind::LimitOfExcavation, EdgeKind::BeyondTheSheet})
            QCOMPARE(*edgeKindNamed(edgeKindName(kind)), kind);
        QCOMPARE(edgeKindName(EdgeKind::LimitOfExcavation), std::string("limit of excavation"));
        const auto none = edgeKindNamed("sure");
        QVERIFY(!none);
        QVERIFY(none.error().message.find("beyond the sheet") != std::string::npos);
    }

    void theLatticeIsOf256thsAndKeepsWhatLiesOnIt()
    {
        QVERIFY(onLattice({10.5, 0.25}) == (ScanPx{10.5, 0.25}));
        const ScanPx moved = onLattice({100.001, 20.999});
        QVERIFY(moved == (ScanPx{100.0, 21.0}));
        for (int i = 0; i < 1000; ++i) {
            const ScanPx position{i * 7.123456, 9000 - i * 3.14159};
            const ScanPx near = onLattice(position);
            QVERIFY(onLattice(near) == near);
            QVERIFY(std::abs(near.column - position.column) <= 1.0 / 512 &&
                    std::abs(near.row - position.row) <= 1.0 / 512);
            QCOMPARE(near.column * 256, std::round(near.column * 256));
        }
    }
};

QTEST_GUILESS_MAIN(OutlineTest)
#include "OutlineTest.moc"
