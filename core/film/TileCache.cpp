// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/TileCache.h"

namespace inkpeg {
namespace {

std::size_t bytesOf(const PyramidTile& tile)
{
    return tile.pixels.capacity() + sizeof(PyramidTile);
}

} // namespace

PyramidTilePointer TileCache::find(const TileKey& key)
{
    const std::lock_guard lock(m_mutex);
    const auto held = m_held.find(key);
    if (held == m_held.end())
        return nullptr;
    m_ages.splice(m_ages.begin(), m_ages, held->second.age);
    return held->second.tile;
}

void TileCache::drop(std::map<TileKey, Held>::iterator held)
{
    m_bytes -= bytesOf(*held->second.tile);
    m_ages.erase(held->second.age);
    m_held.erase(held);
}

void TileCache::keep(const TileKey& key, PyramidTilePointer tile)
{
    const std::lock_guard lock(m_mutex);
    if (const auto held = m_held.find(key); held != m_held.end())
        drop(held);
    m_bytes += bytesOf(*tile);
    m_ages.push_front(key);
    m_held[key] = {std::move(tile), m_ages.begin()};
    while (m_bytes > m_budget && m_held.size() > 1)
        drop(m_held.find(m_ages.back()));
}

void TileCache::forgetPyramid(std::uint64_t pyramid)
{
    const std::lock_guard lock(m_mutex);
    for (auto held = m_held.begin(); held != m_held.end();) {
        const auto next = std::next(held);
        if (held->first.pyramid == pyramid)
            drop(held);
        held = next;
    }
}

std::size_t TileCache::bytesHeld() const
{
    const std::lock_guard lock(m_mutex);
    return m_bytes;
}

} // namespace inkpeg
