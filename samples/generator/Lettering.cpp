// SPDX-License-Identifier: GPL-3.0-or-later
#include "samples/generator/Lettering.h"

#include <cctype>
#include <map>
#include <string>

namespace inkpeg::demo {

namespace {

/// Strokes as pairs of figures (x 0 to 4, y 0 to 6), parted by blanks.
const std::map<char, std::string>& letters()
{
    static const std::map<char, std::string> table = {
        {'0', "100105163645413010"},
        {'1', "142620 1030"},
        {'2', "05163645440040"},
        {'3', "05163645443313 3342413010 1001"},
        {'4', "360242 3530"},
        {'5', "4606033342413010 1001"},
        {'6', "3616050110304142331302"},
        {'7', "064610"},
        {'8', "13040516364544331302011030414233"},
        {'9', "4313040516364541301001"},
        {'A', "002640 1232"},
        {'B', "0006364544330333424130 3000"},
        {'C', "4536160501103041"},
        {'D', "000636454130 3000"},
        {'E', "46060040 0333"},
        {'F', "460600 0333"},
        {'G', "453616050110304143 4323"},
        {'H', "0006 4640 0343"},
        {'I', "2026 1636 1030"},
        {'J', "464130100102"},
        {'K', "0006 4603 1440"},
        {'L', "060040"},
        {'M', "0006244640"},
        {'N', "00064046"},
        {'O', "100105163645413010"},
        {'P', "0006364544330333 3303"},
        {'Q', "100105163645413010 2240"},
        {'R', "00063645443303 2340"},
        {'S', "4536160504134241 41301001"},
        {'T', "0646 2620"},
        {'U', "060110304146"},
        {'V', "062046"},
        {'W', "0610243046"},
        {'X', "0046 0640"},
        {'Y', "062346 2320"},
        {'Z', "06460040"},
        {'/', "0046"},
        {'.', "1011"},
        {',', "2110"},
        {':', "1111 1414"},
        {'-', "0333"},
        {'+', "2125 0343"},
        {'=', "0242 0444"},
    };
    return table;
}

std::vector<LetterStroke> brackets(char letter)
{
    switch (letter) {
    case '[':
        return {{{3, 6.6}, {1, 6.6}, {1, -0.8}, {3, -0.8}}};
    case ']':
        return {{{1, 6.6}, {3, 6.6}, {3, -0.8}, {1, -0.8}}};
    case '(':
        return {{{3, 6.8}, {1.8, 5}, {1.4, 3}, {1.8, 1}, {3, -0.8}}};
    case ')':
        return {{{1, 6.8}, {2.2, 5}, {2.6, 3}, {2.2, 1}, {1, -0.8}}};
    default:
        return {};
    }
}

} // namespace

std::vector<LetterStroke> strokesOf(char letter)
{
    std::vector<LetterStroke> strokes = brackets(letter);
    if (!strokes.empty())
        return strokes;
    const auto found = letters().find(static_cast<char>(std::toupper(static_cast<unsigned char>(letter))));
    if (found == letters().end())
        return strokes;
    strokes.emplace_back();
    const std::string& figures = found->second;
    for (std::size_t i = 0; i < figures.size();) {
        if (figures[i] == ' ') {
            strokes.emplace_back();
            ++i;
            continue;
        }
        strokes.back().push_back(
            {static_cast<double>(figures[i] - '0'), static_cast<double>(figures[i + 1] - '0')});
        i += 2;
    }
    return strokes;
}

double letterAdvance(char letter)
{
    switch (letter) {
    case ' ':
        return 3.6;
    case '.':
    case ',':
    case ':':
        return 2.8;
    case '(':
    case ')':
    case '[':
    case ']':
        return 4;
    default:
        return 5.4;
    }
}

} // namespace inkpeg::demo
