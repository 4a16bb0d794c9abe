// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/DrawnPicture.h"

#include <algorithm>
#include <cmath>

#include <QPainter>

#include "app/board/DrawnPainting.h"

namespace inkpeg {
namespace {

/// So much work (workIn) is done while the window waits: about two milliseconds.
constexpr std::size_t mostAtOnce = 4000;

/// More changes than this, and the picture is made anew.
constexpr std::size_t mostParts = 12;

bool sameButOutlines(const BoardScene& a, const BoardScene& b)
{
    if (a.drawing.has_value() != b.drawing.has_value())
        return false;
    if (a.drawing) {
        const BoardDrawing &one = *a.drawing, &other = *b.drawing;
        if (one.record.id != other.record.id || one.record.kind != other.record.kind ||
            one.record.scaleDenominator != other.record.scaleDenominator || !(one.pins == other.pins) ||
            !(one.lines == other.lines) || !(one.levels == other.levels) || !(one.points == other.points))
            return false;
    }
    return a.neighbours.sameAs(b.neighbours) && a.traces.sameAs(b.traces) && a.pegs == b.pegs &&
           a.finds == b.finds && a.trenches == b.trenches && a.posts == b.posts;
}

const OutlineSet& outlinesOf(const BoardScene& scene)
{
    static const OutlineSet none;
    return scene.drawing ? scene.drawing->outlines : none;
}

QRectF onWholePixels(const QRectF& place, double ratio)
{
    const QRect pixels = QRectF(place.topLeft() * ratio, place.size() * ratio).toAlignedRect();
    return {QPointF(pixels.topLeft()) / ratio, QSizeF(pixels.size()) / ratio};
}

/// Adds a part, as one with others where that is less to paint: all that reaches into a part is.
void addPart(std::vector<QRectF>& parts, QRectF part)
{
    constexpr double reachPx = 80;
    const auto area = [](const QRectF& of) { return (of.width() + reachPx) * (of.height() + reachPx); };
    for (bool grown = true; grown;) {
        grown = std::erase_if(parts, [&](const QRectF& other) {
                    if (area(other | part) > area(other) + area(part))
                        return false;
                    part |= other;
                    return true;
                }) > 0;
    }
    parts.push_back(part);
}

} // namespace

DrawnPicture::DrawnPicture(QObject* parent) : QObject(parent)
{
    m_painters.setMaxThreadCount(1);
}

DrawnPicture::~DrawnPicture()
{
    if (m_stop)
        *m_stop = true;
    m_painters.waitForDone();
}

void DrawnPicture::setScene(const BoardScene& before, const BoardScene& now)
{
    if (!sameButOutlines(before, now))
        ++m_rest;
    const auto idOf = [](const BoardScene& scene) { return scene.drawing ? scene.drawing->record.id : 0; };
    if (idOf(before) == idOf(now))
        return;
    // Another drawing's outlines never stand in, though its film be as large.
    m_shownAs.reset();
    m_next.reset();
    m_ordered.reset();
    if (m_stop)
        *m_stop = true;
}

bool DrawnPicture::Key::mixesWith(const Key& other) const
{
    return rest == other.rest && frame == other.frame && view.scale() == other.view.scale() &&
           size == other.size && ratio == other.ratio && dark == other.dark && font == other.font &&
           look.withMarks == other.look.withMarks;
}

void DrawnPicture::paint(QPainter& painter, const BoardPicture& picture, double devicePixelRatio,
                         const DrawnLook& look)
{
    const Key wanted{m_rest,
                     outlinesOf(picture.scene),
                     picture.frame,
                     picture.view,
                     picture.widget.size(),
                     devicePixelRatio,
                     theme() == Theme::Dark,
                     picture.font,
                     {0, false, look.leftOut, look.withMarks}};
    const bool asWanted = bringUp(wanted, picture);
    if (!asWanted) {
        order(wanted, picture.scene);
    } else if (busy()) {
        m_next.reset();
        m_ordered.reset();
        *m_stop = true;
    }
    if (m_shownAs && m_shownAs->frame == wanted.frame && m_shownAs->dark == wanted.dark) {
        paintShown(painter, wanted);
        if (!asWanted)
            paintMissing(painter, picture, look);
    }
    paintVertices(painter, picture, look);
    paintSelected(painter, picture, look);
}

/// What the tool drew itself until now, and the picture that stands in lacks: a vertex is let go, and the
/// outline must not be gone until another picture comes.
void DrawnPicture::paintMissing(QPainter& painter, const BoardPicture& picture, const DrawnLook& look) const
{
    for (const std::int64_t id : m_shownAs->look.leftOut)
        if (const Outline* outline = outlinesOf(picture.scene).byId(id);
            outline && std::ranges::count(look.leftOut, id) == 0)
            paintOutline(painter, picture, *outline, {});
}

void DrawnPicture::paintShown(QPainter& painter, const Key& wanted) const
{
    // Where the picture belongs now: exactly where it was painted, unless the scale is to come.
    const QPointF at = wanted.view.toWidget(m_shownAs->view.toScene({0, 0}));
    const double grown = wanted.view.scale() / m_shownAs->view.scale();
    if (grown == 1) {
        const auto aligned = [ratio = wanted.ratio](double px) { return std::round(px * ratio) / ratio; };
        painter.drawPixmap(QPointF(aligned(at.x()), aligned(at.y())), m_shown);
        return;
    }
    painter.save();
    painter.translate(at);
    painter.scale(grown, grown);
    painter.drawPixmap(QPointF(0, 0), m_shown);
    painter.restore();
}

/// True if the picture is as wanted, or could be made so at once.
bool DrawnPicture::bringUp(const Key& wanted, const BoardPicture& picture)
{
    std::optional<std::vector<QRectF>> parts;
    if (m_shownAs && m_shownAs->mixesWith(wanted))
        parts = staleParts(wanted, picture);
    if (parts && parts->empty()) {
        // Shown as it is wanted already: what has been compared once is not compared again.
        m_shownAs->outlines = wanted.outlines;
        m_shownAs->look = wanted.look;
        return true;
    }
    const bool whole = !parts;
    if (whole)
        parts = {picture.widget};
    BoardPicture piece = picture;
    std::size_t work = 0;
    for (const QRectF& part : *parts) {
        piece.part = part;
        work += workIn(piece, mostAtOnce);
        if (work > mostAtOnce)
            return false;
    }
    if (whole) {
        m_shown = QPixmap((wanted.size * wanted.ratio).toSize());
        m_shown.setDevicePixelRatio(wanted.ratio);
        m_shown.fill(Qt::transparent); // gives it an alpha channel
        m_shownAs = wanted;
    } else if (const QPoint shift = shiftTo(wanted); !shift.isNull()) {
        m_shown.scroll(shift.x(), shift.y(), m_shown.rect());
        m_shownAs->view.panBy(QPointF(shift) / wanted.ratio);
    }
    m_shownAs->outlines = wanted.outlines;
    m_shownAs->look = wanted.look;
    BoardPicture held{picture.scene,  picture.frame,   m_shownAs->view,
                      picture.widget, picture.colours, picture.font};
    QPainter painter(&m_shown);
    painter.setFont(picture.font);
    for (const QRectF& part : *parts) {
        held.part = part;
        painter.save();
        painter.setClipRect(part);
        painter.setCompositionMode(QPainter::CompositionMode_Source);
        painter.fillRect(part, Qt::transparent);
        painter.setCompositionMode(QPainter::CompositionMode_SourceOver);
        painter.setRenderHint(QPainter::Antialiasing);
        paintDrawn(painter, held, wanted.look);
        painter.restore();
    }
    return true;
}

/// The parts of the widget at which the picture, once it is shifted, is not as wanted; nothing when it is
/// to be made anew.
std::optional<std::vector<QRectF>> DrawnPicture::staleParts(const Key& wanted,
                                                            const BoardPicture& picture) const
{
    const QRect device = m_shown.rect();
    const QPoint shift = shiftTo(wanted);
    // Words beside section lines step aside for each other, by which of them are in view.
    const bool ground = picture.frame.side() == BoardSide::Ground;
    if (!shift.isNull() && ground && !picture.scene.traces.empty())
        return std::nullopt;
    std::vector<QRectF> parts;
    for (const QRect& bare : QRegion(device) - QRegion(device.translated(shift)))
        parts.push_back(QRectF(QPointF(bare.topLeft()) / wanted.ratio, QSizeF(bare.size()) / wanted.ratio));
    const auto add = [&](const QRectF& place) {
        if (place.intersects(picture.widget))
            addPart(parts, onWholePixels(place & picture.widget, wanted.ratio));
    };
    const auto changed = [&](const Outline* was, const Outline* is) {
        if (was && is && *was == *is)
            return; // as when all has been read anew
        if (was && is)
            std::ranges::for_each(placesOfChange(picture, *was, *is), add);
        else
            add(placeOf(picture, was ? *was : *is));
    };
    const auto hiddenOrShown = [&](std::int64_t id) {
        for (const Outline* outline : {m_shownAs->outlines.byId(id), wanted.outlines.byId(id)})
            if (outline)
                add(placeOf(picture, *outline));
    };
    if (!m_shownAs->outlines.sameAs(wanted.outlines))
        OutlineSet::forEachChange(m_shownAs->outlines, wanted.outlines, changed);
    if (m_shownAs->look.leftOut != wanted.look.leftOut)
        for (const auto* ids : {&m_shownAs->look.leftOut, &wanted.look.leftOut})
            std::ranges::for_each(*ids, hiddenOrShown);
    if (parts.size() > mostParts)
        return std::nullopt;
    return parts;
}

/// Whole pixels of the screen from where the picture was painted to where it belongs.
QPoint DrawnPicture::shiftTo(const Key& wanted) const
{
    return ((wanted.view.toWidget({0, 0}) - m_shownAs->view.toWidget({0, 0})) * wanted.ratio).toPoint();
}

void DrawnPicture::order(const Key& wanted, const BoardScene& scene)
{
    if (m_ordered && m_ordered->mixesWith(wanted) && m_ordered->view == wanted.view &&
        m_ordered->look == wanted.look && m_ordered->outlines.sameAs(wanted.outlines))
        return;
    m_ordered = wanted;
    m_next = Order{wanted, scene};
    if (m_next->scene.drawing)
        m_next->scene.drawing->index.reset(); // the window goes on changing it
    paintNext();
}

void DrawnPicture::paintNext()
{
    if (m_painting || !m_next)
        return;
    m_painting = true;
    m_stop = std::make_shared<std::atomic<bool>>(false);
    m_painters.start([this, order = std::move(*m_next), stop = m_stop] {
        const Key& key = order.key;
        QImage image((key.size * key.ratio).toSize(), QImage::Format_ARGB32_Premultiplied);
        image.setDevicePixelRatio(key.ratio);
        image.fill(Qt::transparent);
        QPainter painter(&image);
        painter.setRenderHint(QPainter::Antialiasing);
        painter.setFont(key.font);
        const BoardPicture picture{order.scene,
                                   key.frame,
                                   key.view,
                                   QRectF(QPointF(0, 0), key.size),
                                   paletteOf(key.dark ? Theme::Dark : Theme::Light),
                                   key.font};
        paintDrawn(painter, picture, key.look, stop.get());
        painter.end();
        QMetaObject::invokeMethod(
            this,
            [this, key = order.key, stop, image = std::move(image)]() mutable {
                m_painting = false;
                if (!*stop)
                    arrived(key, std::move(image));
                paintNext();
            },
            Qt::QueuedConnection);
    });
    m_next.reset();
}

void DrawnPicture::arrived(const Key& key, QImage image)
{
    m_shown = QPixmap::fromImage(std::move(image));
    m_shownAs = key;
    if (!m_next)
        m_ordered.reset();
    emit updated();
}

} // namespace inkpeg
