// SPDX-License-Identifier: GPL-3.0-or-later
// Between scan pixels, the ground and the board's scene, for a drawing shown on film or on the ground.
#pragma once

#include <memory>
#include <optional>

#include <QPointF>
#include <QRectF>

#include "app/board/BoardScene.h"

namespace inkpeg {

enum class BoardSide { Film, Ground };

/// On film, a scene unit is a millimetre on film, the film turned and mirrored about its middle as the
/// drawing's view says; on the ground, a metre, counted from `m_origin` so that
/// the screen's numbers stay small. Scene y runs down in both.
class BoardFrame {
public:
    BoardFrame() = default;
    BoardFrame(const BoardScene& scene, BoardSide side);

    /// The same scene as seen from another drawing on the ground.
    BoardFrame forNeighbour(const DrawingGround& ground) const;

    BoardSide side() const { return m_side; }

    QPointF sceneOfScan(ScanPx position) const;
    /// Nothing where the fit cannot be turned round.
    std::optional<ScanPx> scanOfScene(QPointF scene) const;
    QPointF sceneOfGround(GroundM ground) const;
    GroundM groundOfScene(QPointF scene) const;

    /// A direction on the film as drawn (x right, y down) in the scene's.
    QPointF turnedAsFilm(QPointF direction) const;

    bool operator==(const BoardFrame& other) const;

    /// All that is worth seeing: the drawing's part of the sheet, or on the ground everything pinned and
    /// surveyed.
    QRectF extent(const BoardScene& scene) const;

    /// Scene units across one scan pixel, at the middle of the drawing.
    double sceneUnitsPerScanPx() const { return m_unitsPerPx; }

private:
    BoardSide m_side = BoardSide::Film;
    FilmFrame m_film;
    bool m_mirrored = false;
    double m_cos = 1, m_sin = 0;                   ///< of the turn on film
    std::shared_ptr<const DrawingGround> m_ground; ///< shared: frames are copied with every picture
    GroundM m_origin;
    double m_unitsPerPx = 1;
};

} // namespace inkpeg
