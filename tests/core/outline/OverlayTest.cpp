// SPDX-License-Identifier: GPL-3.0-or-later
// Held against the overlay cases of the GEOS and JTS test suite (TestNGOverlayA.xml, TestOverlayAA.xml and
// their fixed-precision kin; tests/published/README.md).
#include "core/outline/Overlay.h"

#include <cmath>

#include <QFile>
#include <QJsonArray>
#include <QJsonDocument>
#include <QJsonObject>
#include <QTest>

#include "core/outline/Area.h"
#include "core/outline/Validity.h"
#include "tests/core/outline/WellKnownText.h"

using namespace inkpeg;

namespace {

QJsonArray published(const char* name)
{
    QFile file(QString(INKPEG_PUBLISHED_DIR "/") + name);
    return file.open(QIODevice::ReadOnly) ? QJsonDocument::fromJson(file.readAll()).array() : QJsonArray();
}

Overlay operationOf(const QString& name)
{
    return name == "union"          ? Overlay::Union
           : name == "intersection" ? Overlay::Intersection
           : name == "difference"   ? Overlay::Difference
                                    : Overlay::SymmetricDifference;
}

/// Area that only one of the two holds; both may be without area.
double differing(const std::vector<Part>& a, const std::vector<Part>& b)
{
    if (a.empty() || b.empty())
        return areaPx2(a) + areaPx2(b);
    const auto left = overlay(a, b, Overlay::SymmetricDifference, 0);
    return left ? areaPx2(*left) : 1e300;
}

/// Runs the cases of a file; returns how many.
int runCases(const char* file, bool onGrid)
{
    int count = 0;
    for (const QJsonValue& value : published(file)) {
        const QJsonObject each = value.toObject();
        const auto text = [&](const char* key) { return each[key].toString(); };
        const double grid = onGrid ? 1 / each["precision_scale"].toString().toDouble() : 0;
        const std::vector<Part> a = partsOfText(text("a")), b = partsOfText(text("b")),
                                expected = partsOfText(text("expected"));
        if (a.empty() || b.empty() || !checkParts(a) || !checkParts(b))
            continue; // a line or nothing: no outline
        const auto made = overlay(a, b, operationOf(each["op"].toString()), grid);
        const QString name = each["case"].toString() + " / " + each["op"].toString();
        if (!made || (!made->empty() && !checkParts(*made))) {
            qWarning("%s: refused or not valid", qPrintable(name));
            return -1;
        }
        // Coordinates are below 1000: 1e-9 is far above double rounding of such areas.
        if (differing(*made, expected) > 1e-9) {
            qWarning("%s: differs by %g", qPrintable(name), differing(*made, expected));
            return -1;
        }
        ++count;
    }
    return count;
}

std::vector<Part> square(double left, double top, double side, EdgeKind kind)
{
    Ring ring{{{left, top}, {left + side, top}, {left + side, top + side}, {left, top + side}}, {}};
    ring.kinds.assign(4, kind);
    return {{ring, {}}};
}

} // namespace

class OverlayTest final : public QObject {
    Q_OBJECT

private slots:
    void publishedOverlaysAtFloatingPrecision()
    {
        const int count = runCases("overlay_float.json", false);
        qInfo("%d cases", count);
        QVERIFY2(count >= 100, qPrintable(QString::number(count)));
    }
    void publishedOverlaysOnAGrid()
    {
        const int count = runCases("overlay_fixed_precision.json", true);
        qInfo("%d cases", count);
        QVERIFY2(count >= 80, qPrintable(QString::number(count)));
    }
    void newVerticesLieOnTheLattice()
    {
        const auto made =
            overlay(partsOfText("POLYGON ((0 0, 100 0, 100 100, 0 100, 0 0))"),
                    partsOfText("POLYGON ((50 -10, 133.25 77.5, 20 130, 50 -10))"), Overlay::Intersection);
        QVERIFY(made && made->size() == 1);
        QVERIFY(made->front().outer.vertices.size() > 4);
        for (const ScanPx& vertex : made->front().outer.vertices)
            QVERIFY(vertex == onLattice(vertex));
    }
    void edgesKeepTheKindTheyWereTracedWith()
    {
        const auto layer = square(0, 0, 100, EdgeKind::Uncertain),
                   pit = square(50, 50, 100, EdgeKind::Truncated);
        const auto left = overlay(layer, pit, Overlay::Difference);
        QVERIFY(left && left->size() == 1);
        const Ring& ring = left->front().outer;
        QCOMPARE(ring.vertices.size(), std::size_t(6));
        for (std::size_t i = 0; i < 6; ++i) {
            const ScanPx a = ring.vertices[i], b = ring.vertices[(i + 1) % 6];
            const bool ofPit = a.column >= 50 && a.row >= 50 && b.column >= 50 && b.row >= 50 &&
                               (a.column == 50 || b.column == 50) && (a.row == 50 || b.row == 50) &&
                               a.column < 101 && !(a.column == 100 && b.column == 100);
            QCOMPARE(ring.kinds[i], ofPit ? EdgeKind::Truncated : EdgeKind::Uncertain);
        }
    }
    void areasThatOnlyTouchDoNotOverlap()
    {
        const auto a = square(0, 0, 10, EdgeKind::Certain);
        QVERIFY(!overlaps(a, square(10, 0, 10, EdgeKind::Certain)));
        QVERIFY(!overlaps(a, square(10, 10, 10, EdgeKind::Certain)));
        QVERIFY(overlaps(a, square(9, 9, 10, EdgeKind::Certain)));
        QVERIFY(overlaps(a, square(2, 2, 2, EdgeKind::Certain)));
    }
    void aLineAcrossMakesTwoPieces()
    {
        const auto pieces =
            piecesAlong(square(0, 0, 100, EdgeKind::Certain),
                        std::vector<ScanPx>{{-10, 40}, {50, 40}, {60, 110}}, EdgeKind::Uncertain);
        QVERIFY(pieces);
        QCOMPARE(pieces->size(), std::size_t(2));
        QVERIFY(std::abs(areaPx2((*pieces)[0]) + areaPx2((*pieces)[1]) - 10000) <
                1); // rounding to 1/256 px
        int uncertain = 0;
        for (const auto& piece : *pieces)
            for (const EdgeKind kind : piece[0].outer.kinds)
                uncertain += kind == EdgeKind::Uncertain;
        QCOMPARE(uncertain, 4); // the cut's two edges, on either side
        QCOMPARE(piecesAlong(square(0, 0, 100, EdgeKind::Certain), std::vector<ScanPx>{{-10, 40}, {50, 40}},
                             EdgeKind::Certain)
                     ->size(),
                 std::size_t(1));
    }
};

QTEST_GUILESS_MAIN(OverlayTest)
#include "OverlayTest.moc"
