// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/Text.h"

#include <array>
#include <charconv>
#include <cmath>
#include <cstdint>

namespace inkpeg {

std::string fixed(double value, int decimals)
{
    std::array<char, 400> buffer{};
    const auto end = std::to_chars(buffer.data(), buffer.data() + buffer.size(), value,
                                   std::chars_format::fixed, decimals);
    std::string text(buffer.data(), end.ptr);
    if (text.starts_with('-') && text.find_first_not_of("-0.") == std::string::npos)
        text.erase(0, 1);
    return text;
}

std::string exact(double value)
{
    std::array<char, 64> buffer{};
    const auto end = std::to_chars(buffer.data(), buffer.data() + buffer.size(), value);
    return {buffer.data(), end.ptr};
}

namespace {

template<typename Number>
std::optional<Number> parseWhole(std::string_view text, Number value)
{
    text = trimmed(text);
    if (text.starts_with('+'))
        text.remove_prefix(1);
    const auto end = std::from_chars(text.data(), text.data() + text.size(), value);
    if (text.empty() || end.ec != std::errc() || end.ptr != text.data() + text.size())
        return std::nullopt;
    return value;
}

} // namespace

std::optional<double> parseNumber(std::string_view text)
{
    const std::optional<double> value = parseWhole(text, 0.0);
    return value && std::isfinite(*value) ? value : std::nullopt;
}

std::optional<long long> parseWhole(std::string_view text)
{
    return parseWhole(text, 0LL);
}

std::string_view trimmed(std::string_view text)
{
    constexpr std::string_view White = " \t\r\n\f\v";
    const auto first = text.find_first_not_of(White);
    if (first == std::string_view::npos)
        return {};
    return text.substr(first, text.find_last_not_of(White) - first + 1);
}

std::string lowerAscii(std::string_view text)
{
    std::string lower(text);
    for (char& c : lower)
        if (c >= 'A' && c <= 'Z')
            c = static_cast<char>(c - 'A' + 'a');
    return lower;
}

bool isUtf8(std::string_view text)
{
    const auto byteAt = [&](std::size_t i) { return static_cast<std::uint8_t>(text[i]); };
    std::size_t i = 0;
    while (i < text.size()) {
        const std::uint8_t lead = byteAt(i);
        const std::size_t length = lead < 0x80                   ? 1
                                   : lead >= 0xC2 && lead < 0xE0 ? 2
                                   : lead >= 0xE0 && lead < 0xF0 ? 3
                                   : lead >= 0xF0 && lead < 0xF5 ? 4
                                                                 : 0;
        if (length == 0 || i + length > text.size())
            return false;
        for (std::size_t k = 1; k < length; ++k)
            if ((byteAt(i + k) & 0xC0U) != 0x80U)
                return false;
        if (length > 1) {
            // Overlong forms, surrogates and values past U+10FFFF show in the second byte.
            const std::uint8_t second = byteAt(i + 1);
            if ((lead == 0xE0 && second < 0xA0) || (lead == 0xED && second > 0x9F) ||
                (lead == 0xF0 && second < 0x90) || (lead == 0xF4 && second > 0x8F))
                return false;
        }
        i += length;
    }
    return true;
}

} // namespace inkpeg
