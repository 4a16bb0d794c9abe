// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/GroundOutlines.h"

#include <fstream>

#include <QTemporaryDir>
#include <QTest>

#include <nlohmann/json.hpp>

#include "tests/core/handover/YardProject.h"

using namespace inkpeg;

class GroundOutlinesTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;
    std::optional<Project> m_project;
    std::optional<DrawingGround> m_plan;
    std::vector<ControlPoint> m_points;

    PositionErrors errors() const { return {*m_plan, m_points, 0.25}; }

private slots:
    void initTestCase()
    {
        m_project.emplace(yard::make(m_folder.filePath("yard.gpkg").toStdString()));
        const Drawing drawing = m_project->byKey<Drawing>("P-01").value();
        const Result<DrawingGround> ground = groundOfDrawing(*m_project, drawing);
        QVERIFY2(ground, ground ? "" : ground.error().message.c_str());
        m_plan.emplace(*ground);
        m_points = *controlPoints(*m_project, drawing, m_project->ofDrawing<Pin>(drawing.id));
    }

    void outlinesLieWhereTheFilmLay()
    {
        const Outline outline = m_project->all<Outline>().front();
        const std::vector<VertexPart> parts = partsOnGround(outline.parts, *m_plan, errors());
        for (const GroundVertex& vertex : parts[0].outer) {
            double nearestM = 1e9;
            for (const ScanPx traced : outline.parts[0].outer.vertices)
                nearestM = std::min(nearestM, distance(vertex.at, yard::truth(traced)));
            QVERIFY2(nearestM < 0.006,
                     qPrintable(QString::number(nearestM))); // the pegs are up to 4.5 mm off
        }
    }

    // RFC 7946, 3.1.6: exterior rings counter-clockwise, holes clockwise; edges keep their kinds when
    // turned round.
    void ringsRunTheRightWayAndEdgesKeepTheirKinds()
    {
        for (const bool turned : {false, true}) {
            Outline outline = m_project->all<Outline>().front();
            if (turned)
                for (Part& part : outline.parts) {
                    std::reverse(part.outer.vertices.begin(), part.outer.vertices.end());
                    // edge i of the reversed ring was edge n - 2 - i (counted round) before
                    const std::vector<EdgeKind> kinds = part.outer.kinds;
                    const std::size_t count = kinds.size();
                    for (std::size_t i = 0; i < count; ++i)
                        part.outer.kinds[i] = kinds[(2 * count - 2 - i) % count];
                }
            const std::vector<VertexPart> parts = partsOnGround(outline.parts, *m_plan, errors());
            for (const VertexPart& part : parts) {
                QVERIFY(signedAreaM2(part.outer) > 0);
                for (const VertexRing& hole : part.holes)
                    QVERIFY(signedAreaM2(hole) < 0);
            }
            // Truncated: from (1500, 500) by (1500, 1400) to (500, 1400).
            const GroundM middleOfTruncated = m_plan->toGround({1500, 950});
            int found = 0;
            const VertexRing& ring = parts[0].outer;
            for (std::size_t i = 0; i < ring.size(); ++i) {
                const GroundM a = ring[i].at, b = ring[(i + 1) % ring.size()].at;
                const GroundM middle{(a.east + b.east) / 2, (a.north + b.north) / 2};
                if (distance(middle, middleOfTruncated) < 1e-6) {
                    QCOMPARE(ring[i].kind, EdgeKind::Truncated);
                    ++found;
                }
            }
            QCOMPARE(found, 1);
            const std::vector<EdgeStretch> stretches = edgeStretches(ring);
            QCOMPARE(stretches.size(), std::size_t{2});
            for (const EdgeStretch& stretch : stretches)
                QCOMPARE(stretch.vertices.size(), std::size_t{3});
        }
    }

    void aRingOfOneKindIsOneClosedStretch()
    {
        const Outline outline = m_project->all<Outline>().front();
        const std::vector<VertexPart> parts = partsOnGround(outline.parts, *m_plan, errors());
        const std::vector<EdgeStretch> stretches = edgeStretches(parts[1].outer);
        QCOMPARE(stretches.size(), std::size_t{1});
        QCOMPARE(stretches[0].kind, EdgeKind::Uncertain);
        QVERIFY(stretches[0].vertices.front() == stretches[0].vertices.back());
        QCOMPARE(stretches[0].vertices.size(), std::size_t{4});
    }

    // tests/published/area_by_coordinates.json; the second case is published to the square foot, so to 2 of
    // them.
    void areasAgreeWithThePublishedOnes()
    {
        std::ifstream in(INKPEG_PUBLISHED_DIR "/area_by_coordinates.json");
        const nlohmann::json published = nlohmann::json::parse(in);
        QCOMPARE(published.size(), std::size_t{2});
        for (const nlohmann::json& traverse : published) {
            VertexRing ring;
            for (const nlohmann::json& vertex : traverse["vertices_north_east"])
                ring.push_back({{vertex[1].get<double>(), vertex[0].get<double>()}, {}, {}});
            const nlohmann::json sums = traverse.value("sums_of_published_terms",
                                                       traverse.value("sum_published", nlohmann::json()));
            const double area = std::abs(sums[0].get<double>() - sums[1].get<double>()) / 2;
            QVERIFY(std::abs(std::abs(signedAreaM2(ring)) - area) < 2);
        }
    }

    void errorTermsAreWhatTheAccuracyModelSays()
    {
        const PositionError error = errors().at({2000, 1500});
        // 0.25 mm on film at 1:20 is 5 mm on the ground; the fitted scale differs from 1:20 by less than
        // 0.1 %.
        QVERIFY(std::abs(error.tracingM - 0.005) < 5e-6);
        QCOMPARE(error.pegM, 0.010); // every peg of the yard has the register's default
        // 25.4 / 400 mm = 0.0635 mm on film, 1.27 mm on the ground, over sqrt(12)
        QVERIFY(std::abs(error.pixelM - 0.00127 / std::sqrt(12.0)) < 1e-6);
        QVERIFY(error.controlM > 0.002 && error.controlM < 0.010); // five pegs of 10 mm averaged
        QCOMPARE(error.totalM(), std::sqrt(error.controlM * error.controlM + error.pegM * error.pegM +
                                           error.tracingM * error.tracingM + error.pixelM * error.pixelM));
        QVERIFY(errors().at({0, 0}).controlM > error.controlM); // outside the pins it grows
    }

    void curvedModelsGetChordsWithinTolerance()
    {
        // A second-order map that bends: ten pegs from a known curve.
        std::vector<ControlPoint> pins;
        const auto bent = [](FilmMm film) {
            const double x = film.x * 0.02, y = film.y * 0.02;
            return GroundM{500'000 + x + 0.01 * y * y, 6'000'000 + y + 0.02 * x * x};
        };
        for (int i = 0; i < 4; ++i)
            for (int j = 0; j < 3; ++j) {
                const FilmMm film{20 + 60.0 * i, 20 + 75.0 * j};
                pins.push_back(
                    {.peg = std::to_string(i) + std::to_string(j), .film = film, .ground = bent(film)});
            }
        Result<ControlFit> fit = fitControl(pins, {.model = Model::Polynomial2, .scaleDenominator = 20});
        QVERIFY(fit);
        const DrawingGround ground{*fit, yard::Film, {}};
        const PositionErrors errorsHere(ground, pins, 0.25);
        const std::vector<ScanPx> edge{{400, 400}, {3500, 2500}};
        const std::vector<GroundVertex> line = lineOnGround(edge, ground, errorsHere, 0.05);
        const std::vector<GroundVertex> back = lineOnGround({edge[1], edge[0]}, ground, errorsHere, 0.05);
        QVERIFY2(line.size() > 4, qPrintable(QString::number(line.size())));
        QCOMPARE(back.size(), line.size());
        for (std::size_t i = 0; i < line.size(); ++i)
            QVERIFY(line[i].at ==
                    back[back.size() - 1 - i].at); // neighbours that share the edge share its vertices
        // 0.05 mm at 1:20 is 1 mm on the ground; 1.05 because the sag is sampled at quarters.
        for (int k = 0; k <= 500; ++k) {
            const double share = k / 500.0;
            const GroundM at = ground.toGround({400 + 3100 * share, 400 + 2100 * share});
            double nearestM = 1e9;
            for (std::size_t i = 0; i + 1 < line.size(); ++i) {
                const GroundM a = line[i].at, b = line[i + 1].at;
                const double length = distance(a, b);
                const double along = std::clamp(
                    ((at.east - a.east) * (b.east - a.east) + (at.north - a.north) * (b.north - a.north)) /
                        (length * length),
                    0.0, 1.0);
                nearestM = std::min(nearestM, distance(at, {a.east + along * (b.east - a.east),
                                                            a.north + along * (b.north - a.north)}));
            }
            QVERIFY(nearestM < 0.00105);
        }
    }

    void anAffineMapNeedsNoMoreVertices()
    {
        const Outline outline = m_project->all<Outline>().front();
        const std::vector<VertexPart> parts = partsOnGround(outline.parts, *m_plan, errors());
        QCOMPARE(parts[0].outer.size(), outline.parts[0].outer.vertices.size());
    }
};

QTEST_GUILESS_MAIN(GroundOutlinesTest)
#include "GroundOutlinesTest.moc"
