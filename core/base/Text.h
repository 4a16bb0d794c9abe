// SPDX-License-Identifier: GPL-3.0-or-later
// Small pieces of text handling that do not depend on the locale of the machine.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace inkpeg {

/// `value` with exactly `decimals` digits after a point, never "-0.00"; for people and for CSV.
std::string fixed(double value, int decimals);

/// The shortest text that reads back as exactly `value`.
std::string exact(double value);

/// The number that the whole of `text` spells (blanks around it allowed; point as decimal mark), or nothing.
std::optional<double> parseNumber(std::string_view text);

/// The whole number that the whole of `text` spells, or nothing.
std::optional<long long> parseWhole(std::string_view text);

/// `text` without white space at both ends.
std::string_view trimmed(std::string_view text);

/// ASCII letters in lower case; all other bytes as they are.
std::string lowerAscii(std::string_view text);

/// True if `text` is well-formed UTF-8 (RFC 3629).
bool isUtf8(std::string_view text);

} // namespace inkpeg
