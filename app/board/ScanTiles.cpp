// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/ScanTiles.h"

#include <algorithm>
#include <cmath>
#include <mutex>
#include <vector>

#include <QHashFunctions>

#include "core/film/Scan.h"

namespace inkpeg {
namespace {

constexpr int cacheKilobytes = 256 * 1024; // some 340 colour tiles: a 4K screen three times over

QImage asImage(const RgbImage& pixels)
{
    QImage image(pixels.width, pixels.height, QImage::Format_RGB32);
    for (int row = 0; row < pixels.height; ++row) {
        const std::uint8_t* from = pixels.pixels.data() + static_cast<std::size_t>(row) *
                                                              static_cast<std::size_t>(pixels.width) * 3;
        auto* to = reinterpret_cast<QRgb*>(image.scanLine(row));
        for (int column = 0; column < pixels.width; ++column, from += 3)
            to[column] = qRgb(from[0], from[1], from[2]);
    }
    return image;
}

} // namespace

size_t qHash(const TileKey& key, size_t seed)
{
    return qHashMulti(seed, key.level, key.column, key.row);
}

/// Scans opened for the loader's threads; each is lent to one thread at a time.
struct ScanTiles::OpenScans {
    std::filesystem::path file;
    std::mutex guard;
    std::vector<Scan> idle;

    Result<Scan> borrow()
    {
        {
            const std::lock_guard lock(guard);
            if (!idle.empty()) {
                Scan scan = std::move(idle.back());
                idle.pop_back();
                return scan;
            }
        }
        return Scan::open(file);
    }
    void giveBack(Scan scan)
    {
        const std::lock_guard lock(guard);
        idle.push_back(std::move(scan));
    }
};

ScanTiles::ScanTiles(QObject* parent) : QObject(parent)
{
    m_cache.setMaxCost(cacheKilobytes);
    m_pool.setMaxThreadCount(2);
}

ScanTiles::~ScanTiles()
{
    m_wanted.clear();
    m_pool.waitForDone();
}

void ScanTiles::setScan(const std::filesystem::path& file, QSize sizePx)
{
    ++m_generation;
    m_wanted.clear();
    m_pending.clear();
    m_broken.clear();
    m_cache.clear();
    m_whole = {};
    m_sizePx = file.empty() ? QSize() : sizePx;
    m_scans.reset();
    m_coarsest = 0;
    if (m_sizePx.isEmpty())
        return;
    m_scans = std::make_shared<OpenScans>();
    m_scans->file = file;
    while ((std::max(m_sizePx.width(), m_sizePx.height()) >> m_coarsest) > TileSidePx)
        ++m_coarsest;
}

int ScanTiles::levelFor(double screenPerScanPx) const
{
    const double level = std::floor(-std::log2(std::max(screenPerScanPx, 1e-9)) + 0.25);
    return static_cast<int>(std::clamp(level, 0.0, static_cast<double>(m_coarsest)));
}

QRect ScanTiles::coverage(const TileKey& key) const
{
    const int side = TileSidePx << key.level;
    return QRect(key.column * side, key.row * side, side, side).intersected(QRect(QPoint(0, 0), m_sizePx));
}

void ScanTiles::beginFrame()
{
    m_wanted.clear();
}

const QImage* ScanTiles::tileIfHere(const TileKey& key) const
{
    if (key.level == m_coarsest && !m_whole.isNull())
        return &m_whole;
    return m_cache.object(key);
}

const QImage* ScanTiles::tile(const TileKey& key)
{
    if (const QImage* here = tileIfHere(key))
        return here;
    if (!m_pending.contains(key) && !m_broken.contains(key))
        m_wanted.push_back(key);
    return nullptr;
}

void ScanTiles::endFrame()
{
    begin();
}

void ScanTiles::begin()
{
    while (m_running < m_pool.maxThreadCount() && !m_wanted.empty()) {
        const TileKey key = m_wanted.front();
        m_wanted.pop_front();
        const QRect cover = coverage(key);
        if (cover.isEmpty())
            continue;
        m_pending.insert(key);
        ++m_running;
        m_pool.start([this, key, cover, scans = m_scans, generation = m_generation] {
            const PxRect window{cover.x(), cover.y(), cover.width(), cover.height()};
            const auto shrunk = [&](int length) {
                return std::max(1, (length + (1 << key.level) - 1) >> key.level);
            };
            QImage image;
            QString error;
            if (Result<Scan> scan = scans->borrow()) {
                const auto pixels = scan->readRgb(window, shrunk(cover.width()), shrunk(cover.height()));
                if (pixels)
                    image = asImage(*pixels);
                else
                    error = QString::fromStdString(pixels.error().message);
                scans->giveBack(std::move(scan.value()));
            } else {
                error = QString::fromStdString(scan.error().message);
            }
            QMetaObject::invokeMethod(
                this, [this, generation, key, image, error] { arrived(generation, key, image, error); },
                Qt::QueuedConnection);
        });
    }
}

void ScanTiles::arrived(int generation, const TileKey& key, const QImage& image, const QString& error)
{
    --m_running;
    if (generation == m_generation) {
        m_pending.erase(key);
        if (!error.isEmpty()) {
            m_broken.insert(key);
            emit failed(error);
        } else {
            if (key.level == m_coarsest)
                m_whole = image;
            m_cache.insert(key, new QImage(image), std::max<qsizetype>(1, image.sizeInBytes() / 1024));
            emit tileArrived();
        }
    }
    begin();
}

} // namespace inkpeg
