// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/section/SectionFrame.h"

#include <cmath>
#include <numbers>
#include <random>

#include <QTest>

using namespace inkpeg;

namespace {

SectionNail nail(const std::string& name, double east, double north, std::optional<double> levelM = 41.5)
{
    return {.name = name, .position = {east, north}, .levelM = levelM};
}

SectionFrame cranked()
{
    return SectionFrame::through(
               "S-04", {nail("A", 100, 200), nail("M", 103, 204), nail("N", 103, 206), nail("B", 109, 206)},
               41.5)
        .value();
}

SectionNail afterStep(SectionNail nail)
{
    nail.afterStep = true;
    return nail;
}

/// Three metres, a step of 0.8 m to the left that was not drawn, and four metres more with a bend.
SectionFrame stepped()
{
    return SectionFrame::through("S-05",
                                 {nail("A", 100, 200), nail("M", 103, 200),
                                  afterStep(nail("N", 103, 200.8)), nail("O", 105, 200.8),
                                  nail("B", 105, 198.8)},
                                 41.5)
        .value();
}

bool says(const Error& error, const char* text)
{
    return error.message.find(text) != std::string::npos;
}

} // namespace

class SectionFrameTest final : public QObject {
    Q_OBJECT

private slots:
    void distanceAlongGoesOnAtBends()
    {
        const SectionFrame frame = cranked();
        QCOMPARE(frame.lengthM(), 13.0);
        QCOMPARE(frame.alongOfNailM(2), 7.0);
        SpacePoint last = frame.toSpace(SectionPoint{-1, 41});
        for (int i = -999; i <= 14'000; ++i) {
            const SpacePoint next = frame.toSpace(SectionPoint{i / 1000.0, 41});
            const double step = std::hypot(next.eastM - last.eastM, next.northM - last.northM);
            // A millimetre along is a millimetre on the ground, a little less across the corner of a bend.
            QVERIFY(step <= 0.001 + 1e-9 && step > 0.0006);
            QVERIFY(std::abs(frame.toSection(next).alongM - i / 1000.0) < 1e-9);
            last = next;
        }
        QVERIFY(std::abs(frame.footOf({103, 206}).alongM - 7) < 1e-12);
    }

    void placesBesideTheLineKnowTheirSide()
    {
        const SectionFrame frame = cranked();
        const SectionFoot foot = frame.footOf({106, 206.4});
        QVERIFY(std::abs(foot.alongM - 10) < 1e-12);
        QVERIFY(std::abs(foot.offsetM - 0.4) < 1e-12);
        QCOMPARE(foot.leg, std::size_t(2));
        QVERIFY(frame.footOf({106, 205.5}).offsetM < 0);
        // Beyond the ends the outer legs reach on.
        QVERIFY(std::abs(frame.footOf({112, 206}).alongM - 16) < 1e-12);
    }

    void ringInSpaceGetsVerticesAtBends()
    {
        const SectionFrame frame = cranked();
        const std::vector<SectionPoint> ring = {{4, 41}, {8, 41}, {8, 40}, {4, 40}};
        const auto places = frame.toSpace(ring, true);
        QCOMPARE(places.size(), std::size_t(8)); // two bends passed on the way out and two on the way back
        QCOMPARE(places[1], frame.toSpace(SectionPoint{5, 41}));
        QCOMPARE(places[2], frame.toSpace(SectionPoint{7, 41}));
        QCOMPARE(places[5], frame.toSpace(SectionPoint{7, 40}));
        QCOMPARE(frame.toSpace(std::vector<SectionPoint>{{4, 41}, {8, 41}}, false).size(), std::size_t(4));
        QCOMPARE(intervalOf(ring).fromM, 4.0);
        QCOMPARE(intervalOf(ring).toM, 8.0);
    }

    void aStepTakesNoLengthAndTheLineGoesOnBesideIt()
    {
        const SectionFrame frame = stepped();
        QCOMPARE(frame.lengthM(), 7.0);
        QCOMPARE(frame.alongOfNailM(1), 3.0);
        QCOMPARE(frame.alongOfNailM(2), 3.0);
        QCOMPARE(frame.stepsM(), std::vector<double>{3.0});
        QCOMPARE(frame.toSpace(SectionPoint{3, 41}), (SpacePoint{103, 200, 41}));
        SpacePoint last = frame.toSpace(SectionPoint{-1, 41});
        for (int i = -999; i <= 8'000; ++i) {
            const SpacePoint next = frame.toSpace(SectionPoint{i / 1000.0, 41});
            const double way = std::hypot(next.eastM - last.eastM, next.northM - last.northM);
            // A millimetre along is one on the ground, but for the step and the corner of the bend at 5 m.
            if (i == 3001)
                QVERIFY(std::abs(way - std::hypot(0.001, 0.8)) < 1e-9);
            else
                QVERIFY(way < 0.001 + 1e-9 && way > 0.0006);
            QVERIFY(std::abs(frame.toSection(next).alongM - i / 1000.0) < 1e-9);
            last = next;
        }
        // Nothing lies on the way across.
        QVERIFY(std::abs(std::abs(frame.footOf({103, 200.4}).offsetM) - 0.4) < 1e-12);
        QVERIFY(std::abs(frame.footOf({103, 200.8}).offsetM) < 1e-12);
    }

