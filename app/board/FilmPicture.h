// SPDX-License-Identifier: GPL-3.0-or-later
// The film on the board: of the drawing at hand and, on the ground, of its neighbours. The picture is put
// together away from the window's thread; painting only copies it, so that moving about never waits for a
// disk or a decoder.
#pragma once

#include <deque>
#include <set>

#include <QColor>
#include <QElapsedTimer>
#include <QImage>
#include <QObject>
#include <QPainter>
#include <QThreadPool>
#include <QTimer>

#include "app/board/BoardFrame.h"
#include "app/board/BoardScene.h"
#include "app/board/FilmCompose.h"
#include "app/board/ScanShelf.h"
#include "app/board/ViewTransform.h"

namespace inkpeg {

struct Palette;

/// How the film is to be seen now.
struct FilmView {
    const BoardScene& scene;
    const BoardFrame& frame;
    const ViewTransform& view;
    QSize widget;
    double ratio = 1;
    const Palette& colours;
    bool faded = false;
};

class FilmPicture final : public QObject {
    Q_OBJECT
public:
    explicit FilmPicture(QObject* parent = nullptr);
    ~FilmPicture() override;

    ScanShelf& shelf() { return m_shelf; }

    /// The scene is another one: opens the scans that it calls for and lets go of others.
    void setScene(const BoardScene& scene);

    /// Paints the picture as it is, moved to where it belongs now, and orders a new one if it is not what
    /// is wanted.
    void paint(QPainter& painter, const FilmView& view);

    /// True while a sharper picture is to come; off the screen none is.
    bool busy(bool onScreen) const;

    /// True when some film has been put on the picture.
    bool anythingShown() const { return m_anything; }

    /// Of the scan at hand: unreadable parts in words and in scan pixels; why it cannot be opened.
    const ShelvedScan* atHand() const { return m_atHand.get(); }

signals:
    void updated(); ///< a new picture is there

private:
    /// What a composed picture shows, so that it can be put in its place while a newer one is being made.
    struct Placed {
        QImage image;
        BoardFrame frame;
        ViewTransform view;
        std::filesystem::path scan;
        int marginPx = 0;
        double ratio = 1;
    };

    FilmOrder orderFor(const FilmView& view);
    FilmLayer layerOf(const ShelvedScan& scan, const FilmView& view) const;
    void addNeighbours(const FilmView& view, std::vector<FilmLayer>& layers);
    void composeNow();
    void composed(ComposedFilm film, Placed placed);
    void loadNext();
    void tileArrived(const WantedTile& tile, bool there);
    void shelfChanged();
    std::optional<QTransform> moved(const FilmView& view) const;

    ScanShelf m_shelf;
    std::shared_ptr<const ShelvedScan> m_atHand;
    std::filesystem::path m_scanAtHand;
    bool m_ground = false;

    struct Asked; ///< for what the last picture was ordered
    std::unique_ptr<Asked> m_asked;
    std::optional<FilmOrder> m_next; ///< to be composed as soon as the composer is free
    Placed m_nextPlaced;
    Placed m_shown;
    std::shared_ptr<ShownTiles> m_tiles; ///< the composer's own
    bool m_composing = false;
    bool m_sharp = false;
    bool m_anything = false;
    bool m_stale = true; ///< more is at hand than the last picture knew of
    QTimer m_soon;

    std::deque<WantedTile> m_wanted;
    std::set<std::tuple<const TilePyramid*, int, int, int>> m_loading, m_unavailable;
    QThreadPool m_composer, m_loaders;
};

} // namespace inkpeg
