// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/Clock.h"

#include <array>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <ctime>

#include "core/base/Text.h"

namespace inkpeg {

std::string utcNow()
{
    using namespace std::chrono;
    milliseconds sinceEpoch = duration_cast<milliseconds>(system_clock::now().time_since_epoch());
    if (const char* fixedEpoch = std::getenv("SOURCE_DATE_EPOCH"))
        if (const auto seconds = parseWhole(fixedEpoch); seconds && *seconds >= 0)
            sinceEpoch = milliseconds(*seconds * 1000);
    const std::time_t seconds = static_cast<std::time_t>(sinceEpoch.count() / 1000);
    std::tm parts{};
    gmtime_r(&seconds, &parts);
    std::array<char, 64> text{};
    const std::size_t length = std::strftime(text.data(), text.size(), "%Y-%m-%dT%H:%M:%S", &parts);
    std::array<char, 8> milli{};
    std::snprintf(milli.data(), milli.size(), ".%03dZ", static_cast<int>(sinceEpoch.count() % 1000));
    return std::string(text.data(), length) + milli.data();
}

} // namespace inkpeg