    void pastAStepAPieceStandsInItsOwnPlane()
    {
        const SectionFrame frame = stepped();
        const std::vector<SectionPoint> across = {{2, 41}, {4, 41}};
        QCOMPARE(
            frame.toSpace(across, false),
            (std::vector<SpacePoint>{{102, 200, 41}, {103, 200, 41}, {103, 200.8, 41}, {104, 200.8, 41}}));
        const std::vector<SectionPoint> before = {{2, 41}, {3, 41}}, after = {{3, 41}, {6, 41}};
        QCOMPARE(frame.toSpace(before, false, 0),
                 (std::vector<SpacePoint>{{102, 200, 41}, {103, 200, 41}}));
        QCOMPARE(frame.toSpace(after, false, 1),
                 (std::vector<SpacePoint>{{103, 200.8, 41}, {105, 200.8, 41}, {105, 199.8, 41}}));
        // A cut is a hair off the step: that hair stays in the piece's plane too.
        const std::vector<SectionPoint> hair = {{3 - 1e-6, 41}, {4, 41}};
        QVERIFY(std::abs(frame.toSpace(hair, false, 1).front().northM - 200.8) < 1e-9);
    }

    void aLineIsPartedAtTheStepsItPasses()
    {
        const SectionFrame frame = stepped();
        const std::vector<SectionPoint> across = {{2, 41}, {4, 42}};
        std::vector<SectionStretch> parts = frame.stretchesOf(across);
        QCOMPARE(parts.size(), std::size_t(2));
        QCOMPARE(parts[0].line, (std::vector<SectionPoint>{{2, 41}, {3, 41.5}}));
        QCOMPARE(parts[1].line, (std::vector<SectionPoint>{{3, 41.5}, {4, 42}}));
        QVERIFY(parts[0].piece == 0 && parts[1].piece == 1);
        // A vertex at the step itself, and back again.
        const std::vector<SectionPoint> there = {{2, 41}, {3, 41.2}, {4, 42}, {2.5, 40}};
        parts = frame.stretchesOf(there);
        QCOMPARE(parts.size(), std::size_t(3));
        QCOMPARE(parts[0].line, (std::vector<SectionPoint>{{2, 41}, {3, 41.2}}));
        QCOMPARE(parts[1].line.front(), (SectionPoint{3, 41.2}));
        QVERIFY(std::abs(parts[1].line.back().levelM - (42 - 2.0 / 1.5)) < 1e-12);
        QVERIFY(parts[1].piece == 1 && parts[2].piece == 0);
        // What begins or ends at the step passes none.
        const std::vector<SectionPoint> from = {{3, 41}, {5, 41}}, up = {{1, 41}, {3, 41}};
        QVERIFY(frame.stretchesOf(from).size() == 1 && frame.stretchesOf(from)[0].piece == 1);
        QVERIFY(frame.stretchesOf(up).size() == 1 && frame.stretchesOf(up)[0].piece == 0);
    }

    /// Two pieces to the east, two metres aside of each other: the face looks south, as each of them does.
    void aStepDoesNotTurnTheFace()
    {
        const SectionFrame frame =
            SectionFrame::through("S-06",
                                  {nail("A", 100, 200), nail("M", 101, 200), afterStep(nail("N", 101, 202)),
                                   nail("B", 102, 202)},
                                  41.5)
                .value();
        QCOMPARE(frame.facingName(), std::string("S"));
        QCOMPARE(checkFacing(frame, "S").value(), FacingVerdict::Agrees);
    }

    void aSteppedLineIsTurnedWithItsSteps()
    {
        const SectionFrame frame = stepped(), turned = frame.turned();
        QCOMPARE(turned.stepsM(), std::vector<double>{4.0});
        for (double along = 0.25; along < 7; along += 0.5) {
            const SpacePoint a = frame.toSpace(SectionPoint{along, 40}),
                             b = turned.toSpace(SectionPoint{7 - along, 40});
            QVERIFY(std::hypot(a.eastM - b.eastM, a.northM - b.northM) < 1e-12);
        }
        QCOMPARE(turned.turned().toSpace(SectionPoint{3.5, 40}), frame.toSpace(SectionPoint{3.5, 40}));
    }

