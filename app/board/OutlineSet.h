// SPDX-License-Identifier: GPL-3.0-or-later
// The outlines of a drawing by rising id, shared between scenes: an act that changes one outline of a
// hundred thousand hands on the others as they are, and costs no more than copying a few hundred pointers.
#pragma once

#include <cstdint>
#include <functional>
#include <initializer_list>
#include <iterator>
#include <memory>
#include <vector>

#include "core/records/Records.h"

namespace inkpeg {

class OutlineSet {
public:
    class Iterator {
    public:
        using iterator_category = std::random_access_iterator_tag;
        using value_type = Outline;
        using difference_type = std::ptrdiff_t;
        using pointer = const Outline*;
        using reference = const Outline&;

        Iterator() = default;
        Iterator(const OutlineSet* set, std::ptrdiff_t at) : m_set(set), m_at(at) {}
        reference operator*() const { return (*m_set)[static_cast<std::size_t>(m_at)]; }
        pointer operator->() const { return &**this; }
        reference operator[](difference_type n) const { return *(*this + n); }
        Iterator& operator+=(difference_type n)
        {
            m_at += n;
            return *this;
        }
        Iterator& operator-=(difference_type n) { return *this += -n; }
        Iterator& operator++() { return *this += 1; }
        Iterator& operator--() { return *this += -1; }
        Iterator operator++(int)
        {
            const Iterator was = *this;
            ++*this;
            return was;
        }
        Iterator operator--(int)
        {
            const Iterator was = *this;
            --*this;
            return was;
        }
        friend Iterator operator+(Iterator it, difference_type n) { return it += n; }
        friend Iterator operator+(difference_type n, Iterator it) { return it += n; }
        friend Iterator operator-(Iterator it, difference_type n) { return it -= n; }
        friend difference_type operator-(Iterator a, Iterator b) { return a.m_at - b.m_at; }
        auto operator<=>(const Iterator&) const = default;

    private:
        const OutlineSet* m_set = nullptr;
        std::ptrdiff_t m_at = 0;
    };

    OutlineSet() = default;
    OutlineSet(std::vector<Outline> outlines); ///< in any order
    OutlineSet(std::initializer_list<Outline> outlines) : OutlineSet(std::vector<Outline>(outlines)) {}

    std::size_t size() const { return m_starts.empty() ? 0 : m_starts.back(); }
    bool empty() const { return size() == 0; }
    const Outline& operator[](std::size_t i) const;
    Iterator begin() const { return {this, 0}; }
    Iterator end() const { return {this, static_cast<std::ptrdiff_t>(size())}; }

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
