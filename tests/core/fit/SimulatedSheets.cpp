// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/core/fit/SimulatedSheets.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "core/base/Text.h"

namespace inkpeg {

namespace {

constexpr double PointingMm = 0.10;

double uniform(std::mt19937& random, double low, double high)
{
    return std::uniform_real_distribution<double>(low, high)(random);
}
std::size_t pick(std::mt19937& random, std::size_t count)
{
    return std::uniform_int_distribution<std::size_t>(0, count - 1)(random);
}

struct Peg {
    RegisteredPeg surveyed;
    GroundM true_;
    int column = 0, row = 0;
};

/// Pegs of a 4 x 3 grid (or 3 x 3) and two lines around it.
std::vector<Peg> pegGrid(double spacingM, int columns, int rows, std::mt19937& random)
{
    const double east = 562000 + std::floor(uniform(random, 0, 900)),
                 north = 5800000 + std::floor(uniform(random, 0, 900));
    std::normal_distribution<double> normal;
    std::vector<Peg> pegs;
    for (int column = -2; column < columns + 2; ++column)
        for (int row = -2; row < rows + 2; ++row) {
            Peg peg;
            peg.column = column;
            peg.row = row;
            peg.surveyed.name = std::to_string(column + 3) + "/" + std::to_string(row + 3);
            const double error = uniform(random, 0.005, 0.010);
            peg.surveyed.standardErrorEastM = peg.surveyed.standardErrorNorthM = error;
            // Pegs are driven by hand: a few centimetres off the grid, then surveyed and written to the
            // millimetre.
            peg.true_ = {east + column * spacingM + uniform(random, -0.03, 0.03),
                         north + row * spacingM + uniform(random, -0.03, 0.03)};
            const auto written = [&](double value) {
                return std::round((value + error * normal(random)) * 1000) / 1000;
            };
            peg.surveyed.ground = {written(peg.true_.east), written(peg.true_.north)};
            pegs.push_back(peg);
        }
    return pegs;
}

ControlPoint tied(FilmMm film, const RegisteredPeg& peg)
{
    return {.peg = peg.name,
            .film = film,
            .ground = peg.ground,
            .standardErrorEastM = peg.standardErrorEastM,
            .standardErrorNorthM = peg.standardErrorNorthM};
}

/// One coordinate of the pin, in the register too.
double& coordinate(SimulatedSheet& sheet, std::size_t pin, bool east)
{
    return east ? sheet.pins[pin].ground.east : sheet.pins[pin].ground.north;
}

void intoRegister(SimulatedSheet& sheet, std::size_t pin)
{
    for (RegisteredPeg& peg : sheet.settings.pegs)
        if (peg.name == sheet.pins[pin].peg)
            peg.ground = sheet.pins[pin].ground;
}

double standardErrorM(const SimulatedSheet& sheet, std::size_t pin)
{
    return std::hypot(sheet.pins[pin].standardErrorEastM,
                      groundMFromFilmMm(PointingMm, sheet.settings.fit.scaleDenominator));
}

void plantTransposition(SimulatedSheet& sheet, std::size_t pin, std::mt19937& random)
{
    for (;;) { // draw until a pair of digits differs by enough to matter: five standard errors
        double& value = coordinate(sheet, pin, pick(random, 2) == 0);
        std::string text = fixed(value, 3);
        const std::size_t i = pick(random, text.size() - 1);
        const std::size_t next = text[i + 1] == '.' ? i + 2 : i + 1;
        if (text[i] == '.')
            continue;
        std::swap(text[i], text[next]);
        const double changed = parseNumber(text).value();
        if (std::abs(changed - value) < 5 * standardErrorM(sheet, pin))
            continue;
        value = changed;
        return;
    }
}

void plantInPin(SimulatedSheet& sheet, BlunderKind kind, const std::vector<Peg>& pegs, std::mt19937& random)
{
    const std::size_t pin = pick(random, sheet.pins.size());
    sheet.planted = {pin};
    const bool east = pick(random, 2) == 0;
    const double sign = pick(random, 2) == 0 ? -1 : 1;
    constexpr double Slips[] = {1, 5, 10};
    switch (kind) {
    case BlunderKind::SwappedPins: {
        std::size_t other = pick(random, sheet.pins.size() - 1);
        other += other >= pin ? 1 : 0;
        const FilmMm mark = sheet.pins[pin].film, otherMark = sheet.pins[other].film;
        std::swap(sheet.pins[pin], sheet.pins[other]);
        sheet.pins[pin].film = mark;
        sheet.pins[other].film = otherMark;
        sheet.planted = {std::min(pin, other), std::max(pin, other)};
        return;
    }
    case BlunderKind::EastNorthExchanged:
        std::swap(sheet.pins[pin].ground.east, sheet.pins[pin].ground.north);
        break;
    case BlunderKind::TransposedDigits:
        plantTransposition(sheet, pin, random);
        break;
    case BlunderKind::CoordinateSlip:
        coordinate(sheet, pin, east) += sign * Slips[pick(random, 3)];
        break;
    case BlunderKind::GrossError:
        coordinate(sheet, pin, east) += sign * uniform(random, 5, 50) * standardErrorM(sheet, pin);
        break;
    case BlunderKind::WrongPegOfLine: {
        const auto own = std::find_if(pegs.begin(), pegs.end(),
                                      [&](const Peg& p) { return p.surveyed.name == sheet.pins[pin].peg; });
        std::vector<const Peg*> sameLine;
        for (const Peg& peg : pegs)
            if ((peg.column == own->column) != (peg.row == own->row))
                sameLine.push_back(&peg);
        sheet.pins[pin] = tied(sheet.pins[pin].film, sameLine[pick(random, sameLine.size())]->surveyed);
        return; // the register is right
    }
    default:
        break;
    }
    intoRegister(sheet, pin);
}

void plantInSheet(SimulatedSheet& sheet, BlunderKind kind, int columns, int rows, std::mt19937& random)
{
    if (kind == BlunderKind::MirroredFilm)
        for (ControlPoint& pin : sheet.pins)
            pin.film.x = 420 - pin.film.x;
    if (kind == BlunderKind::WrongScale) {
        constexpr double Scales[] = {10, 20, 50, 100};
        do
            sheet.settings.fit.scaleDenominator = Scales[pick(random, 4)];
        while (sheet.settings.fit.scaleDenominator == sheet.rightScaleDenominator);
    }
    if (kind == BlunderKind::TurnedSheet) {
        // Pins stand column by column; a quarter turn needs a square grid.
        const int quarters = columns == rows ? 1 + static_cast<int>(pick(random, 3)) : 2;
        for (int turn = 0; turn < quarters; ++turn) {
            std::vector<ControlPoint> turned = sheet.pins;
            for (int column = 0; column < columns; ++column)
                for (int row = 0; row < rows; ++row) {
                    const int from = columns == rows ? (columns - 1 - row) * rows + column
                                                     : columns * rows - 1 - (column * rows + row);
                    const auto to = static_cast<std::size_t>(column * rows + row);
                    turned[to] = sheet.pins[static_cast<std::size_t>(from)];
                    turned[to].film = sheet.pins[to].film;
                }
            sheet.pins = std::move(turned);
            if (columns != rows)
                break;
        }
    }
}

} // namespace

SimulatedSheet simulateSheet(std::optional<BlunderKind> kind, Model model, std::mt19937& random)
{
    constexpr std::pair<double, double> ScaleAndSpacing[] = {{10, 1}, {20, 2}, {50, 5}};
    const auto [scale, spacing] = ScaleAndSpacing[pick(random, 3)];
    const bool turned = kind == BlunderKind::TurnedSheet;
    const int columns = turned && pick(random, 2) == 0 ? 3 : 4, rows = 3;
    const std::vector<Peg> pegs = pegGrid(spacing, columns, rows, random);

    SimulatedSheet sheet;
    sheet.rightScaleDenominator = scale;
    sheet.settings.fit = {.model = model, .scaleDenominator = scale, .pinPointingMm = PointingMm};
    sheet.settings.expectedTurnRad = 0;
    const double turn = uniform(random, -0.1, 0.1), stretch = uniform(random, -0.003, 0.003);
    const double stretchY = model == Model::Similarity ? stretch : uniform(random, -0.003, 0.003);
    std::normal_distribution<double> pointing(0, PointingMm);
    const GroundM corner = pegs.front().true_;
    for (const Peg& peg : pegs) {
        sheet.settings.pegs.push_back(peg.surveyed);
        if (peg.column < 0 || peg.row < 0 || peg.column >= columns || peg.row >= rows)
            continue;
        const double x = filmMmFromGroundM(peg.true_.east - corner.east, scale) - 150;
        const double y = filmMmFromGroundM(peg.true_.north - corner.north, scale) - 150;
        const FilmMm mark{(1 + stretch) * (std::cos(turn) * x - std::sin(turn) * y) + pointing(random),
                          (1 + stretchY) * (std::sin(turn) * x + std::cos(turn) * y) + pointing(random)};
        sheet.pins.push_back(tied(mark, peg.surveyed));
    }
    if (!turned) { // not every cross carries a pin; three stay spare
        const auto fewest = static_cast<std::size_t>(fewestPins(model)) + 3;
        const std::size_t count = fewest + pick(random, sheet.pins.size() - fewest + 1);
        std::shuffle(sheet.pins.begin(), sheet.pins.end(), random);
        sheet.pins.resize(count);
    }
    sheet.right = sheet.pins;
    if (kind == BlunderKind::MirroredFilm || kind == BlunderKind::WrongScale || turned)
        plantInSheet(sheet, *kind, columns, rows, random);
    else if (kind)
        plantInPin(sheet, *kind, pegs, random);
    return sheet;
}

} // namespace inkpeg
