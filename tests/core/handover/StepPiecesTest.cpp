// SPDX-License-Identifier: GPL-3.0-or-later
// Outlines over the steps of a section line. All places and areas are given by hand, in metres on the face.
#include "core/handover/StepPieces.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include <QTemporaryDir>
#include <QTest>

#include "tests/core/handover/SteppedSection.h"

using namespace inkpeg;
using yard::markAt;

namespace {

/// A pixel is 1.27 mm of the face, so that the lattice of 1/256 px moves an edge of 1 m by 5 square millimetres.
constexpr double LatticeM2 = 2e-5;

Ring box(double fromM, double toM, double lowM, double highM)
{
    return yard::ring({markAt(fromM, lowM), markAt(toM, lowM), markAt(toM, highM), markAt(fromM, highM)});
}

/// Area on the face, holes left out.
double areaM2(const std::vector<Part>& parts, const DrawingGround& ground)
{
    const auto of = [&](const Ring& ring) {
        double twice = 0;
        const GroundM from = ground.toGround(ring.vertices.front());
        for (std::size_t i = 0; i < ring.vertices.size(); ++i) {
            const GroundM a = ground.toGround(ring.vertices[i]);
            const GroundM b = ground.toGround(ring.vertices[(i + 1) % ring.vertices.size()]);
            twice += (a.east - from.east) * (b.north - from.north) -
                     (b.east - from.east) * (a.north - from.north);
        }
        return std::abs(twice) / 2;
    };
    double area = 0;
    for (const Part& part : parts) {
        area += of(part.outer);
        for (const Ring& hole : part.holes)
            area -= of(hole);
    }
    return area;
}

} // namespace

class StepPiecesTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;
    std::optional<DrawingGround> m_cranked, m_stepped, m_twice;

    static std::vector<StepPiece> cut(const std::vector<Part>& parts, const DrawingGround& ground)
    {
        Result<std::vector<StepPiece>> pieces = cutAtSteps(parts, ground);
        if (!pieces)
            qFatal("%s", pieces.error().message.c_str());
        std::ranges::sort(*pieces, {}, &StepPiece::piece);
        return std::move(pieces).value();
    }

