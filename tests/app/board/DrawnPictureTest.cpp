// SPDX-License-Identifier: GPL-3.0-or-later
// The kept picture of what is drawn: after moves of the view, acts and choices, mended at once or painted
// in another thread, it shows what painting all of it anew shows.
#include "app/board/DrawnPicture.h"

#include <array>
#include <cmath>
#include <random>

#include <QSignalSpy>
#include <QTest>

#include "app/board/DrawnPainting.h"

using namespace inkpeg;

namespace {

constexpr double widthPx = 3000, heightPx = 2000;
constexpr QSize screenSize(640, 480);

Outline outlineOf(std::int64_t id, ScanPx middle, double far)
{
    Ring ring;
    for (int k = 0; k < 12; ++k) {
        const double turn = 6.283185307179586 * k / 12;
        ring.vertices.push_back(
            onLattice({middle.column + far * std::cos(turn), middle.row + far * std::sin(turn)}));
        ring.kinds.push_back(static_cast<EdgeKind>(k / 3));
    }
    Outline outline;
    outline.id = id;
    outline.drawing = 1;
    outline.context = std::to_string(1000 + id);
    outline.parts = {{ring, {}}};
    return outline;
}

class Shown {
public:
    explicit Shown(int outlines) : m_random(17)
    {
        BoardDrawing drawing;
        drawing.record.id = 1;
        drawing.film = {widthPx, heightPx, 400, 400, false};
        std::vector<Outline> all;
        for (int i = 1; i <= outlines; ++i)
            all.push_back(outlineOf(i, somewhere(), 20 + static_cast<double>(m_random() % 90)));
        drawing.outlines = all;
        SpotLevel level;
        level.mark = {1500, 1000};
        level.levelM = 41.25;
        drawing.levels = {level};
        scene.drawing = std::move(drawing);
        reindex();
        frame = BoardFrame(scene, BoardSide::Film);
        view.setLimits(0.01, 1000);
        view.setScaleAt({320, 240}, 10);
        view.centreOn(frame.sceneOfScan({1500, 1000}), screenSize);
    }
    ScanPx somewhere()
    {
        return {static_cast<double>(m_random() % 3000), static_cast<double>(m_random() % 2000)};
    }
    void reindex()
    {
        auto index = std::make_shared<OutlineIndex>();
        for (const Outline& outline : scene.drawing->outlines)
            index->put(outline.id, outline.parts);
        scene.drawing->index = std::move(index);
    }
    void change(std::int64_t id)
    {
        const BoardScene before = scene;
        scene.drawing->outlines.put(outlineOf(id, somewhere(), 60));
        reindex();
        picture.setScene(before, scene);
    }
    template<typename Edit>
    void edit(std::int64_t id, Edit edit)
    {
        const BoardScene before = scene;
        Outline outline = *scene.drawing->outlines.byId(id);
        edit(outline);
        scene.drawing->outlines.put(std::move(outline));
        reindex();
        picture.setScene(before, scene);
    }
    BoardPicture painting() const { return painting(view); }
    BoardPicture painting(const ViewTransform& at) const
    {
        return {scene, frame, at, QRectF(QPointF(0, 0), screenSize), paletteOf(Theme::Light), QFont()};
    }
    QImage kept()
    {
        QImage image = screen(QImage::Format_RGB32, Qt::white);
        QPainter painter(&image);
        painter.setRenderHint(QPainter::Antialiasing);
        picture.paint(painter, painting(), ratio, look);
        return image;
    }
    QImage anew() const { return anew(view); }
    QImage anew(const ViewTransform& at) const
    {
        QImage layer = screen(QImage::Format_ARGB32_Premultiplied, Qt::transparent);
        QPainter painter(&layer);
        painter.setRenderHint(QPainter::Antialiasing);
        paintDrawn(painter, painting(at), look);
        painter.end();
        QImage image = screen(QImage::Format_RGB32, Qt::white);
        QPainter over(&image);
        over.drawImage(0, 0, layer);
        over.setRenderHint(QPainter::Antialiasing);
        paintVertices(over, painting(at), look);
        paintSelected(over, painting(at), look);
        return image;
    }
    /// Waits for pictures that are painted elsewhere.
    QImage settled()
    {
        QImage image = kept();
        while (picture.busy()) {
            QSignalSpy updated(&picture, &DrawnPicture::updated);
            if (!updated.wait(30000))
                return {};
            image = kept();
        }
        return image;
    }

