// SPDX-License-Identifier: GPL-3.0-or-later
// Puts the picture of the film on the board together, away from the window's thread, from the tiles that
// are at hand; what is missing is listed and shown coarser meanwhile.
#pragma once

#include <map>
#include <memory>
#include <tuple>
#include <vector>

#include <QColor>
#include <QImage>

#include "app/board/BoardFrame.h"
#include "app/board/ViewTransform.h"
#include "core/film/FilmTone.h"
#include "core/film/Pyramid.h"
#include "core/film/ScanView.h"

namespace inkpeg {

/// One scan on the picture.
struct FilmLayer {
    std::shared_ptr<TilePyramid> pyramid;
    std::shared_ptr<const PyramidTile> look;
    std::shared_ptr<const BareFilm> bareFilm;
    BoardFrame frame;
    ViewInk ink;
    double inkStrength = 0;
    bool levelsToCome = false; ///< they are being built, or will be
};

struct FilmOrder {
    std::vector<FilmLayer> layers; ///< from the lowest to the uppermost
    ViewTransform view;
    QSize widget;     ///< logical pixels
    double ratio = 1; ///< device pixels for a logical one
    int marginPx = 0; ///< device pixels more on each side, so that the film can be moved a little at once
    QColor desk;
};

struct WantedTile {
    std::shared_ptr<TilePyramid> pyramid;
    TilePlace place;
};

/// Tiles as they were shown last, so that the next picture need not make them anew.
class ShownTiles {
public:
    PyramidTilePointer shown(const FilmLayer& layer, const TilePlace& place,
                             const PyramidTilePointer& source);
    /// Keeps only what was asked for since the last call.
    void forgetUnused();

private:
    struct Shown {
        PyramidTilePointer source, tile;
        double inkStrength = 0;
        bool used = true;
    };
    std::map<std::tuple<const TilePyramid*, int, int, int>, Shown> m_shown;
};

struct ComposedFilm {
    QImage image;                   ///< with the margin; its device pixel ratio is 1
    std::vector<WantedTile> wanted; ///< of the uppermost scan first, from the middle outwards
    bool sharp = true;              ///< no coarser tile stands for a finer one
    bool anything = false;          ///< some film is on it
};

ComposedFilm compose(const FilmOrder& order, ShownTiles& tiles);

} // namespace inkpeg