private slots:
    void initTestCase()
    {
        Project project = yard::make(m_folder.filePath("yard.gpkg").toStdString());
        const auto added = project.act("sections", [](Editor& edit) {
            yard::addCrankedLine(edit);
            yard::addSteppedLine(edit);
            yard::addTwiceSteppedLine(edit);
            return Result<void>();
        });
        QVERIFY2(added, added ? "" : added.error().message.c_str());
        for (const auto& [number, ground] :
             {std::pair{"S-02", &m_cranked}, {"S-03", &m_stepped}, {"S-04", &m_twice}}) {
            Result<DrawingGround> found = groundOfDrawing(project, *project.byKey<Drawing>(number));
            QVERIFY2(found, found ? "" : found.error().message.c_str());
            *ground = std::move(found).value();
        }
    }

    void aBendIsNoStep()
    {
        const std::vector<Part> parts{{box(0.5, 3.5, 50.4, 51.3), {box(1.8, 2.2, 50.8, 51.0)}}};
        const auto pieces = cut(parts, *m_cranked);
        QCOMPARE(pieces.size(), std::size_t(1));
        QCOMPARE(pieces[0].piece, std::size_t(0));
        QVERIFY(pieces[0].parts == parts);
    }

    void besideTheStepItStaysWhole()
    {
        const std::vector<Part> before{{box(0.5, 1.5, 50.4, 51.3), {}}},
            after{{box(2.5, 3.5, 50.4, 51.3), {}}};
        const auto first = cut(before, *m_stepped), second = cut(after, *m_stepped);
        QVERIFY(first.size() == 1 && first[0].piece == 0 && first[0].parts == before);
        QVERIFY(second.size() == 1 && second[0].piece == 1 && second[0].parts == after);
    }

    /// Drawn up to the step, as the eye has it: within the lattice to either side there is nothing to cut off.
    void upToTheStepItStaysWhole()
    {
        for (const double offM : {-5e-6, 0.0, 5e-6}) {
            const std::vector<Part> before{{box(0.5, 2 + offM, 50.4, 51.3), {}}},
                after{{box(2 + offM, 3.5, 50.4, 51.3), {}}};
            const auto first = cut(before, *m_stepped), second = cut(after, *m_stepped);
            QVERIFY2(first.size() == 1 && first[0].piece == 0, qPrintable(QString::number(offM)));
            QVERIFY2(second.size() == 1 && second[0].piece == 1, qPrintable(QString::number(offM)));
        }
    }

    void overTheStepItIsTakenApartAndTheCutIsTruncated()
    {
        const auto pieces = cut({{box(0.5, 3.0, 50.4, 51.3), {box(1.8, 2.2, 50.8, 51.0)}}}, *m_stepped);
        QCOMPARE(pieces.size(), std::size_t(2));
        // 1.5 m and 1 m of 0.9 m height, each less half the hole of 0.4 x 0.2 m.
        const double areas[] = {1.5 * 0.9 - 0.04, 1.0 * 0.9 - 0.04};
        for (std::size_t i = 0; i < 2; ++i) {
            QCOMPARE(pieces[i].piece, i);
            QCOMPARE(pieces[i].parts.size(), std::size_t(1));
            QVERIFY(std::abs(areaM2(pieces[i].parts, *m_stepped) - areas[i]) < LatticeM2);
            QVERIFY(pieces[i].parts[0].holes.empty()); // the step opens it
            const Ring& ring = pieces[i].parts[0].outer;
            double cutM = 0;
            for (std::size_t v = 0; v < ring.vertices.size(); ++v) {
                const GroundM a = m_stepped->toGround(ring.vertices[v]);
                const GroundM b = m_stepped->toGround(ring.vertices[(v + 1) % ring.vertices.size()]);
                const bool atStep = std::abs(a.east - 2) < 1e-5 && std::abs(b.east - 2) < 1e-5;
                QCOMPARE(ring.kinds[v], atStep ? EdgeKind::Truncated : EdgeKind::Certain);
                cutM += atStep ? std::abs(b.north - a.north) : 0;
                QVERIFY(i == 0 ? a.east < 2 + 1e-5 : a.east > 2 - 1e-5);
            }
            QVERIFY(std::abs(cutM - 0.7) < 1e-4); // 0.9 m less the hole
        }
    }

    void everyPieceIsCountedWhereItStands()
    {
        const auto pieces = cut({{box(0.5, 3.5, 50.4, 51.3), {}}}, *m_twice);
        QCOMPARE(pieces.size(), std::size_t(3));
        const double lengths[] = {0.5, 1.0, 1.5};
        for (std::size_t i = 0; i < 3; ++i) {
            QCOMPARE(pieces[i].piece, i);
            QVERIFY(std::abs(areaM2(pieces[i].parts, *m_twice) - lengths[i] * 0.9) < LatticeM2);
        }
    }

    /// A U lying on its side: two arms reach over the step, so that it is crossed twice.
    void twoArmsOverTheStepAreTwoPiecesOfOnePlane()
    {
        const Ring u =
            yard::ring({markAt(1.0, 50.4), markAt(3.0, 50.4), markAt(3.0, 50.6), markAt(1.4, 50.6),
                        markAt(1.4, 51.0), markAt(2.5, 51.0), markAt(2.5, 51.2), markAt(1.0, 51.2)});
        const auto pieces = cut({{u, {}}}, *m_stepped);
        double first = 0, second = 0;
        std::size_t arms = 0;
        for (const StepPiece& piece : pieces) {
            (piece.piece == 0 ? first : second) += areaM2(piece.parts, *m_stepped);
            arms += piece.piece == 1 ? piece.parts.size() : 0;
        }
        QCOMPARE(arms, std::size_t(2));
        // Right of the step: 1 m and 0.5 m of 0.2 m height; left of it 0.4 x 0.8 m and twice 0.6 x 0.2 m.
        QVERIFY(std::abs(second - (0.2 + 0.1)) < LatticeM2);
        QVERIFY(std::abs(first - (0.32 + 0.24)) < LatticeM2);
    }

    void partsKeepTheirPlanes()
    {
        const auto pieces =
            cut({{box(0.2, 0.8, 50.4, 51.0), {}}, {box(2.4, 3.0, 50.4, 51.0), {}}}, *m_stepped);
        QCOMPARE(pieces.size(), std::size_t(2));
        for (std::size_t i = 0; i < 2; ++i) {
            QCOMPARE(pieces[i].piece, i);
            QVERIFY(std::abs(areaM2(pieces[i].parts, *m_stepped) - 0.36) < LatticeM2);
        }
    }
};

QTEST_GUILESS_MAIN(StepPiecesTest)
#include "StepPiecesTest.moc"
