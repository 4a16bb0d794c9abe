// SPDX-License-Identifier: GPL-3.0-or-later
// Section traces on the ground: whichever way a line runs, its words stand clear of each other and of the
// pegs' names.
#include "app/board/TraceLayout.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <set>

#include <QFontMetricsF>
#include <QGuiApplication>
#include <QTest>

#include "app/board/BoardPainting.h"

using namespace inkpeg;

namespace {

const QSizeF Widget(900, 600);
constexpr GroundM Middle{553'000, 6'203'000};

GroundM onLine(double bearingRad, double alongM)
{
    return {Middle.east + alongM * std::sin(bearingRad), Middle.north + alongM * std::cos(bearingRad)};
}

/// A line of four metres through the middle with seven contexts in as many lanes, and pegs at its ends.
BoardScene sceneOf(double bearingRad, const std::string& pegAtA)
{
    BoardScene scene;
    scene.pegs = {{pegAtA, onLine(bearingRad, -2)}, {"106/204", onLine(bearingRad, 2)}};
    SectionTrace trace;
    trace.drawing = "S-01";
    trace.line = {onLine(bearingRad, -2), onLine(bearingRad, 2)};
    for (int i = 0; i < 7; ++i) {
        DrawnSpan span;
        span.context = std::to_string(1001 + i);
        span.fromM = 0.1 * i;
        span.toM = 4 - 0.3 * i;
        span.line = {onLine(bearingRad, span.fromM - 2), onLine(bearingRad, span.toM - 2)};
        span.lane = i;
        trace.spans.push_back(span);
    }
    scene.traces = {trace};
    return scene;
}

/// As the board would show it at so many pixels to a metre.
struct Shown {
    BoardScene scene;
    BoardFrame frame;
    ViewTransform view;
    BoardPicture picture;

    Shown(BoardScene given, double pxPerM)
        : scene(std::move(given)), frame(scene, BoardSide::Ground),
          picture{scene, frame, view, QRectF(QPointF(), Widget), inkpeg::palette(), QGuiApplication::font()}
    {
        view.setScaleAt({}, pxPerM);
        view.centreOn(frame.sceneOfGround(Middle), Widget);
    }
    std::vector<QRectF> pegNames() const
    {
        const QFontMetricsF metrics(picture.font);
        std::vector<QRectF> boxes;
        for (const NamedPlace& peg : scene.pegs)
            boxes.push_back(QRectF(
                picture.at(peg.at) + QPointF(10, -metrics.height() / 2),
                QSizeF(metrics.horizontalAdvance(QString::fromStdString(peg.name)), metrics.height())));
        return boxes;
    }
};

/// 1:20, upright, the lower left corner of the film a metre south-west of the middle.
DrawingGround oneToTwenty(const FilmFrame& film)
{
    std::vector<ControlPoint> pins;
    for (const FilmMm at : {FilmMm{10, 10}, FilmMm{170, 12}, FilmMm{168, 110}, FilmMm{12, 108}})
        pins.push_back({"p" + std::to_string(pins.size()),
                        at,
                        {Middle.east - 1 + 0.02 * at.x, Middle.north - 1 + 0.02 * at.y}});
    return {fitControl(pins, {.model = Model::Affine, .scaleDenominator = 20}).value(), film, {}};
}

} // namespace

class TraceLayoutTest final : public QObject {
    Q_OBJECT

private slots:
    void wordsStandClearOfEachOtherAndOfPegsWhicheverWayTheLineRuns()
    {
        for (int step = 0; step < 36; ++step) {
            const double bearing = step * std::numbers::pi / 18;
            const Shown shown(sceneOf(bearing, "100/200"), 110);
            const std::vector<TraceOnScreen> laid = layTraces(shown.picture);
            QCOMPARE(laid.size(), std::size_t(1));
            QCOMPARE(laid[0].bars.size(), std::size_t(7));
            std::vector<QRectF> boxes = shown.pegNames();
            std::set<QString> words;
            for (const TraceWord& word : laid[0].words) {
                for (const QRectF& box : boxes)
                    QVERIFY2(!box.intersects(word.box),
                             qPrintable(QString("%1 at %2").arg(word.text).arg(step)));
                boxes.push_back(word.box);
                words.insert(word.text);
            }
            QCOMPARE(words.size(), laid[0].words.size()); // each once
            for (int i = 0; i < 7; ++i)
                QVERIFY2(words.contains(QString::number(1001 + i)), qPrintable(QString::number(step)));
            QVERIFY(words.contains("S-01 A") && words.contains("S-01 B"));
            // Bars lie on the reader's side of the line, right of the way from A to B.
            const QPointF way = laid[0].line.last() - laid[0].line.first();
            for (const QPolygonF& bar : laid[0].bars) {
                const QPointF off = bar.first() - laid[0].line.first();
                QVERIFY(way.x() * off.y() - way.y() * off.x() > 0);
            }
        }
    }

