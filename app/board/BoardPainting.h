// SPDX-License-Identifier: GPL-3.0-or-later
// How the board's things look. Each function draws one kind of thing in widget pixels.
#pragma once

#include <array>
#include <atomic>
#include <span>

#include <QFont>
#include <QPainter>
#include <QPolygonF>
#include <QRectF>
#include <QStringList>

#include "app/board/BoardFrame.h"
#include "app/board/BoardScene.h"
#include "app/board/Palette.h"
#include "app/board/ViewTransform.h"
#include "core/film/Scan.h"

namespace inkpeg {

/// What a painting function needs to know.
struct BoardPicture {
    const BoardScene& scene;
    const BoardFrame& frame;
    const ViewTransform& view;
    QRectF widget;
    const Palette& colours;
    QFont font;
    QRectF part = {}; ///< of the widget that is to be painted; null: all of it

    QRectF wanted() const { return part.isNull() ? widget : part; }
    QPointF at(ScanPx position) const { return view.toWidget(frame.sceneOfScan(position)); }
    QPointF at(GroundM ground) const { return view.toWidget(frame.sceneOfGround(ground)); }
    QPolygonF at(const std::vector<ScanPx>& positions) const;
    QPolygonF at(const std::vector<GroundM>& places) const;
};

/// Hatches the parts of the scan that cannot be read, and names them in the upper left corner.
void paintDamage(QPainter& painter, const BoardPicture& picture, const std::vector<PxRect>& parts,
                 const QStringList& words);

/// Smaller than this on the screen, an outline is a dot.
inline constexpr double dotPx = 3;

/// All in one, many thousand; without smoothing, which of so small a thing nobody sees, and ten times as quick.
void paintDots(QPainter& painter, const QPolygonF& centres, const QColor& colour);

/// A number would hide an outline smaller than this.
inline constexpr double leastPxForNumber = 16;

/// An outline's number may stand so far beyond it, lower where pins are in its way.
inline constexpr double numberReachPx = 90;

/// Pegs, finds, trench limits and the other pinned drawings.
void paintSurroundings(QPainter& painter, const BoardPicture& picture);
std::size_t workOfSurroundings(const BoardPicture& picture, std::size_t most); ///< as workIn

/// Pinned sections: line, ends, and a bar for each context along it.
void paintSectionTraces(QPainter& painter, const BoardPicture& picture);

/// Upright timbers by their outlines.
void paintPosts(QPainter& painter, const BoardPicture& picture);

/// A round length with its name, lower left; on the ground a north arrow too.
void paintScaleBar(QPainter& painter, const BoardPicture& picture);

void paintPins(QPainter& painter, const BoardPicture& picture, std::int64_t selectedPin);

/// What a pin's mark and its name cover on the widget.
std::array<QRectF, 2> roomOfPin(const BoardPicture& picture, const Pin& pin);

/// Pegs that are not pinned; those that stand in one spot, as the nails of a section above each other do, as
/// one with all their names.
std::vector<NamedPlace> pegSpots(const BoardScene& scene);

/// Where the name of a peg that is not pinned stands: beside the peg, clear of pins if there is such a place.
QRectF pegNameBox(const BoardPicture& picture, const NamedPlace& peg);

/// Screen pixels for a millimetre of residual on the film; 0 where no pin has a residual.
double arrowPixelsPerMm(const BoardDrawing& drawing);

/// A raised panel that words are written on.
void paintPanel(QPainter& painter, const BoardPicture& picture, const QRectF& panel);

/// Residual arrows at their own scale, with the key to it, lower right.
void paintResiduals(QPainter& painter, const BoardPicture& picture);

struct OutlineLook {
    bool selected = false;
    bool withVertices = false;
};
void paintOutline(QPainter& painter, const BoardPicture& picture, const Outline& outline, OutlineLook look);
void paintVertexSquares(QPainter& painter, const BoardPicture& picture, std::span<const Part> parts,
                        const QColor& colour);

/// Where an outline shows on the widget, with all that is written about it.
QRectF placeOf(const BoardPicture& picture, const Outline& outline);

/// Where two states of an outline, neither of them the chosen one, show apart on the widget.
std::vector<QRectF> placesOfChange(const BoardPicture& picture, const Outline& was, const Outline& is);

/// How the outlines and marks of the drawing at hand are to be seen.
struct DrawnLook {
    std::int64_t selected = 0;
    bool withVertices = false;           ///< of all outlines, not of the selected one alone
    std::vector<std::int64_t> leftOut{}; ///< drawn by the tool itself, as they would be
    bool withMarks = true;
    bool operator==(const DrawnLook&) const = default;
};

/// All that lies drawn upon the film, the chosen outline as the others are, within the part of the widget that
/// is wanted; looks now and then whether it is to stop.
void paintDrawn(QPainter& painter, const BoardPicture& picture, const DrawnLook& look,
                const std::atomic<bool>* stop = nullptr);

/// The chosen outline, over all that lies drawn; by itself, so that to choose another paints nothing else
/// anew.
void paintSelected(QPainter& painter, const BoardPicture& picture, const DrawnLook& look);

/// How much there is to paint: an outline that is a dot counts 1, a vertex of another 8. Stops counting
/// beyond `most`.
std::size_t workIn(const BoardPicture& picture, std::size_t most);

/// One edge in the pattern of its kind (core/outline/LinePattern.h).
void paintEdge(QPainter& painter, QPointF from, QPointF to, EdgeKind kind, const QColor& colour,
               double widthPx);

/// What is drawn beside outlines: breaks of slope with their hachures, section lines, limits of excavation,
/// levels, finds, samples, timbers and notes.
void paintMarks(QPainter& painter, const BoardPicture& picture);

/// A line of one kind over many vertices, its pattern running on over them.
void paintLine(QPainter& painter, const QPolygonF& corners, bool closed, EdgeKind kind,
               const QColor& colour, double widthPx);

/// The part of the scan that the wanted part of the widget shows, and so many pixels of the screen around
/// it; nothing where the fit cannot say.
std::optional<ScanBox> scanInView(const BoardPicture& picture, double aroundPx);

/// Writing with a halo, so that it reads on film and on the desk alike. `middleLeft` is where it begins.
void paintLabel(QPainter& painter, const BoardPicture& picture, QPointF middleLeft, const QString& text,
                const QColor& colour);
/// The same where there is no board.
void paintWriting(QPainter& painter, const QFont& font, const QColor& halo, QPointF middleLeft,
                  const QString& text, const QColor& colour);

/// A pin mark: cross in a ring (fit), in a square (check point), hollow and struck out (left out).
void paintPinMark(QPainter& painter, QPointF at, PinUse use, const Palette& colours, bool selected);

/// 1, 2 or 5 times a power of ten, the largest that is no more than `most`.
double roundNoMoreThan(double most);

} // namespace inkpeg
