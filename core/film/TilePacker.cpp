// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/TilePacker.h"

#include <libdeflate.h>
#include <zstd.h>

namespace inkpeg {

struct TilePacker::Libraries {
    struct Free {
        void operator()(libdeflate_compressor* c) const { libdeflate_free_compressor(c); }
        void operator()(ZSTD_CCtx* c) const { ZSTD_freeCCtx(c); }
    };
    std::unique_ptr<libdeflate_compressor, Free> deflate;
    std::unique_ptr<ZSTD_CCtx, Free> zstd;
};

TilePacker::TilePacker(Packing packing) : m_packing(packing), m_libraries(std::make_unique<Libraries>())
{
    if (packing == Packing::Deflate)
        m_libraries->deflate.reset(libdeflate_alloc_compressor(DeflateLevel));
    if (packing == Packing::Zstd)
        m_libraries->zstd.reset(ZSTD_createCCtx());
}

TilePacker::~TilePacker() = default;
TilePacker::TilePacker(TilePacker&&) noexcept = default;

void TilePacker::interleave(const LaidPlanes& tile)
{
    const auto pixels = static_cast<std::size_t>(tile.width) * static_cast<std::size_t>(tile.height);
    const auto samples = static_cast<std::size_t>(tile.channels) + 1;
    m_samples.resize(pixels * samples);
    std::uint8_t* out = m_samples.data();
    if (samples == 2) {
        const std::uint8_t *grey = tile.planes[0].data(), *alpha = tile.planes[1].data();
        for (std::size_t i = 0; i < pixels; ++i) {
            out[2 * i] = grey[i];
            out[2 * i + 1] = alpha[i];
        }
        return;
    }
    for (std::size_t i = 0; i < pixels; ++i)
        for (std::size_t k = 0; k < samples; ++k)
            out[i * samples + k] = tile.planes[k][i];
}

const std::vector<std::uint8_t>& TilePacker::pack(const LaidPlanes& tile)
{
    interleave(tile);
    if (m_packing == Packing::None)
        return m_samples;
    std::size_t size = 0;
    if (m_packing == Packing::Deflate && m_libraries->deflate) {
        m_packed.resize(libdeflate_zlib_compress_bound(m_libraries->deflate.get(), m_samples.size()));
        size = libdeflate_zlib_compress(m_libraries->deflate.get(), m_samples.data(), m_samples.size(),
                                        m_packed.data(), m_packed.size());
    } else if (m_packing == Packing::Zstd && m_libraries->zstd) {
        m_packed.resize(ZSTD_compressBound(m_samples.size()));
        size = ZSTD_compressCCtx(m_libraries->zstd.get(), m_packed.data(), m_packed.size(),
                                 m_samples.data(), m_samples.size(), ZstdLevel);
        if (ZSTD_isError(size))
            size = 0;
    }
    m_packed.resize(size);
    return m_packed;
}

} // namespace inkpeg
