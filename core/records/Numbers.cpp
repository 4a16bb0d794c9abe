// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/records/Numbers.h"

#include <algorithm>

#include "core/base/Text.h"

namespace inkpeg {

namespace {

constexpr std::size_t FewestRangeDigits = 3;
constexpr long long LongestRange = 200;

bool isDigit(char c)
{
    return c >= '0' && c <= '9';
}

bool isAllDigits(std::string_view text)
{
    return !text.empty() && std::all_of(text.begin(), text.end(), isDigit);
}

/// Adds each number of a range, if `text` is one.
bool addRange(std::string_view text, std::vector<std::string>& numbers)
{
    constexpr std::string_view EnDash = "\xE2\x80\x93";
    std::size_t dash = text.find('-');
    std::size_t width = 1;
    if (dash == std::string_view::npos) {
        dash = text.find(EnDash);
        width = EnDash.size();
    }
    if (dash == std::string_view::npos)
        return false;
    const std::string first = plainNumber(text.substr(0, dash));
    const std::string last = plainNumber(text.substr(dash + width));
    if (!isAllDigits(first) || !isAllDigits(last) || first.size() != last.size() ||
        first.size() < FewestRangeDigits)
        return false;
    const auto from = parseWhole(first);
    const auto to = parseWhole(last);
    if (!from || !to || *from >= *to || *to - *from > LongestRange)
        return false;
    for (long long number = *from; number <= *to; ++number) {
        std::string digits = std::to_string(number);
        digits.insert(0, first.size() - digits.size(), '0');
        numbers.push_back(std::move(digits));
    }
    return true;
}

/// Takes the run of digits, without noughts before it, or the one other character that `text` begins with.
std::string_view takePiece(std::string_view& text)
{
    std::size_t count = 1;
    if (isDigit(text[0]))
        while (count < text.size() && isDigit(text[count]))
            ++count;
    std::string_view piece = text.substr(0, count);
    text.remove_prefix(count);
    while (piece.size() > 1 && piece[0] == '0')
        piece.remove_prefix(1);
    return piece;
}

} // namespace

std::string plainNumber(std::string_view text)
{
    text = trimmed(text);
    for (const std::string_view pair : {"[]", "()", "<>"})
        if (text.size() > 2 && text.front() == pair[0] && text.back() == pair[1])
            return std::string(trimmed(text.substr(1, text.size() - 2)));
    return std::string(text);
}

std::string contextNumberShown(const Context& context)
{
    return lowerAscii(context.kind) == "cut" ? "[" + context.number + "]" : "(" + context.number + ")";
}

std::string sampleNumberShown(const Sample& sample)
{
    return "<" + sample.number + ">";
}

std::vector<std::string> numbersNamed(std::string_view text)
{
    std::vector<std::string> numbers;
    constexpr std::string_view Between = " \t\r\n,;";
    for (std::size_t from = text.find_first_not_of(Between); from != std::string_view::npos;) {
        const std::size_t to = std::min(text.find_first_of(Between, from), text.size());
        const std::string_view piece = text.substr(from, to - from);
        if (!addRange(piece, numbers))
            numbers.push_back(plainNumber(piece));
        from = text.find_first_not_of(Between, to);
    }
    return numbers;
}

bool numberBefore(std::string_view a, std::string_view b)
{
    const std::string_view wholeA = a;
    const std::string_view wholeB = b;
    while (!a.empty() && !b.empty()) {
        const std::string_view pieceA = takePiece(a);
        const std::string_view pieceB = takePiece(b);
        if (pieceA == pieceB)
            continue;
        // Without noughts before them, the longer of two runs of digits is the greater.
        if (isDigit(pieceA[0]) && isDigit(pieceB[0]) && pieceA.size() != pieceB.size())
            return pieceA.size() < pieceB.size();
        return pieceA < pieceB;
    }
    // 007 and 7 have the same value; the text decides, so that no two numbers are equal in order.
    return a.empty() == b.empty() ? wholeA < wholeB : a.empty();
}

} // namespace inkpeg
