// SPDX-License-Identifier: GPL-3.0-or-later
// Goes through a list whose items are reached by their place alone: list[i].
#pragma once

#include <compare>
#include <cstddef>
#include <iterator>
#include <utility>

namespace inkpeg {

template<typename List, typename Item>
class PlaceIterator {
public:
    using iterator_category = std::random_access_iterator_tag;
    using value_type = Item;
    using difference_type = std::ptrdiff_t;
    using pointer = const Item*;
    using reference = const Item&;

    PlaceIterator() = default;
    PlaceIterator(const List* list, std::size_t at) : m_list(list), m_at(static_cast<std::ptrdiff_t>(at)) {}
    reference operator*() const { return (*m_list)[static_cast<std::size_t>(m_at)]; }
    pointer operator->() const { return &**this; }
    reference operator[](difference_type n) const { return *(*this + n); }
    PlaceIterator& operator+=(difference_type n)
    {
        m_at += n;
        return *this;
    }
    PlaceIterator& operator-=(difference_type n) { return *this += -n; }
    PlaceIterator& operator++() { return *this += 1; }
    PlaceIterator& operator--() { return *this -= 1; }
    PlaceIterator operator++(int) { return std::exchange(*this, *this + 1); }
    PlaceIterator operator--(int) { return std::exchange(*this, *this - 1); }
    friend PlaceIterator operator+(PlaceIterator it, difference_type n) { return it += n; }
    friend PlaceIterator operator+(difference_type n, PlaceIterator it) { return it += n; }
    friend PlaceIterator operator-(PlaceIterator it, difference_type n) { return it -= n; }
    friend difference_type operator-(PlaceIterator a, PlaceIterator b) { return a.m_at - b.m_at; }
    auto operator<=>(const PlaceIterator&) const = default;

private:
    const List* m_list = nullptr;
    std::ptrdiff_t m_at = 0;
};

} // namespace inkpeg
