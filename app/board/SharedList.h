// SPDX-License-Identifier: GPL-3.0-or-later
// A list of values that are shared and never changed: a copy of the list costs nothing, and where a list
// came of another, what they have in common is told without looking into it. So a picture can be made of a
// scene in another thread while the window goes on with the next one.
#pragma once

#include <cstddef>
#include <initializer_list>
#include <memory>
#include <utility>
#include <vector>

#include "app/board/PlaceIterator.h"

namespace inkpeg {

template<typename Item>
class SharedList {
public:
    using Shared = std::shared_ptr<const Item>;

    using Iterator = PlaceIterator<SharedList, Item>;

    SharedList() = default;
    SharedList(std::initializer_list<Item> items) : SharedList(std::vector<Item>(items)) {}
    SharedList(std::vector<Item> items)
    {
        auto held = std::make_shared<std::vector<Shared>>();
        held->reserve(items.size());
        for (Item& item : items)
            held->push_back(std::make_shared<const Item>(std::move(item)));
        m_items = std::move(held);
    }

    std::size_t size() const { return m_items ? m_items->size() : 0; }
    bool empty() const { return size() == 0; }
    Iterator begin() const { return {this, 0}; }
    Iterator end() const { return {this, size()}; }
    const Item& operator[](std::size_t i) const { return *(*m_items)[i]; }
    const Item& front() const { return *m_items->front(); }
    const Item& back() const { return *m_items->back(); }

    void clear() { m_items.reset(); }
    void push_back(Item item) { push_back(std::make_shared<const Item>(std::move(item))); }
    void push_back(Shared item) { own().push_back(std::move(item)); }

    /// The very same items, not items that are alike.
    bool sameAs(const SharedList& other) const
    {
        if (m_items == other.m_items)
            return true;
        return size() == other.size() && (empty() || *m_items == *other.m_items);
    }

private:
    /// The items to be changed: those of this list alone.
    std::vector<Shared>& own()
    {
        if (!m_items)
            m_items = std::make_shared<std::vector<Shared>>();
        else if (m_items.use_count() > 1)
            m_items = std::make_shared<std::vector<Shared>>(*m_items);
        return *m_items;
    }

    std::shared_ptr<std::vector<Shared>> m_items;
};

} // namespace inkpeg
