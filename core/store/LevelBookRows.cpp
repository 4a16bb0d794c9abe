// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/LevelBookRows.h"

#include <algorithm>

namespace inkpeg {

std::vector<LevelReading> readingsOf(const Project& project, const std::string& book)
{
    std::vector<LevelReading> held;
    for (LevelReading& reading : project.all<LevelReading>())
        if (reading.book == book)
            held.push_back(std::move(reading));
    std::ranges::stable_sort(held, {}, &LevelReading::line);
    return held;
}

Result<void> replaceReadings(Editor& edit, LevelBook book, const std::vector<LevelReading>& held,
                             std::vector<LevelReading> readings)
{
    if (const Result<void> put = edit.put(book); !put)
        return put;
    for (const LevelReading& former : held)
        if (const Result<void> removed = edit.remove<LevelReading>(former.id); !removed)
            return removed;
    for (LevelReading& reading : readings)
        if (const Result<void> put = edit.put(reading); !put)
            return put;
    return {};
}

} // namespace inkpeg
