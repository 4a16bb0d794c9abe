// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/section/SectionFit.h"

#include <cmath>
#include <complex>
#include <numbers>
#include <random>

#include <QTest>

using namespace inkpeg;

namespace {

/// A random section as it might be drawn: line, nails, and how its film lies.
struct Drawn {
    SectionFrame frame;
    std::vector<SectionPin> pins;
    double scale, turnRad;
    bool reversed;
    double exaggeration;

    FilmMm filmOf(SectionPoint p) const
    {
        const double along = reversed ? frame.lengthM() - p.alongM : p.alongM;
        const std::complex<double> drawn(along * 1000 / scale,
                                         (p.levelM - frame.datumM()) * exaggeration * 1000 / scale);
        const auto turned = drawn * std::polar(1.0, turnRad) + std::complex<double>(150, 120);
        return {turned.real(), turned.imag()};
    }
};

Drawn drawSection(std::mt19937& random, bool reversed, bool nailsOnDatum, double exaggeration = 1)
{
    std::uniform_real_distribution<> coordinate(-2, 2), length(1.5, 4), drop(0.3, 1.6);
    std::uniform_real_distribution<> anyTurn(-3.1, 3.1), uprightTurn(-1.2, 1.2);
    std::normal_distribution<> pointing(0, 0.15);
    std::vector<SectionNail> nails;
    double heading = anyTurn(random), east = 553'100, north = 6'204'200;
    const int bends = static_cast<int>(random() % 3);
    for (int i = 0; i < 2 + bends; ++i) {
        nails.push_back(
            {.name = "nail " + std::to_string(i + 1), .position = {east, north}, .levelM = 41.5});
        const double leg = length(random);
        heading += 0.3 * coordinate(random);
        east += leg * std::sin(heading);
        north += leg * std::cos(heading);
    }
    const double scales[] = {10, 20};
    Drawn drawn{SectionFrame::through("S-01", nails, 41.5).value(),   {},       scales[random() % 2],
                nailsOnDatum ? uprightTurn(random) : anyTurn(random), reversed, exaggeration};
    const auto pin = [&](const SectionNail& marked, double along) {
        FilmMm film = drawn.filmOf({along, *marked.levelM});
        film.x += pointing(random);
        film.y += pointing(random);
        drawn.pins.push_back({.nail = marked, .film = film});
    };
    for (std::size_t i = 0; i < nails.size(); ++i)
        pin(nails[i], drawn.frame.alongOfNailM(i));
    if (!nailsOnDatum)
        for (const double share : {0.2, 0.8}) {
            const double along = share * drawn.frame.lengthM();
            const SpacePoint place = drawn.frame.toSpace(SectionPoint{along, 41.5 - drop(random)});
            pin({.name = "low", .position = {place.eastM, place.northM}, .levelM = place.levelM}, along);
        }
    return drawn;
}

} // namespace

class SectionFitTest final : public QObject {
    Q_OBJECT

private slots:
    void reversedSectionsAreAlwaysFound()
    {
        constexpr unsigned Seed = 611;
        qInfo("seed %u", Seed);
        std::mt19937 random(Seed);
        for (int trial = 0; trial < 500; ++trial) {
            const bool reversed = random() % 2 == 0, onDatum = random() % 2 == 0;
            const Drawn drawn = drawSection(random, reversed, onDatum);
            const SectionFitSettings settings{
                .fit = {.model = Model::Similarity, .scaleDenominator = drawn.scale}};
            const auto hand = checkHand(drawn.frame, drawn.pins, settings);
            QVERIFY(hand);
            QCOMPARE(hand->hand == SectionHand::Reversed, reversed);
            QCOMPARE(hand->fromLevels, !onDatum);
            const auto fit = fitSection(drawn.frame, drawn.pins, settings);
            QCOMPARE(bool(fit), !reversed);
            if (reversed) {
                QCOMPARE(fit.error().code, ErrorCode::Conflict);
                QVERIFY(fit.error().message.find("Turn the line to run from") != std::string::npos);
                // The turn that is offered makes it fit.
                const auto turned = fitSection(drawn.frame.turned(), drawn.pins, settings);
                QVERIFY2(turned, turned ? "" : turned.error().message.c_str());
                QVERIFY(turned->fit.rmseMm < 1.0);
            }
        }
    }

