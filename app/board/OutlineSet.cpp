// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/OutlineSet.h"

#include <algorithm>

namespace inkpeg {
namespace {

constexpr std::size_t chunkLength = 256;

std::int64_t idOf(const std::shared_ptr<const Outline>& outline)
{
    return outline->id;
}

} // namespace

/// Goes through a set outline by outline, or over a whole chunk.
class OutlineSet::Cursor {
public:
    explicit Cursor(const OutlineSet& set) : m_set(set) {}
    bool atEnd() const { return m_chunk == m_set.m_chunks.size(); }
    bool atStartOfChunk() const { return m_at == 0; }
    const std::shared_ptr<const Chunk>& chunk() const { return m_set.m_chunks[m_chunk]; }
    const Shared& outline() const { return (*chunk())[m_at]; }
    void skipChunk()
    {
        ++m_chunk;
        m_at = 0;
    }
    void next()
    {
        if (++m_at == chunk()->size())
            skipChunk();
    }

private:
    const OutlineSet& m_set;
    std::size_t m_chunk = 0, m_at = 0;
};

OutlineSet::OutlineSet(std::vector<Outline> outlines)
{
    if (!std::ranges::is_sorted(outlines, {}, &Outline::id))
        std::ranges::sort(outlines, {}, &Outline::id);
    for (std::size_t from = 0; from < outlines.size(); from += chunkLength) {
        auto chunk = std::make_shared<Chunk>();
        for (std::size_t i = from; i < std::min(outlines.size(), from + chunkLength); ++i)
            chunk->push_back(std::make_shared<const Outline>(std::move(outlines[i])));
        m_chunks.push_back(std::move(chunk));
    }
    countAgain();
}

void OutlineSet::countAgain()
{
    m_starts.assign(1, 0);
    for (const auto& chunk : m_chunks)
        m_starts.push_back(m_starts.back() + chunk->size());
}

const Outline& OutlineSet::operator[](std::size_t i) const
{
    const auto chunk =
        static_cast<std::size_t>(std::ranges::upper_bound(m_starts, i) - m_starts.begin()) - 1;
    return *(*m_chunks[chunk])[i - m_starts[chunk]];
}

/// The chunk that holds the id, or would.
std::size_t OutlineSet::chunkOf(std::int64_t id) const
{
    const auto after =
        std::ranges::upper_bound(m_chunks, id, {}, [](const auto& chunk) { return chunk->front()->id; });
    return after == m_chunks.begin() ? 0 : static_cast<std::size_t>(after - m_chunks.begin()) - 1;
}

std::size_t OutlineSet::indexOf(std::int64_t id) const
{
    if (empty())
        return 0;
    const std::size_t chunk = chunkOf(id);
    const auto there = std::ranges::lower_bound(*m_chunks[chunk], id, {}, idOf);
    if (there == m_chunks[chunk]->end() || (*there)->id != id)
        return size();
    return m_starts[chunk] + static_cast<std::size_t>(there - m_chunks[chunk]->begin());
}

const Outline* OutlineSet::byId(std::int64_t id) const
{
    const std::size_t i = indexOf(id);
    return i == size() ? nullptr : &(*this)[i];
}

void OutlineSet::put(Outline outline)
{
    const std::int64_t id = outline.id;
    auto shared = std::make_shared<const Outline>(std::move(outline));
    if (empty()) {
        m_chunks = {std::make_shared<const Chunk>(1, std::move(shared))};
        countAgain();
        return;
    }
    const std::size_t at = chunkOf(id);
    Chunk chunk = *m_chunks[at];
    const auto there = std::ranges::lower_bound(chunk, id, {}, idOf);
    if (there != chunk.end() && (*there)->id == id)
        *there = std::move(shared);
    else
        chunk.insert(there, std::move(shared));
    if (chunk.size() > 2 * chunkLength) {
        const auto half = chunk.begin() + chunkLength;
        m_chunks.insert(m_chunks.begin() + static_cast<std::ptrdiff_t>(at) + 1,
                        std::make_shared<const Chunk>(half, chunk.end()));
        chunk.erase(half, chunk.end());
    }
    m_chunks[at] = std::make_shared<const Chunk>(std::move(chunk));
    countAgain();
}

void OutlineSet::remove(std::int64_t id)
{
    if (!byId(id))
        return;
    const std::size_t at = chunkOf(id);
    Chunk chunk = *m_chunks[at];
    chunk.erase(std::ranges::lower_bound(chunk, id, {}, idOf));
    if (chunk.empty())
        m_chunks.erase(m_chunks.begin() + static_cast<std::ptrdiff_t>(at));
    else
        m_chunks[at] = std::make_shared<const Chunk>(std::move(chunk));
    countAgain();
}

bool OutlineSet::operator==(const OutlineSet& other) const
{
    return sameAs(other) || std::ranges::equal(*this, other);
}

void OutlineSet::forEachChange(const OutlineSet& before, const OutlineSet& now,
                               const std::function<void(const Outline*, const Outline*)>& visit)
{
    Cursor was(before), is(now);
    while (!was.atEnd() || !is.atEnd()) {
        const bool both = !was.atEnd() && !is.atEnd();
        if (both && was.atStartOfChunk() && is.atStartOfChunk() && was.chunk() == is.chunk()) {
            was.skipChunk();
            is.skipChunk();
        } else if (both && was.outline()->id == is.outline()->id) {
            if (was.outline() != is.outline())
                visit(was.outline().get(), is.outline().get());
            was.next();
            is.next();
        } else if (is.atEnd() || (both && was.outline()->id < is.outline()->id)) {
            visit(was.outline().get(), nullptr);
            was.next();
        } else {
            visit(nullptr, is.outline().get());
            is.next();
        }
    }
}

} // namespace inkpeg
