// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/OutlineRegister.h"

#include "core/records/Schema.h"

namespace inkpeg {

void OutlineRegister::read(const Project& project)
{
    m_contexts.clear();
    m_ids.clear();
    for (auto& [id, context] : project.outlineContexts()) {
        m_ids[context].insert(id);
        m_contexts.emplace(id, std::move(context));
    }
}

void OutlineRegister::update(const Project& project, const std::vector<TouchedRow>& rows)
{
    for (const TouchedRow& row : rows) {
        if (row.table != tableOf<Outline>().name)
            continue;
        if (const auto was = m_contexts.find(row.id); was != m_contexts.end()) {
            const auto held = m_ids.find(was->second);
            held->second.erase(row.id);
            if (held->second.empty())
                m_ids.erase(held);
            m_contexts.erase(was);
        }
        if (const auto is = project.byId<Outline>(row.id)) {
            m_contexts[row.id] = is->context;
            m_ids[is->context].insert(row.id);
        }
    }
}

const std::set<std::int64_t>& OutlineRegister::outlinesOf(const std::string& context) const
{
    static const std::set<std::int64_t> none;
    const auto held = m_ids.find(context);
    return held == m_ids.end() ? none : held->second;
}

} // namespace inkpeg
