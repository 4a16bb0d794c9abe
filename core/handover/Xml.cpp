// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/Xml.h"

#include "core/base/Text.h"

namespace inkpeg {

std::string xmlText(const std::string& text)
{
    if (!isUtf8(text))
        return "?";
    std::string escaped;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char c = text[i];
        // U+FFFE and U+FFFF are no characters of XML
        const bool none = static_cast<unsigned char>(c) == 0xEF && i + 2 < text.size() &&
                          static_cast<unsigned char>(text[i + 1]) == 0xBF &&
                          static_cast<unsigned char>(text[i + 2]) >= 0xBE;
        if (c == '&')
            escaped += "&amp;";
        else if (c == '<')
            escaped += "&lt;";
        else if (c == '>')
            escaped += "&gt;";
        else if (none || (static_cast<unsigned char>(c) < 0x20 && c != '\t' && c != '\n' && c != '\r'))
            escaped += "\xEF\xBF\xBD";
        else
            escaped += c;
        i += none ? 2 : 0;
    }
    return escaped;
}

} // namespace inkpeg
