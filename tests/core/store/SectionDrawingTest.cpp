// SPDX-License-Identifier: GPL-3.0-or-later
// Upright drawings of a project: tied to space by nails and datum, turned where they read the wrong way,
// refused in words and without half a state.
#include "core/store/SectionTurn.h"

#include <cmath>
#include <complex>
#include <numbers>
#include <random>

#include <QTemporaryDir>
#include <QTest>

#include "core/store/PositionError.h"

using namespace inkpeg;

namespace {

constexpr FilmFrame Frame{4961, 3508, 300, 300, false}; // A3 at 300 dpi
constexpr double Datum = 41.5;

/// A section as it truly stands and was drawn.
struct Truth {
    std::vector<SectionNail> line;
    double scale = 10, turnRad = 0, exaggeration = 1;
    bool mirroredScan = false;

    SectionFrame frame() const { return SectionFrame::through("truth", line, Datum).value(); }
    ScanPx mark(SectionPoint p) const
    {
        const std::complex<double> drawn(p.alongM * 1000 / scale,
                                         (p.levelM - Datum) * exaggeration * 1000 / scale);
        const auto onFilm = drawn * std::polar(1.0, turnRad) + std::complex<double>(40, 180);
        ScanPx at = Frame.toScan({onFilm.real(), onFilm.imag()});
        if (mirroredScan)
            at.column = Frame.widthPx - at.column;
        return at;
    }
};

Truth randomTruth(std::mt19937& random, int bends)
{
    std::uniform_real_distribution<> share(0, 1);
    Truth truth;
    double heading = share(random) * 2 * std::numbers::pi, east = 553'100, north = 6'204'200;
    for (int i = 0; i < 2 + bends; ++i) {
        truth.line.push_back({.name = std::string(1, static_cast<char>('A' + i)),
                              .position = {east, north},
                              .levelM = Datum});
        const double leg = (bends == 0 ? 1.6 : 0.9) + share(random);
        east += leg * std::sin(heading);
        north += leg * std::cos(heading);
        heading += 0.8 * (share(random) - 0.5);
    }
    truth.turnRad = 0.06 * (share(random) - 0.5);
    return truth;
}

/// Of the five ways in which a section can be recorded wrongly, or not.
struct Recorded {
    bool storedLine = false, lineReversed = false, mirrored = false;
};

} // namespace

class SectionDrawingTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;
    std::optional<Project> m_project;
    int m_count = 0;

    /// Puts a section with nails on the datum and low ones, and gives it back as stored.
    Drawing put(const Truth& truth, const Recorded& recorded, std::mt19937& random)
    {
        Drawing drawing;
        const Result<Change> done = m_project->act("section", [&](Editor& edit) -> Result<void> {
            return put(edit, truth, recorded, random, drawing);
        });
        if (!done)
            qFatal("%s", done.error().message.c_str());
        return drawing;
    }

    Result<void> put(Editor& edit, const Truth& truth, const Recorded& recorded, std::mt19937& random,
                     Drawing& drawing)
    {
        const std::string number = "S-" + std::to_string(++m_count);
        std::normal_distribution<> pointing(0, 0.8); // 0.07 mm at 300 dpi
        drawing.number = number;
        drawing.kind = DrawingKind::Section;
        drawing.sheet = "F-" + number;
        drawing.scaleDenominator = truth.scale;
        drawing.datumM = Datum;
        drawing.model = Model::Similarity;
        drawing.facing = truth.frame().facingName();
        drawing.verticalExaggeration = truth.exaggeration;
        Sheet sheet;
        sheet.number = drawing.sheet;
        sheet.frame = Frame;
        if (auto put = edit.put(sheet); !put)
            return put;
        const SectionFrame frame = truth.frame();
        std::vector<LineStop> stops;
        std::vector<std::pair<Peg, ScanPx>> nails;
        const auto nail = [&](const std::string& name, double along, double level) {
            const SpacePoint place = frame.toSpace(SectionPoint{along, level});
            Peg peg;
            peg.name = number + " " + name;
            peg.position = {place.eastM, place.northM};
            peg.levelM = level;
            peg.standardErrorEastM = peg.standardErrorNorthM = 0.002;
            peg.standardErrorLevelM = 0.003;
            nails.emplace_back(peg, truth.mark({along, level}));
        };
        for (std::size_t i = 0; i < truth.line.size(); ++i) {
            nail(truth.line[i].name, frame.alongOfNailM(i), Datum);
            nails.back().first.position =
                truth.line[i].position; // at a step two nails are one distance along
            stops.push_back({number + " " + truth.line[i].name, truth.line[i].afterStep});
        }
        nail("low 1", 0.2, Datum - 0.7);
        nail("low 2", frame.lengthM() - 0.2, Datum - 0.8);
        if (recorded.lineReversed)
            stops = turnedLine(stops);
        if (recorded.storedLine)
            drawing.sectionLine = sectionLineText(stops);
        if (auto put = edit.put(drawing); !put)
            return put;
        for (auto& [peg, mark] : nails) {
            if (auto put = edit.put(peg); !put)
                return put;
            Pin pin;
            pin.drawing = drawing.id;
            pin.peg = peg.name;
            pin.mark = {mark.column + pointing(random), mark.row + pointing(random)};
            if (auto put = edit.put(pin); !put)
                return put;
        }
        return {};
    }

    /// The worst distance in space of places on the face from where they truly are, in mm on the film.
    double worstMm(const Drawing& drawing, const Truth& truth)
    {
        const Result<DrawingGround> ground = groundOfDrawing(*m_project, drawing);
        if (!ground)
            return 1e9;
        const SectionFrame frame = truth.frame();
        double worst = 0;
        for (double along = 0; along <= frame.lengthM(); along += 0.23)
            for (const double level : {Datum + 0.1, Datum - 0.3, Datum - 0.8}) {
                constexpr double BesideM = 0.01; // a place at a step may be put on either side of it
                if (std::ranges::any_of(frame.stepsM(),
                                        [&](double step) { return std::abs(step - along) < BesideM; }))
                    continue;
                const SpacePoint is = frame.toSpace(SectionPoint{along, level});
                const SpacePoint found = ground->toSpace(truth.mark({along, level}));
                worst =
                    std::max(worst, std::hypot(std::hypot(found.eastM - is.eastM, found.northM - is.northM),
                                               found.levelM - is.levelM));
            }
        return filmMmFromGroundM(worst, truth.scale);
    }

