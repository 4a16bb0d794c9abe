// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/FilmPicture.h"

#include <cmath>

#include "app/board/Palette.h"

namespace inkpeg {
namespace {

constexpr int marginPx = 160;       // two steps of an arrow key
constexpr int tilesTogetherMs = 40; // tiles that come close together share a picture
constexpr double neighbourOpacity = 0.4, fadedOpacity = 0.45;
constexpr double leastNeighbourPx = 12; // smaller on the screen, a neighbour is its edge alone

std::tuple<const TilePyramid*, int, int, int> keyOf(const WantedTile& tile)
{
    return {tile.pyramid.get(), tile.place.level, tile.place.column, tile.place.row};
}

std::uint32_t asPixel(const QColor& colour)
{
    return colour.rgb();
}

std::filesystem::path scanOf(const BoardScene& scene)
{
    return scene.drawing && scene.drawing->widthPx > 0 ? scene.drawing->scanFile : std::filesystem::path();
}

} // namespace

/// All that a picture depends on besides the tiles.
struct FilmPicture::Asked {
    BoardFrame frame;
    ViewTransform view;
    QSize widget;
    double ratio = 1;
    QRgb desk = 0;
    bool faded = false;
    FilmTone tone;
    std::filesystem::path scan;
    bool operator==(const Asked&) const = default;
};

FilmPicture::FilmPicture(QObject* parent) : QObject(parent), m_tiles(std::make_shared<ShownTiles>())
{
    m_composer.setMaxThreadCount(1);
    m_loaders.setMaxThreadCount(2);
    m_soon.setSingleShot(true);
    m_soon.setInterval(tilesTogetherMs);
    connect(&m_soon, &QTimer::timeout, this, &FilmPicture::updated);
    connect(&m_shelf, &ScanShelf::changed, this, &FilmPicture::shelfChanged);
}

FilmPicture::~FilmPicture()
{
    m_wanted.clear();
    m_loaders.clear();
    m_loaders.waitForDone();
    m_composer.waitForDone();
}

void FilmPicture::shelfChanged()
{
    m_unavailable.clear(); // a pyramid that has been built can make what it could not before
    m_stale = true;
    emit updated();
}

void FilmPicture::setScene(const BoardScene& scene)
{
    m_shelf.setCacheFolder(scene.cacheFolder);
    std::set<std::filesystem::path> files;
    m_scanAtHand = scanOf(scene);
    if (!m_scanAtHand.empty())
        files.insert(m_scanAtHand);
    for (const Neighbour& neighbour : scene.neighbours)
        files.insert(neighbour.scanFile);
    m_shelf.keepOnly(files);
    m_atHand = m_scanAtHand.empty() ? nullptr : m_shelf.scan(m_scanAtHand, scene.drawing->scanSha256, true);
    m_stale = true;
}

bool FilmPicture::busy(bool onScreen) const
{
    if (!onScreen)
        return false;
    if (m_composing || m_next || m_stale || m_shelf.opening() || !m_wanted.empty() || !m_loading.empty())
        return true;
    return !m_sharp && m_shelf.building();
}

FilmLayer FilmPicture::layerOf(const ShelvedScan& scan, const FilmView& view) const
{
    FilmLayer layer;
    layer.pyramid = scan.pyramid;
    layer.look = scan.look;
    layer.bareFilm = scan.bareFilm;
    layer.frame = view.frame;
    layer.levelsToCome = m_shelf.buildingWanted() && !scan.levelsRefused && !view.scene.cacheFolder.empty();
    return layer;
}

void FilmPicture::addNeighbours(const FilmView& view, std::vector<FilmLayer>& layers)
{
    const QRectF screen(QPointF(0, 0), QSizeF(view.widget));
    for (const Neighbour& neighbour : view.scene.neighbours) {
        if (neighbour.scanFile.empty() || !neighbour.ground)
            continue;
        QPolygonF edge;
        for (const GroundM& corner : neighbour.sheet.ring)
            edge << view.view.toWidget(view.frame.sceneOfGround(corner));
        const QRectF bounds = edge.boundingRect();
        if (!bounds.intersects(screen) || std::max(bounds.width(), bounds.height()) < leastNeighbourPx)
            continue;
        const auto scan = m_shelf.scan(neighbour.scanFile, neighbour.scanSha256, false);
        if (!scan->pyramid)
            continue;
        FilmLayer layer = layerOf(*scan, view);
        layer.frame = view.frame.forNeighbour(*neighbour.ground);
        layer.ink.opacity = neighbourOpacity;
        layer.ink.frame = neighbour.frame;
        layers.push_back(std::move(layer));
    }
}

FilmOrder FilmPicture::orderFor(const FilmView& view)
{
    FilmOrder order;
    order.view = view.view;
    order.widget = view.widget;
    order.ratio = view.ratio;
    order.marginPx = marginPx;
    order.desk = view.colours.desk;
    const bool ground = view.frame.side() == BoardSide::Ground;
    if (ground)
        addNeighbours(view, order.layers);
    const bool placed = view.scene.drawing && (!ground || view.scene.drawing->ground);
    if (placed && m_atHand && m_atHand->pyramid) {
        const FilmTone& tone = view.scene.drawing->view.tone;
        FilmLayer layer = layerOf(*m_atHand, view);
        layer.ink.table = toneTable(tone);
        layer.ink.opacity = view.faded ? fadedOpacity : 1;
        layer.ink.under = asPixel(view.colours.halo);
        layer.inkStrength = tone.inkStrength;
        order.layers.push_back(std::move(layer));
    }
    return order;
}

void FilmPicture::paint(QPainter& painter, const FilmView& view)
{
    if (const auto place = moved(view)) {
        painter.save();
        const double ratio = m_shown.ratio;
        const QTransform whole = QTransform::fromTranslate(-m_shown.marginPx, -m_shown.marginPx) *
                                 QTransform::fromScale(1 / ratio, 1 / ratio) * *place;
        if (place->type() <= QTransform::TxTranslate && ratio == view.ratio) {
            // On whole device pixels: a plain copy, and nothing is blurred.
            const auto aligned = [ratio](double at) { return std::round(at * ratio) / ratio; };
            painter.translate(aligned(whole.dx()), aligned(whole.dy()));
            painter.scale(1 / ratio, 1 / ratio);
        } else {
            painter.setTransform(whole, true);
        }
        painter.drawImage(QPointF(0, 0), m_shown.image);
        painter.restore();
    }
    Asked asked{view.frame,
                view.view,
                view.widget,
                view.ratio,
                view.colours.desk.rgb(),
                view.faded,
                view.scene.drawing ? view.scene.drawing->view.tone : FilmTone(),
                m_scanAtHand};
    if (!m_stale && m_asked && *m_asked == asked)
        return;
    m_asked = std::make_unique<Asked>(std::move(asked));
    m_stale = false;
    m_next = orderFor(view);
    m_nextPlaced = {{}, view.frame, view.view, m_scanAtHand, marginPx, view.ratio};
    composeNow();
}

/// Where the picture that is there belongs now: through three of its places, which on film and from ground
/// to ground is exact. Nothing when it shows another drawing.
std::optional<QTransform> FilmPicture::moved(const FilmView& view) const
{
    if (m_shown.image.isNull())
        return std::nullopt;
    const bool ground = m_shown.frame.side() == BoardSide::Ground && view.frame.side() == BoardSide::Ground;
    if (!ground && (m_shown.scan.empty() || m_shown.scan != m_scanAtHand))
        return std::nullopt;
    const auto now = [&](QPointF was) -> std::optional<QPointF> {
        const QPointF scene = m_shown.view.toScene(was);
        if (ground)
            return view.view.toWidget(view.frame.sceneOfGround(m_shown.frame.groundOfScene(scene)));
        const auto scan = m_shown.frame.scanOfScene(scene);
        return scan ? std::optional(view.view.toWidget(view.frame.sceneOfScan(*scan))) : std::nullopt;
    };
    constexpr double arm = 256;
    const QPointF middle(view.widget.width() / 2.0, view.widget.height() / 2.0);
    const auto at = now(middle), right = now(middle + QPointF(arm, 0)),
               down = now(middle + QPointF(0, arm));
    if (!at || !right || !down)
        return std::nullopt;
    const QPointF across = (*right - *at) / arm, along = (*down - *at) / arm;
    const auto close = [](QPointF a, QPointF b) { return std::hypot(a.x() - b.x(), a.y() - b.y()) < 1e-6; };
    if (close(across, {1, 0}) && close(along, {0, 1}))
        return QTransform::fromTranslate(at->x() - middle.x(), at->y() - middle.y());
    return QTransform(across.x(), across.y(), along.x(), along.y(),
                      at->x() - across.x() * middle.x() - along.x() * middle.y(),
                      at->y() - across.y() * middle.x() - along.y() * middle.y());
}

void FilmPicture::composeNow()
{
    if (m_composing || !m_next)
        return;
    m_composing = true;
    m_composer.start([this, order = std::move(*m_next), placed = std::move(m_nextPlaced),
                      tiles = m_tiles]() mutable {
        ComposedFilm film = compose(order, *tiles);
        order.layers.clear(); // the last holder of a pyramid waits for its builder: here, not at the window
        QMetaObject::invokeMethod(
            this,
            [this, film = std::move(film), placed = std::move(placed)]() mutable {
                composed(std::move(film), std::move(placed));
            },
            Qt::QueuedConnection);
    });
    m_next.reset();
}

void FilmPicture::composed(ComposedFilm film, Placed placed)
{
    m_composing = false;
    m_sharp = film.sharp;
    m_anything = film.anything;
    placed.image = std::move(film.image);
    m_shown = std::move(placed);
    m_wanted.assign(std::make_move_iterator(film.wanted.begin()),
                    std::make_move_iterator(film.wanted.end()));
    std::erase_if(m_wanted, [this](const WantedTile& tile) {
        return m_unavailable.contains(keyOf(tile)) || m_loading.contains(keyOf(tile));
    });
    loadNext();
    composeNow();
    emit updated();
}

void FilmPicture::loadNext()
{
    while (static_cast<int>(m_loading.size()) < m_loaders.maxThreadCount() && !m_wanted.empty()) {
        WantedTile tile = std::move(m_wanted.front());
        m_wanted.pop_front();
        m_loading.insert(keyOf(tile));
        m_loaders.start([this, tile = std::move(tile)]() mutable {
            const bool there = tile.pyramid->tile(tile.place) != nullptr;
            QMetaObject::invokeMethod(
                this, [this, tile = std::move(tile), there] { tileArrived(tile, there); },
                Qt::QueuedConnection);
        });
    }
}

void FilmPicture::tileArrived(const WantedTile& tile, bool there)
{
    m_loading.erase(keyOf(tile));
    if (!there)
        m_unavailable.insert(keyOf(tile));
    m_stale = true;
    m_shelf.lookForDamage();
    loadNext();
    if (m_wanted.empty() && m_loading.empty()) {
        m_soon.stop();
        emit updated();
    } else if (!m_soon.isActive()) {
        m_soon.start();
    }
}

} // namespace inkpeg
