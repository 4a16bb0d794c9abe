// SPDX-License-Identifier: GPL-3.0-or-later
// The tiles of a scan, decoded away from the window's thread and kept within a bound of memory.
#pragma once

#include <deque>
#include <filesystem>
#include <memory>
#include <set>
#include <tuple>

#include <QCache>
#include <QImage>
#include <QObject>
#include <QRect>
#include <QString>
#include <QThreadPool>

namespace inkpeg {

/// Which tile: at `level` one tile pixel is 2^level scan pixels wide.
struct TileKey {
    int level = 0;
    int column = 0;
    int row = 0;
    auto operator<=>(const TileKey&) const = default;
};

size_t qHash(const TileKey& key, size_t seed = 0);

/// One scan at a time. Ask with `tile`; what is not there yet comes later and is announced by
/// `tileArrived`.
class ScanTiles final : public QObject {
    Q_OBJECT
public:
    static constexpr int TileSidePx = 512;

    explicit ScanTiles(QObject* parent = nullptr);
    ~ScanTiles() override;

    /// Forgets the scan before; an empty path means none.
    void setScan(const std::filesystem::path& file, QSize sizePx);
    QSize sizePx() const { return m_sizePx; }

    /// The coarsest level: the whole scan on one tile.
    int coarsestLevel() const { return m_coarsest; }

    /// The level whose pixels are nearest to, and no coarser than, `screenPerScanPx` calls for.
    int levelFor(double screenPerScanPx) const;

    /// Scan pixels that a tile covers.
    QRect coverage(const TileKey& key) const;

    /// Forgets what was wanted and has not been begun, so that only what is in view is decoded.
    void beginFrame();
    /// The tile if it is here, otherwise null and it is wanted.
    const QImage* tile(const TileKey& key);
    /// The tile if it is here; not wanted otherwise.
    const QImage* tileIfHere(const TileKey& key) const;
    void endFrame();

    /// True while something wanted is not here.
    bool busy() const { return m_running > 0 || !m_wanted.empty(); }

signals:
    void tileArrived();
    void failed(const QString& message);

private:
    struct OpenScans;

    void begin();
    void arrived(int generation, const TileKey& key, const QImage& image, const QString& error);

    std::shared_ptr<OpenScans> m_scans;
    QSize m_sizePx;
    int m_coarsest = 0;
    int m_generation = 0;
    int m_running = 0;
    std::deque<TileKey> m_wanted;
    std::set<TileKey> m_pending;
    std::set<TileKey> m_broken; ///< not asked for again
    QCache<TileKey, QImage> m_cache;
    QImage m_whole; ///< the coarsest tile, never dropped
    QThreadPool m_pool;
};

} // namespace inkpeg
