// SPDX-License-Identifier: GPL-3.0-or-later
// The outlines of a drawing by rising id, shared between scenes: an act that changes one outline of a
// hundred thousand hands on the others as they are, and costs no more than copying a few hundred pointers.
#pragma once

#include <cstdint>
#include <functional>
#include <initializer_list>
#include <memory>
#include <vector>

#include "app/board/PlaceIterator.h"
#include "core/records/Records.h"

namespace inkpeg {

class OutlineSet {
public:
    using Iterator = PlaceIterator<OutlineSet, Outline>;

    OutlineSet() = default;
    OutlineSet(std::vector<Outline> outlines); ///< in any order
    OutlineSet(std::initializer_list<Outline> outlines) : OutlineSet(std::vector<Outline>(outlines)) {}

    std::size_t size() const { return m_starts.empty() ? 0 : m_starts.back(); }
    bool empty() const { return size() == 0; }
    const Outline& operator[](std::size_t i) const;
    Iterator begin() const { return {this, 0}; }
    Iterator end() const { return {this, size()}; }

    /// Null if there is none.
    const Outline* byId(std::int64_t id) const;
    /// Its place in the order; size() if there is none.
    std::size_t indexOf(std::int64_t id) const;
    /// In the place of the one with its id, if there is one.
    void put(Outline outline);
    void remove(std::int64_t id);

    /// The very same outlines, not outlines that are alike.
    bool sameAs(const OutlineSet& other) const { return m_chunks == other.m_chunks; }
    bool operator==(const OutlineSet& other) const;

    /// Calls visit(was, is) for each outline that two sets do not share, null where one has none.
    static void forEachChange(const OutlineSet& before, const OutlineSet& now,
                              const std::function<void(const Outline*, const Outline*)>& visit);

private:
    using Shared = std::shared_ptr<const Outline>;
    using Chunk = std::vector<Shared>; ///< never empty
    class Cursor;

    std::size_t chunkOf(std::int64_t id) const;
    void countAgain();

    std::vector<std::shared_ptr<const Chunk>> m_chunks;
    std::vector<std::size_t> m_starts; ///< of each chunk, and the size at the end
};

} // namespace inkpeg