    void placesInSpaceAreWithinAMillimetreOnTheFilm()
    {
        std::mt19937 random(612);
        for (int trial = 0; trial < 100; ++trial) {
            const Drawn drawn = drawSection(random, false, false);
            const auto fit =
                fitSection(drawn.frame, drawn.pins,
                           {.fit = {.model = Model::Similarity, .scaleDenominator = drawn.scale}});
            QVERIFY(fit);
            for (double along = 0; along <= drawn.frame.lengthM(); along += 0.37)
                for (const double level : {41.6, 40.9, 40.2}) {
                    const SpacePoint truth = drawn.frame.toSpace(SectionPoint{along, level});
                    const SpacePoint found =
                        drawn.frame.toSpace(fit->toSection(drawn.filmOf({along, level})));
                    const double off =
                        std::hypot(std::hypot(found.eastM - truth.eastM, found.northM - truth.northM),
                                   found.levelM - truth.levelM);
                    QVERIFY(filmMmFromGroundM(off, drawn.scale) <= 1.0);
                    const auto back = fit->toFilm(fit->toSection(drawn.filmOf({along, level})));
                    QVERIFY(back && distance(*back, drawn.filmOf({along, level})) < 1e-6);
                }
        }
    }

    void exaggeratedSectionsGiveTrueLevels()
    {
        std::mt19937 random(613);
        const Drawn drawn = drawSection(random, false, false, 2);
        const FitSettings settings{.model = Model::Similarity, .scaleDenominator = drawn.scale};
        const auto fit = fitSection(drawn.frame, drawn.pins, {.fit = settings, .verticalExaggeration = 2});
        QVERIFY(fit);
        const SectionPoint found = fit->toSection(drawn.filmOf({1.0, 40.7}));
        QVERIFY(std::abs(found.alongM - 1.0) < 0.01 && std::abs(found.levelM - 40.7) < 0.01);
        QVERIFY(std::abs(fit->measuredExaggeration - 2) < 1e-9); // stated, the similarity keeps it
        const GroundCovariance covariance = fit->covarianceAt(drawn.pins[0].film);
        QVERIFY(covariance.northNorth < covariance.eastEast); // levels are drawn twice as large
    }

    void piecesWithOtherDatumsAndMarksOnTheDatumLine()
    {
        const auto frame = SectionFrame::through("S-02",
                                                 {{.name = "A", .position = {0, 0}, .levelM = 41.5},
                                                  {.name = "B", .position = {4, 0}, .levelM = 41.5}},
                                                 41.5);
        // The lower piece: its datum line is 1 m further down.
        const std::vector<SectionPin> pins = {{.nail = {.name = "A", .position = {0, 0}},
                                               .film = {20, 50},
                                               .onDatumLine = true,
                                               .datumM = 40.5},
                                              {.nail = {.name = "B", .position = {4, 0}},
                                               .film = {220, 50},
                                               .onDatumLine = true,
                                               .datumM = 40.5}};
        const auto fit =
            fitSection(*frame, pins, {.fit = {.model = Model::Similarity, .scaleDenominator = 20}});
        QVERIFY2(fit, fit ? "" : fit.error().message.c_str());
        const SectionPoint place = fit->toSection({120, 60});
        QVERIFY(std::abs(place.alongM - 2) < 1e-9 && std::abs(place.levelM - 40.7) < 1e-9);
    }

    void nailsThatCannotServeAreNamed()
    {
        const auto frame = SectionFrame::through(
            "S-03", {{.name = "A", .position = {0, 0}, .levelM = 41.5}, {.name = "B", .position = {4, 0}}},
            41.5);
        QVERIFY(frame);
        const SectionFitSettings settings{.fit = {.model = Model::Similarity}};
        std::vector<SectionPin> pins = {{.nail = frame->nails()[0], .film = {20, 50}},
                                        {.nail = frame->nails()[1], .film = {220, 50}}};
        const auto noLevel = fitSection(*frame, pins, settings);
        QVERIFY(!noLevel);
        QVERIFY(noLevel.error().message.find("section S-03: nail B has no level") != std::string::npos);
        pins[1].nail.levelM = 41.5;
        pins[1].nail.position = {4, 0.6};
        const auto far = fitSection(*frame, pins, settings);
        QVERIFY(!far);
        QVERIFY(far.error().message.find("nail B lies 0.60 m off the section line") != std::string::npos);
        pins.pop_back();
        QCOMPARE(fitSection(*frame, pins, settings).error().code, ErrorCode::Unsolvable);
    }
};

QTEST_GUILESS_MAIN(SectionFitTest)
#include "SectionFitTest.moc"