    void facingLooksBackAtTheReader()
    {
        // A in the west and B in the east is read by someone who looks north: the face looks south.
        const auto frame = SectionFrame::through("S-01", {nail("A", 0, 0), nail("B", 5, 0)}, 41.5);
        QCOMPARE(frame->facingName(), std::string("S"));
        QCOMPARE(frame->turned().facingName(), std::string("N"));
        QCOMPARE(checkFacing(*frame, "S").value(), FacingVerdict::Agrees);
        QCOMPARE(checkFacing(*frame, "south-east").value(), FacingVerdict::Agrees);
        QCOMPARE(checkFacing(*frame, "N").value(), FacingVerdict::Reversed);
        QCOMPARE(checkFacing(*frame, "NNW").value(), FacingVerdict::Reversed);
        QCOMPARE(checkFacing(*frame, "E").value(), FacingVerdict::AtOdds);
        QCOMPARE(checkFacing(*frame, "181").value(), FacingVerdict::Agrees);
        QVERIFY(says(checkFacing(*frame, "up").error(), "facing \"up\" is no compass point"));
    }

    void turnedLineIsTheSameLineFromTheOtherEnd()
    {
        const SectionFrame frame = cranked(), turned = frame.turned();
        for (double along = 0; along <= 13; along += 0.5) {
            const SpacePoint a = frame.toSpace(SectionPoint{along, 40}),
                             b = turned.toSpace(SectionPoint{13 - along, 40});
            QVERIFY(std::hypot(a.eastM - b.eastM, a.northM - b.northM) < 1e-12);
        }
        QCOMPARE(turned.nails().front().name, std::string("B"));
    }

    void badLinesAndDatumsAreRefusedWithWords()
    {
        const auto refused = [](std::vector<SectionNail> nails, std::optional<double> datum,
                                const char* text) {
            const auto frame = SectionFrame::through("S-09", std::move(nails), datum);
            return !frame && says(frame.error(), "section S-09: ") && says(frame.error(), text);
        };
        QVERIFY(refused({nail("A", 0, 0)}, 41.5, "its line needs A and B"));
        QVERIFY(refused({nail("A", 0, 0), nail("B", 0, 0)}, 41.5, "A and B are in one place"));
        QVERIFY(refused({nail("A", 0, 0), nail("M", 4, 0), nail("N", 4, 4), nail("B", 2, -2)}, 41.5,
                        "crosses itself: A-M and N-B"));
        QVERIFY(refused({nail("A", 0, 0), nail("M", 4, 0), nail("B", 2, 0)}, 41.5,
                        "turns back on itself at M"));
        QVERIFY(refused({nail("A", 0, 0), nail("M", 4, 0), afterStep(nail("B", 4, 1))}, 41.5,
                        "the piece at nail B has one nail"));
        QVERIFY(refused({nail("A", 0, 0), afterStep(nail("B", 4, 1))}, 41.5,
                        "the piece at nail A has one nail"));
        QVERIFY(refused({nail("A", 0, 0), nail("M", 4, 0), afterStep(nail("N", 3, 1)), nail("B", 3, -1)},
                        41.5, "crosses itself: A-M and N-B"));
        QVERIFY(refused({nail("A", 0, 0), nail("B", 4, 0)}, std::nullopt, "no datum level"));
        QVERIFY(refused({nail("A", 0, 0), nail("B", 4, 0)}, 136.15, "in feet it would be 41.50 m"));
        QVERIFY(refused({nail("A", 0, 0), nail("B", 4, 0)}, 4.15, "lies far from its nails at 41.50 m"));
    }

    void datumIsReadWithItsUnit()
    {
        QCOMPARE(parseDatum("41.50", "S-01").value(), 41.5);
        QCOMPARE(parseDatum(" 41.50 m ", "S-01").value(), 41.5);
        QVERIFY(says(parseDatum("136 ft", "S-01").error(), "is in feet; give 41.453 in metres"));
        QVERIFY(says(parseDatum("136'", "S-01").error(), "is in feet"));
        QVERIFY(says(parseDatum("", "S-01").error(), "no datum level"));
        QVERIFY(says(parseDatum("high", "S-01").error(), "is no number"));
        QVERIFY(says(parseDatum("4150 cm", "S-01").error(), "not metres"));
    }
};

QTEST_GUILESS_MAIN(SectionFrameTest)
#include "SectionFrameTest.moc"