    BoardScene scene;
    BoardFrame frame;
    ViewTransform view;
    DrawnLook look;
    DrawnPicture picture;
    double ratio = 1; ///< of the screen's pixels to those of the window

private:
    QImage screen(QImage::Format format, Qt::GlobalColor colour) const
    {
        QImage image((QSizeF(screenSize) * ratio).toSize(), format);
        image.setDevicePixelRatio(ratio);
        image.fill(colour);
        return image;
    }

    std::mt19937 m_random;
};

/// How many pixels differ by more than rounding in a blend does.
int pixelsApart(const QImage& a, const QImage& b)
{
    int apart = 0;
    for (int y = 0; y < a.height(); ++y)
        for (int x = 0; x < a.width(); ++x) {
            const QRgb p = a.pixel(x, y), q = b.pixel(x, y);
            apart += std::abs(qRed(p) - qRed(q)) > 8 || std::abs(qGreen(p) - qGreen(q)) > 8 ||
                     std::abs(qBlue(p) - qBlue(q)) > 8;
        }
    return apart;
}

} // namespace

class DrawnPictureTest final : public QObject {
    Q_OBJECT

    static void mustShowWhatIsThere(Shown& shown) { mustShowWhatIsThere(shown, shown.view); }
    static void mustShowWhatIsThere(Shown& shown, const ViewTransform& at)
    {
        const QImage settled = shown.settled();
        QVERIFY(!settled.isNull());
        // A few pixels: where pieces meet, the rim of a stroke is cut by the clip.
        const int apart = pixelsApart(settled, shown.anew(at));
        QVERIFY2(apart <= 12, qPrintable(QString("%1 pixels differ").arg(apart)));
    }

private slots:
    // Sheets of twelve metres by eight side by side, a few of them empty, each with outlines over it.
    void onTheGroundAMovedViewShowsWhatPaintingAllGives()
    {
        Shown shown(0);
        const BoardScene before = shown.scene;
        shown.scene.drawing.reset();
        for (int i = 0; i < 12; ++i) {
            Neighbour neighbour;
            neighbour.drawing = i + 1;
            const GroundM corner{(i % 4) * 12.0, (i / 4) * 8.0};
            const auto place = [&](ScanPx at) {
                return GroundM{corner.east + at.column * 12 / widthPx,
                               corner.north + at.row * 8 / heightPx};
            };
            if (i % 5 != 4) {
                neighbour.sheet.name = "P-" + std::to_string(i + 1);
                for (const ScanPx& at :
                     {ScanPx{0, 0}, ScanPx{widthPx, 0}, ScanPx{widthPx, heightPx}, ScanPx{0, heightPx}})
                    neighbour.sheet.ring.push_back(place(at));
            }
            for (int n = 0; n < 8; ++n) {
                NamedRing ring{std::to_string(n), {}};
                const Outline outline = outlineOf(n, shown.somewhere(), 150);
                for (const ScanPx& at : outline.parts.front().outer.vertices)
                    ring.ring.push_back(place(at));
                neighbour.addOutline(std::move(ring));
            }
            shown.scene.neighbours.push_back(std::move(neighbour));
        }
        shown.picture.setScene(before, shown.scene);
        shown.frame = BoardFrame(shown.scene, BoardSide::Ground);
        shown.view.setScaleAt({320, 240}, 25);
        shown.view.centreOn(shown.frame.sceneOfGround({24, 12}), screenSize);
        mustShowWhatIsThere(shown);
        QImage paper(screenSize, QImage::Format_RGB32);
        paper.fill(Qt::white);
        QVERIFY(pixelsApart(shown.kept(), paper) > 300);
        for (const QPointF by : {QPointF(3, 0), QPointF(-7, 5), QPointF(0, -80), QPointF(250, 160)}) {
            shown.view.panBy(by);
            mustShowWhatIsThere(shown);
        }
    }
    void whateverHappensThePictureIsWhatPaintingAllGives_data()
    {
        QTest::addColumn<int>("outlines");
        QTest::newRow("few, painted at once") << 12;
        QTest::newRow("many, painted in another thread") << 900;
    }
    void whateverHappensThePictureIsWhatPaintingAllGives()
    {
        QFETCH(int, outlines);
        Shown shown(outlines);
        mustShowWhatIsThere(shown);
        QImage paper(screenSize, QImage::Format_RGB32);
        paper.fill(Qt::white);
        QVERIFY(pixelsApart(shown.kept(), paper) > 300);
        for (const QPointF by : {QPointF(3, 0), QPointF(-7, 5), QPointF(0, -80), QPointF(400, 300)}) {
            shown.view.panBy(by);
            mustShowWhatIsThere(shown);
        }
        for (std::int64_t id = 1; id <= 5; ++id) {
            shown.change(id);
            mustShowWhatIsThere(shown);
        }
        shown.look.selected = 3;
        mustShowWhatIsThere(shown);
        shown.look.leftOut = {2, 4};
        mustShowWhatIsThere(shown);
        shown.look = {};
        shown.view.zoomAt({100, 100}, 1.25);
        mustShowWhatIsThere(shown);
        shown.view.zoomAt({100, 100}, 1 / 1.25);
        shown.look.withVertices = true;
        mustShowWhatIsThere(shown);
        const BoardScene before = shown.scene;
        shown.scene.drawing->levels.clear();
        shown.picture.setScene(before, shown.scene);
        mustShowWhatIsThere(shown);
    }
    void aViewMovedByPartsOfAPixelShowsAllOnThePixelNextToIt_data()
    {
        QTest::addColumn<int>("outlines");
        QTest::addColumn<double>("ratio");
        for (const double ratio : {1.0, 1.5, 2.0}) {
            QTest::addRow("few, %g pixels to one", ratio) << 12 << ratio;
            QTest::addRow("many, %g pixels to one", ratio) << 900 << ratio;
        }
    }
    void aViewMovedByPartsOfAPixelShowsAllOnThePixelNextToIt()
    {
        QFETCH(int, outlines);
        QFETCH(double, ratio);
        Shown shown(outlines);
        shown.ratio = ratio;
        // Off the grid of whole positions: numbers would lie half way between two pixels, to go either way.
        shown.view.panBy({0.1371, 0.2913});
        mustShowWhatIsThere(shown);
        ViewTransform painted = shown.view;
        const auto nextTo = [&] {
            shown.kept();
            if (shown.picture.busy())
                painted = shown.view; // painted anew, just there
            const QPointF moved = shown.view.toWidget({0, 0}) - painted.toWidget({0, 0});
            ViewTransform view = painted;
            view.panBy(QPointF((moved * ratio).toPoint()) / ratio);
            return view;
        };
        std::int64_t id = 0;
        for (const QPointF by : {QPointF(0.3, 0), QPointF(0.3, 0), QPointF(0, 0.3), QPointF(-80.3, 41.3),
                                 QPointF(0.3, -0.3), QPointF(0.3, 0)}) {
            shown.view.panBy(by);
            mustShowWhatIsThere(shown, nextTo());
            shown.edit(++id, [&](Outline& outline) {
                outline.parts = outlineOf(id, {1480, 990}, 50).parts;
                outline.parts.push_back(outlineOf(id, {1640, 1040}, 40).parts.front());
            });
            mustShowWhatIsThere(shown, nextTo());
        }
    }
    // Vertices moved, put in and taken out, kinds, holes and numbers changed: what is not painted anew must be
    // as it was.
    void anEditedOutlineIsPaintedAnewWhereItChanged()
    {
        Shown shown(8);
        shown.view.setScaleAt({320, 240}, 40);
        std::mt19937 random(5);
        for (std::int64_t id = 1; id <= 4; ++id)
            shown.edit(id, [&](Outline& outline) {
                Outline large = outlineOf(id, {1500, 1000}, 60.0 * static_cast<double>(id));
                outline.parts = large.parts;
                if (id == 2)
                    outline.parts.push_back(outlineOf(id, {1700, 1100}, 70).parts.front());
                if (id > 1) // one of mixed kinds, then one of each of three kinds
                    std::ranges::fill(
                        outline.parts.front().outer.kinds,
                        std::array{EdgeKind::Certain, EdgeKind::Truncated,
                                   EdgeKind::LimitOfExcavation}[static_cast<std::size_t>(id - 2)]);
            });
        shown.view.centreOn(shown.frame.sceneOfScan({1500, 1000}), screenSize);
        mustShowWhatIsThere(shown);
        for (int step = 0; step < 80; ++step) {
            shown.edit(1 + step % 4, [&](Outline& outline) {
                Ring& ring = outline.parts[random() % outline.parts.size()].outer;
                const std::size_t at = random() % ring.vertices.size();
                const auto offset = static_cast<std::ptrdiff_t>(at);
                const auto by = [&] { return static_cast<double>(random() % 41) - 20; };
                switch (random() % 7) {
                case 0:
                case 1:
                    ring.vertices[at] = {ring.vertices[at].column + by(), ring.vertices[at].row + by()};
                    break;
                case 2:
                    ring.vertices.insert(ring.vertices.begin() + offset,
                                         {ring.vertices[at].column + by(), ring.vertices[at].row + by()});
                    ring.kinds.insert(ring.kinds.begin() + offset, ring.kinds[at]);
                    break;
                case 3:
                    if (ring.vertices.size() > 8) {
                        ring.vertices.erase(ring.vertices.begin() + offset);
                        ring.kinds.erase(ring.kinds.begin() + offset);
                    }
                    break;
                case 4:
                    ring.kinds[at] = static_cast<EdgeKind>(random() % 5);
                    break;
                case 5:
                    if (outline.parts.size() == 1)
                        outline.parts.push_back(outlineOf(1, {1400, 900}, 60).parts.front());
                    else
                        outline.parts.pop_back();
                    break;
                default:
                    outline.context += "a";
                    if (outline.parts.front().holes.empty())
                        outline.parts.front().holes = {outlineOf(1, {1500, 1000}, 22).parts.front().outer};
                    else
                        outline.parts.front().holes.clear();
                }
            });
            mustShowWhatIsThere(shown);
        }
    }
    void whatIsPaintedAnewIsNoMoreThanWhatChanged()
    {
        Shown shown(1);
        shown.view.setScaleAt({320, 240}, 40);
        const Outline was = outlineOf(1, {1500, 1000}, 150);
        Outline is = was;
        is.parts.front().outer.vertices.front().column += 6;
        QRectF changed;
        for (const QRectF& place : placesOfChange(shown.painting(), was, is))
            changed |= place;
        const QRectF all = placeOf(shown.painting(), was);
        QVERIFY(changed.contains(shown.painting().at(is.parts.front().outer.vertices.front())));
        QVERIFY2(changed.left() > all.left() + all.width() / 3,
                 qPrintable(QString("%1 of %2").arg(changed.left() - all.left()).arg(all.width())));
        QVERIFY(placesOfChange(shown.painting(), was, was).empty());
    }
    void aCrowdedDrawingIsPaintedElsewhereAndMovesWithTheViewMeanwhile()
    {
        Shown shown(900);
        shown.kept();
        QVERIFY(shown.picture.busy());
        shown.settled();
        shown.view.zoomAt({320, 240}, 1.25);
        const QImage meanwhile = shown.kept();
        QVERIFY(shown.picture.busy());
        QImage paper(screenSize, QImage::Format_RGB32);
        paper.fill(Qt::white);
        QVERIFY(pixelsApart(meanwhile, paper) > 1000); // the picture that was there, grown
        mustShowWhatIsThere(shown);
    }
    void aDragInACrowdedDrawingChangesNoMoreThanWhatIsDragged()
    {
        Shown shown(900);
        shown.settled();
        shown.look.withVertices = true;
        shown.look.leftOut = {3};
        shown.edit(3, [](Outline& outline) { outline.parts = outlineOf(3, {1500, 1000}, 12).parts; });
        mustShowWhatIsThere(shown);
        const auto verticesSeen = [&] { // by their white middles
            int seen = 0;
            const QImage image = shown.kept();
            for (const Outline& outline : shown.scene.drawing->outlines)
                if (const QPoint at = shown.painting().at(outline.parts[0].outer.vertices[0]).toPoint();
                    image.rect().contains(at))
                    seen += image.pixelColor(at) == paletteOf(Theme::Light).halo;
            return seen;
        };
        QVERIFY2(verticesSeen() > 20, qPrintable(QString::number(verticesSeen())));
        shown.look = {};
        QVERIFY(verticesSeen() < 5);
        QVERIFY(!shown.picture.busy());
        mustShowWhatIsThere(shown);
    }
    // Too much to paint at once: until the picture comes, what was dragged is not gone.
    void whatIsLetGoIsThereBeforeThePictureIs()
    {
        Shown shown(900);
        shown.view.setScaleAt({320, 240}, 4);
        shown.scene.drawing->levels.clear(); // would lie over it
        const auto drag = [&](double far) {
            shown.edit(900, [&](Outline& outline) {
                outline.parts = outlineOf(1, {1500, 1000}, far).parts;
            });
        };
        drag(500);
        shown.look.leftOut = {900};
        const QImage without = shown.settled();
        shown.look = {};
        drag(560);
        const QImage meanwhile = shown.kept();
        QVERIFY(shown.picture.busy());
        const QImage with = shown.settled();
        QVERIFY(pixelsApart(without, with) > 1000);
        const int apart = pixelsApart(meanwhile, with); // by its id it lies over all
        QVERIFY2(apart <= 12, qPrintable(QString("%1 pixels differ").arg(apart)));
    }
    void outlinesReadAnewAreComparedOnceAndNoneIsPainted()
    {
        Shown shown(900);
        shown.view.setScaleAt({320, 240}, 2.5); // many too small for a number
        shown.settled();
        const BoardScene before = shown.scene;
        shown.scene.drawing->outlines =
            std::vector<Outline>(before.drawing->outlines.begin(), before.drawing->outlines.end());
        QVERIFY(!shown.scene.drawing->outlines.sameAs(before.drawing->outlines));
        shown.picture.setScene(before, shown.scene);
        shown.kept();
        QVERIFY(!shown.picture.busy());
        QVERIFY(shown.picture.outlinesShown().sameAs(shown.scene.drawing->outlines));
    }
    void aFewChangesInACrowdedDrawingAreMendedAtOnce()
    {
        Shown shown(450);
        shown.settled();
        shown.change(7);
        shown.view.panBy({2, -1});
        shown.kept();
        QVERIFY(!shown.picture.busy());
        mustShowWhatIsThere(shown);
    }
};

QTEST_MAIN(DrawnPictureTest)
#include "DrawnPictureTest.moc"