    void anEndThatItsPegNamesIsNotNamedTwice()
    {
        const Shown shown(sceneOf(1.2, "S-01 A"), 110);
        const std::vector<TraceOnScreen> laid = layTraces(shown.picture);
        for (const TraceWord& word : laid[0].words)
            QVERIFY(word.text != "S-01 A");
    }

    void pegsInOneSpotAreNamedOnceTogether()
    {
        BoardScene scene;
        scene.pegs = {{"S-01 E", {Middle.east + 0.002, Middle.north}},
                      {"104/204", {Middle.east, Middle.north + 2}},
                      {"S-01 M", Middle}};
        const std::vector<NamedPlace> spots = pegSpots(scene);
        QCOMPARE(spots.size(), std::size_t(2));
        QVERIFY(std::ranges::any_of(spots, [](const auto& spot) { return spot.name == "S-01 M, S-01 E"; }));
        scene.drawing.emplace();
        scene.drawing->pins.emplace_back().peg = "S-01 M";
        QCOMPARE(pegSpots(scene).size(), spots.size()); // without a fit its pins have no place there
        scene.drawing->film = {3000, 2000, 400, 400, false};
        scene.drawing->ground = oneToTwenty(scene.drawing->film);
        const std::vector<NamedPlace> left = pegSpots(scene);
        QVERIFY(std::ranges::any_of(left, [](const auto& spot) { return spot.name == "S-01 E"; }));
    }

    void aPegBesideAPinIsNamedClearOfThePin()
    {
        BoardScene scene;
        scene.pegs = {{"S-01 C", Middle}, {"S-01 D", {Middle.east + 2, Middle.north}}};
        scene.drawing.emplace();
        scene.drawing->film = {3000, 2000, 400, 400, false};
        scene.drawing->ground = oneToTwenty(scene.drawing->film);
        Pin pin;
        pin.peg = "102/202";
        pin.mark = scene.drawing->ground->toScan({Middle.east + 0.2, Middle.north}).value();
        scene.drawing->pins = {pin};
        const Shown shown(std::move(scene), 110);
        const QPointF c = shown.picture.at(shown.scene.pegs[0].at),
                      d = shown.picture.at(shown.scene.pegs[1].at);
        QVERIFY(pegNameBox(shown.picture, shown.scene.pegs[0]).right() < c.x()); // else under the pin
        QVERIFY(pegNameBox(shown.picture, shown.scene.pegs[1]).left() > d.x());  // nothing is in its way
        for (const NamedPlace& peg : shown.scene.pegs)
            for (const QRectF& covered : roomOfPin(shown.picture, pin))
                QVERIFY(!covered.intersects(pegNameBox(shown.picture, peg)));
    }

    void aShortLineHasThinBarsAndAVeryShortOneNone()
    {
        const std::vector<TraceOnScreen> thin = layTraces(Shown(sceneOf(1.2, "1"), 30).picture);
        QCOMPARE(thin[0].bars.size(), std::size_t(7));
        for (const TraceWord& word : thin[0].words)
            QVERIFY(word.isName);
        QVERIFY(layTraces(Shown(sceneOf(1.2, "1"), 8).picture)[0].bars.empty());
    }

    void whatIsOutOfSightIsPassedOver()
    {
        Shown shown(sceneOf(1.2, "1"), 110);
        shown.view.centreOn(shown.frame.sceneOfGround({Middle.east + 100, Middle.north}), Widget);
        QVERIFY(layTraces(shown.picture).empty());
    }
};

QTEST_MAIN(TraceLayoutTest)
#include "TraceLayoutTest.moc"