private slots:
    void init()
    {
        m_project.reset();
        ProjectFacts facts;
        facts.siteCode = "SKR26";
        static int n = 0;
        Result<Project> made =
            Project::create(m_folder.filePath(QString("p%1.gpkg").arg(++n)).toStdString(), facts);
        QVERIFY2(made, made ? "" : made.error().message.c_str());
        m_project = std::move(made).value();
    }

    void reversedAndMirroredSectionsAreAlwaysFoundAndTheFirstRemedyMendsThem()
    {
        constexpr unsigned Seed = 620;
        qInfo("seed %u", Seed);
        std::mt19937 random(Seed);
        int wrong = 0;
        double worst = 0;
        std::vector<std::tuple<Recorded, Truth, Drawing>> trials(500);
        const Result<Change> all = m_project->act("500 sections", [&](Editor& edit) -> Result<void> {
            for (auto& [recorded, truth, drawing] : trials) {
                recorded.storedLine = random() % 2 == 0;
                recorded.lineReversed = recorded.storedLine && random() % 2 == 0;
                recorded.mirrored = random() % 2 == 0;
                truth = randomTruth(random, recorded.storedLine ? static_cast<int>(random() % 3) : 0);
                truth.mirroredScan = recorded.mirrored;
                if (const Result<void> done = put(edit, truth, recorded, random, drawing); !done)
                    return done;
            }
            return {};
        });
        QVERIFY2(all, all ? "" : all.error().message.c_str());
        for (int trial = 0; trial < 500; ++trial) {
            const auto& [recorded, truth, drawing] = trials[static_cast<std::size_t>(trial)];
            const Result<SectionReading> reading = readSection(*m_project, drawing);
            QVERIFY2(reading, reading ? "" : reading.error().message.c_str());
            const bool isWrong = recorded.lineReversed || recorded.mirrored;
            wrong += isWrong ? 1 : 0;
            QCOMPARE(!reading->remedies.empty(), isWrong);
            if (isWrong) {
                const Result<Change> turned = turnSection(*m_project, drawing, reading->remedies.front());
                QVERIFY2(turned, turned ? "" : turned.error().message.c_str());
            }
            const Drawing now = *m_project->byId<Drawing>(drawing.id);
            const Result<SectionReading> after = readSection(*m_project, now);
            QVERIFY(after && after->remedies.empty());
            const double off = worstMm(now, truth);
            worst = std::max(worst, off);
            QVERIFY2(off <= 1.0, qPrintable(QString("trial %1: %2 mm").arg(trial).arg(off)));
        }
        QVERIFY(wrong > 200);
        qInfo("%d of 500 were recorded the wrong way; worst place %.3f mm on the film", wrong, worst);
    }

    void aTurnIsOneActThatCanBeUndone()
    {
        std::mt19937 random(621);
        const Truth truth = randomTruth(random, 1);
        const Drawing drawing = put(truth, {.storedLine = true, .lineReversed = true}, random);
        const Result<DrawingGround> refused = groundOfDrawing(*m_project, drawing);
        QVERIFY(!refused);
        QCOMPARE(refused.error().code, ErrorCode::Conflict);
        QVERIFY(refused.error().message.find("Turn the line to run from") != std::string::npos);
        QVERIFY(turnSection(*m_project, drawing, SectionRemedy::TurnLine));
        QVERIFY(groundOfDrawing(*m_project, *m_project->byId<Drawing>(drawing.id)));
        QVERIFY(m_project->undo());
        QCOMPARE(*m_project->byId<Drawing>(drawing.id), drawing);
        QVERIFY(m_project->redo());
        QVERIFY(groundOfDrawing(*m_project, *m_project->byId<Drawing>(drawing.id)));
    }

    void aTallDrawingGivesTrueLevelsAndSmallerErrorsUpwards()
    {
        std::mt19937 random(622);
        Truth truth = randomTruth(random, 0);
        truth.exaggeration = 2;
        const Drawing drawing = put(truth, {}, random);
        QVERIFY(worstMm(drawing, truth) <= 1.0);
        const auto ground = groundOfDrawing(*m_project, drawing);
        const auto pins = controlPoints(*m_project, drawing, m_project->ofDrawing<Pin>(drawing.id));
        const PositionErrors errors(*ground, *pins, 0.25);
        const SpaceError error = errors.inSpace(truth.mark({0.5, Datum - 0.2}));
        QVERIFY(error.levelM < std::hypot(error.eastM, error.northM));
        const ScanPx mark = truth.mark({0.7, Datum - 0.4});
        const auto back = ground->toScan(ground->toGround(mark));
        QVERIFY(back && distance(*back, mark) < 1e-6);
    }

    void marksOnTheDatumLineNeedNoLevelAndPiecesKeepTheirOwnDatum()
    {
        std::mt19937 random(623);
        const Truth truth = randomTruth(random, 0);
        const Drawing drawing = put(truth, {}, random);
        // The levels of the nails on the datum go; their marks lie on the datum line.
        QVERIFY(m_project->act("forget levels", [&](Editor& edit) -> Result<void> {
            for (Pin pin : m_project->ofDrawing<Pin>(drawing.id)) {
                Peg peg = *m_project->byKey<Peg>(pin.peg);
                const bool low = pin.peg.find("low") != std::string::npos;
                if (low) { // drawn in a piece with a datum of its own, whose line it lies on
                    pin.datumM = *peg.levelM;
                }
                pin.onDatum = true;
                peg.levelM.reset();
                if (auto put = edit.put(pin); !put)
                    return put;
                if (auto put = edit.put(peg); !put)
                    return put;
            }
            return {};
        }));
        QVERIFY(worstMm(drawing, truth) <= 1.0);
    }

    void aSteppedSectionStandsInItsPiecesWhicheverWayItWasRecorded()
    {
        constexpr unsigned Seed = 625;
        qInfo("seed %u", Seed);
        std::mt19937 random(Seed);
        std::uniform_real_distribution<> share(0, 1);
        double worst = 0;
        for (int trial = 0; trial < 60; ++trial) {
            // A, M | N, B: a step of up to a metre to either side, as with a baulk half taken down.
            Truth truth = randomTruth(random, 2);
            const GroundM a = truth.line[0].position, m = truth.line[1].position;
            const double length = distance(a, m),
                         aside = (share(random) < 0.5 ? -1 : 1) * (0.3 + 0.7 * share(random));
            const double east = (m.east - a.east) / length, north = (m.north - a.north) / length;
            truth.line[2].position = {m.east - aside * north, m.north + aside * east};
            truth.line[2].afterStep = true;
            truth.line[3].position = {truth.line[2].position.east + 1.4 * east,
                                      truth.line[2].position.north + 1.4 * north};
            const bool reversed = trial % 2 == 1;
            const Drawing drawing = put(truth, {.storedLine = true, .lineReversed = reversed}, random);
            QVERIFY2(drawing.sectionLine.find(" | ") != std::string::npos, drawing.sectionLine.c_str());
            const Result<SectionReading> reading = readSection(*m_project, drawing);
            QVERIFY2(reading, reading ? "" : reading.error().message.c_str());
            QCOMPARE(!reading->remedies.empty(), reversed);
            if (reversed)
                QVERIFY(turnSection(*m_project, drawing, reading->remedies.front()));
            const double off = worstMm(*m_project->byId<Drawing>(drawing.id), truth);
            worst = std::max(worst, off);
            QVERIFY2(off <= 1.0, qPrintable(QString("trial %1: %2 mm").arg(trial).arg(off)));
        }
        qInfo("worst place %.3f mm on the film", worst);
    }

    void linesAreWrittenAsTheyAreRead()
    {
        const std::vector<LineStop> stops = {{"A"}, {"M 1"}, {"N", true}, {"B"}};
        QCOMPARE(sectionLineText(stops), std::string("A; M 1 | N; B"));
        QCOMPARE(sectionLineStops("A;M 1|N ; B"), stops);
        QCOMPARE(turnedLine(stops), (std::vector<LineStop>{{"B"}, {"N"}, {"M 1", true}, {"A"}}));
        QCOMPARE(turnedLine(turnedLine(stops)), stops);
        QVERIFY(sectionLineStops(" ").empty());
    }

    void whatCannotBeIsRefusedInWordsAndLeavesTheProjectAsItWas()
    {
        std::mt19937 random(624);
        const Truth truth = randomTruth(random, 2);
        const Drawing good = put(truth, {.storedLine = true}, random);
        const auto refused = [&](const Drawing& drawing, const char* words) {
            const Result<DrawingGround> ground = groundOfDrawing(*m_project, drawing);
            const bool said = !ground && ground.error().message.find(words) != std::string::npos &&
                              ground.error().message.find(drawing.number) != std::string::npos;
            if (!said)
                qInfo("%s", ground ? "fitted" : ground.error().message.c_str());
            return said;
        };
        QVERIFY(groundOfDrawing(*m_project, good));
        Drawing noDatum = good;
        noDatum.datumM.reset();
        QVERIFY(refused(noDatum, "no datum level"));
        Drawing inFeet = good;
        inFeet.datumM = Datum / 0.3048;
        QVERIFY(refused(inFeet, "in feet it would be 41.50 m"));

        const std::size_t acts = m_project->journal().size();
        const std::vector<LineStop> stops = sectionLineStops(good.sectionLine);
        Peg stray;
        stray.name = "stray";
        const GroundM a = truth.line[0].position, b = truth.line[1].position;
        stray.position = {(a.east + b.east) / 2 + (b.north - a.north),
                          (a.north + b.north) / 2 - (b.east - a.east)};
        Peg other = stray;
        other.name = "other";
        other.position = {(a.east + b.east) / 2 - (b.north - a.north),
                          (a.north + b.north) / 2 + (b.east - a.east)};
        QVERIFY(m_project->act("pegs", [&](Editor& edit) -> Result<void> {
            if (auto put = edit.put(stray); !put)
                return put;
            return edit.put(other);
        }));
        const auto line = setSectionLine(*m_project, good, {stops[0], stops[1], {"stray"}, {"other"}}, 1);
        QVERIFY(!line);
        QVERIFY2(line.error().message.find("crosses itself") != std::string::npos,
                 line.error().message.c_str());
        QVERIFY(!setSectionLine(*m_project, good, {stops[0], {"nowhere"}}, 1));
        QVERIFY(!setSectionLine(*m_project, good, stops, 0));
        QCOMPARE(m_project->journal().size(), acts + 1);
        QCOMPARE(*m_project->byId<Drawing>(good.id), good);

        QVERIFY(m_project->act("a nail loses its level", [&](Editor& edit) {
            Peg peg = *m_project->byKey<Peg>(stops[0].nail);
            peg.levelM.reset();
            return edit.put(peg);
        }));
        QVERIFY(refused(good, "has no level; give it in the peg register, or say that its mark lies on the "
                              "datum line"));
    }
};

QTEST_GUILESS_MAIN(SectionDrawingTest)
#include "SectionDrawingTest.moc"
