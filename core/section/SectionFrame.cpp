// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/section/SectionFrame.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <numbers>
#include <numeric>

#include "core/base/Text.h"

namespace inkpeg {

namespace {

constexpr double Turn = 2 * std::numbers::pi;
constexpr double MetresPerFoot = 0.3048;

Error badSection(const std::string& name, const std::string& what)
{
    return {ErrorCode::BadInput, "section " + name + ": " + what};
}

double cross(GroundM o, GroundM a, GroundM b)
{
    return (a.east - o.east) * (b.north - o.north) - (a.north - o.north) * (b.east - o.east);
}

bool legsMeet(GroundM a, GroundM b, GroundM c, GroundM d)
{
    const auto within = [](GroundM p, GroundM from, GroundM to) {
        return std::min(from.east, to.east) <= p.east && p.east <= std::max(from.east, to.east) &&
               std::min(from.north, to.north) <= p.north && p.north <= std::max(from.north, to.north);
    };
    const double sideA = cross(c, d, a), sideB = cross(c, d, b), sideC = cross(a, b, c),
                 sideD = cross(a, b, d);
    if (sideA * sideB < 0 && sideC * sideD < 0)
        return true;
    return (sideA == 0 && within(a, c, d)) || (sideB == 0 && within(b, c, d)) ||
           (sideC == 0 && within(c, a, b)) || (sideD == 0 && within(d, a, b));
}

std::string legName(const std::vector<SectionNail>& nails, std::size_t leg)
{
    return nails[leg].name + "-" + nails[leg + 1].name;
}

/// Each piece of the line needs two nails, to know which way it goes.
Result<void> checkPieces(const std::string& name, const std::vector<SectionNail>& nails)
{
    if (nails.size() < 2)
        return badSection(name, std::to_string(nails.size()) + " nails; its line needs A and B at least");
    for (std::size_t i = 0; i < nails.size(); ++i)
        if ((i == 0 || nails[i].afterStep) && (i + 1 == nails.size() || nails[i + 1].afterStep))
            return badSection(name, "the piece at nail " + nails[i].name +
                                        " has one nail; a piece between steps needs one at either end");
    return {};
}

Result<void> checkLine(const std::string& name, const std::vector<SectionNail>& nails)
{
    constexpr double SamePlaceM = 0.001;
    for (std::size_t i = 0; i + 1 < nails.size(); ++i) {
        if (nails[i + 1].afterStep)
            continue;
        if (distance(nails[i].position, nails[i + 1].position) < SamePlaceM)
            return badSection(name, "nails " + nails[i].name + " and " + nails[i + 1].name +
                                        " are in one place; check their E and N");
        if (i == 0 || nails[i].afterStep)
            continue;
        const GroundM a = nails[i - 1].position, b = nails[i].position, c = nails[i + 1].position;
        const double dot =
            (b.east - a.east) * (c.east - b.east) + (b.north - a.north) * (c.north - b.north);
        if (dot < 0 && std::abs(cross(a, b, c)) < SamePlaceM * distance(a, b))
            return badSection(name, "its line turns back on itself at " + nails[i].name +
                                        "; check the order of the nails");
    }
    for (std::size_t i = 0; i + 1 < nails.size(); ++i)
        for (std::size_t j = i + 2; j + 1 < nails.size(); ++j)
            if (!nails[i + 1].afterStep && !nails[j + 1].afterStep &&
                legsMeet(nails[i].position, nails[i + 1].position, nails[j].position,
                         nails[j + 1].position))
                return badSection(name, "its line crosses itself: " + legName(nails, i) + " and " +
                                            legName(nails, j) + "; check the order of the nails");
    return {};
}

Result<void> checkDatum(const std::string& name, const std::vector<SectionNail>& nails,
                        std::optional<double> datumM)
{
    if (!datumM || !std::isfinite(*datumM))
        return badSection(name, "no datum level; give the level of its datum line in metres");
    double sum = 0;
    int levelled = 0;
    for (const SectionNail& nail : nails)
        if (nail.levelM) {
            sum += *nail.levelM;
            ++levelled;
        }
    // No drawn face is so high that its datum lies twenty metres off its nails.
    constexpr double FarM = 20.0;
    if (levelled == 0 || std::abs(*datumM - sum / levelled) <= FarM)
        return {};
    const std::string facts =
        "its datum " + fixed(*datumM, 2) + " lies far from its nails at " + fixed(sum / levelled, 2) + " m";
    if (std::abs(*datumM * MetresPerFoot - sum / levelled) <= 5.0)
        return badSection(name, facts + "; in feet it would be " + fixed(*datumM * MetresPerFoot, 2) +
                                    " m: give it in metres");
    return badSection(name, facts + "; check both");
}

constexpr std::array<const char*, 16> Points = {"N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE",
                                                "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"};

std::optional<double> bearingNamed(const std::string& text)
{
    std::string name = lowerAscii(trimmed(text));
    for (const auto& [word, letter] :
         {std::pair{"north", "n"}, std::pair{"east", "e"}, std::pair{"south", "s"}, std::pair{"west", "w"}})
        for (std::size_t at = name.find(word); at != std::string::npos; at = name.find(word))
            name.replace(at, std::string(word).size(), letter);
    std::erase_if(name, [](char c) { return c == '-' || c == ' '; });
    for (std::size_t i = 0; i < Points.size(); ++i)
        if (name == lowerAscii(Points[i]))
            return static_cast<double>(i) * Turn / 16;
    if (const auto degrees = parseNumber(name); degrees && *degrees >= 0 && *degrees <= 360)
        return *degrees * Turn / 360;
    return std::nullopt;
}

} // namespace

Result<SectionFrame> SectionFrame::through(const std::string& name, std::vector<SectionNail> nails,
                                           std::optional<double> datumM)
{
    if (auto pieces = checkPieces(name, nails); !pieces)
        return pieces.error();
    if (auto line = checkLine(name, nails); !line)
        return line.error();
    if (auto datum = checkDatum(name, nails, datumM); !datum)
        return datum.error();
    SectionFrame frame;
    frame.m_name = name;
    frame.m_nails = std::move(nails);
    frame.m_datumM = *datumM;
    frame.m_alongM = {0.0};
    for (std::size_t i = 0; i + 1 < frame.m_nails.size(); ++i)
        frame.m_alongM.push_back(
            frame.m_alongM.back() +
            (frame.isStep(i) ? 0 : distance(frame.m_nails[i].position, frame.m_nails[i + 1].position)));
    return frame;
}

std::vector<double> SectionFrame::stepsM() const
{
    std::vector<double> steps;
    for (std::size_t leg = 0; leg + 1 < m_nails.size(); ++leg)
        if (isStep(leg))
            steps.push_back(m_alongM[leg]);
    return steps;
}

std::size_t SectionFrame::legAt(double alongM, std::size_t first, std::size_t last) const
{
    std::size_t leg = first;
    while (leg < last && alongM > m_alongM[leg + 1])
        ++leg;
    return leg;
}

SpacePoint SectionFrame::onLeg(std::size_t leg, SectionPoint p) const
{
    const GroundM a = m_nails[leg].position, b = m_nails[leg + 1].position;
    const double share = (p.alongM - m_alongM[leg]) / (m_alongM[leg + 1] - m_alongM[leg]);
    return {a.east + share * (b.east - a.east), a.north + share * (b.north - a.north), p.levelM};
}

SpacePoint SectionFrame::toSpace(SectionPoint p) const
{
    // A step has no length, so no distance ends on it: it lies before the step or after.
    return onLeg(legAt(p.alongM, 0, m_nails.size() - 2), p);
}

SectionFoot SectionFrame::footOf(GroundM place) const
{
    SectionFoot best;
    double bestAway = -1;
    for (std::size_t leg = 0; leg + 1 < m_nails.size(); ++leg) {
        if (isStep(leg))
            continue;
        const GroundM a = m_nails[leg].position, b = m_nails[leg + 1].position;
        const double length = m_alongM[leg + 1] - m_alongM[leg];
        double along =
            ((place.east - a.east) * (b.east - a.east) + (place.north - a.north) * (b.north - a.north)) /
            length;
        if (leg > 0)
            along = std::max(along, 0.0);
        if (leg + 2 < m_nails.size())
            along = std::min(along, length);
        const GroundM foot = {a.east + along / length * (b.east - a.east),
                              a.north + along / length * (b.north - a.north)};
        const double away = distance(place, foot);
        if (bestAway < 0 || away < bestAway) {
            bestAway = away;
            best = {m_alongM[leg] + along, std::copysign(away, cross(a, b, place)), leg};
        }
    }
    return best;
}

std::vector<SpacePoint> SectionFrame::toSpace(std::span<const SectionPoint> line, bool closed) const
{
    return between(line, closed, 0, m_nails.size() - 2);
}

std::vector<SpacePoint> SectionFrame::toSpace(std::span<const SectionPoint> line, bool closed,
                                              std::size_t piece) const
{
    std::size_t first = 0;
    for (std::size_t passed = 0; passed < piece && first + 2 < m_nails.size(); ++first)
        passed += isStep(first) ? 1 : 0;
    std::size_t last = first;
    while (last + 2 < m_nails.size() && !isStep(last + 1))
        ++last;
    return between(line, closed, first, last);
}

std::vector<SpacePoint> SectionFrame::between(std::span<const SectionPoint> line, bool closed,
                                              std::size_t firstLeg, std::size_t lastLeg) const
{
    std::vector<SpacePoint> places;
    const std::size_t count = line.size();
    for (std::size_t i = 0; i < count; ++i) {
        const std::size_t leg = legAt(line[i].alongM, firstLeg, lastLeg);
        places.push_back(onLeg(leg, line[i]));
        if (i + 1 == count && !closed)
            break;
        // The nails passed on the way to the next place; both ends of a step are.
        const SectionPoint from = line[i], to = line[(i + 1) % count];
        const std::size_t next = legAt(to.alongM, firstLeg, lastLeg);
        const bool onwards = next > leg;
        const std::size_t passed = onwards ? next - leg : leg - next;
        for (std::size_t k = 1; k <= passed; ++k) {
            const std::size_t nail = onwards ? leg + k : leg + 1 - k;
            const double along = m_alongM[nail];
            if ((onwards && k == 1 && along == from.alongM) ||
                (!onwards && k == passed && along == to.alongM))
                continue; // the place itself is that nail
            const double share = (along - from.alongM) / (to.alongM - from.alongM);
            places.push_back({m_nails[nail].position.east, m_nails[nail].position.north,
                              from.levelM + share * (to.levelM - from.levelM)});
        }
    }
    return places;
}

namespace {

/// The line in two lists and more, parted where it passes a distance along.
std::vector<std::vector<SectionPoint>> partedAt(const std::vector<SectionPoint>& line, double stepM)
{
    std::vector<std::vector<SectionPoint>> parts(1);
    double side = 0; // of the places so far that do not lie at the step itself
    for (const SectionPoint& place : line) {
        const double here = place.alongM - stepM;
        if (here * side < 0) {
            SectionPoint cut = parts.back().back();
            if (cut.alongM != stepM) {
                const double share = (stepM - cut.alongM) / (place.alongM - cut.alongM);
                cut = {stepM, cut.levelM + share * (place.levelM - cut.levelM)};
                parts.back().push_back(cut);
            }
            parts.push_back({cut});
        }
        if (here != 0)
            side = here;
        parts.back().push_back(place);
    }
    return parts;
}

} // namespace

std::vector<SectionStretch> SectionFrame::stretchesOf(std::span<const SectionPoint> line) const
{
    std::vector<std::vector<SectionPoint>> lines{{line.begin(), line.end()}};
    const std::vector<double> steps = stepsM();
    for (const double step : steps) {
        std::vector<std::vector<SectionPoint>> parted;
        for (const std::vector<SectionPoint>& whole : lines)
            std::ranges::move(partedAt(whole, step), std::back_inserter(parted));
        lines = std::move(parted);
    }
    std::vector<SectionStretch> stretches;
    for (std::vector<SectionPoint>& one : lines) {
        const DrawnInterval reach = intervalOf(one);
        const double middle = (reach.fromM + reach.toM) / 2;
        const auto passed = std::ranges::count_if(steps, [&](double step) { return step < middle; });
        stretches.push_back({static_cast<std::size_t>(passed), std::move(one)});
    }
    return stretches;
}

double SectionFrame::facingRad() const
{
    GroundM way;
    for (std::size_t leg = 0; leg + 1 < m_nails.size(); ++leg)
        if (!isStep(leg)) {
            way.east += m_nails[leg + 1].position.east - m_nails[leg].position.east;
            way.north += m_nails[leg + 1].position.north - m_nails[leg].position.north;
        }
    double facing = std::atan2(way.east, way.north) + Turn / 4;
    if (facing < 0)
        facing += Turn;
    return facing >= Turn ? facing - Turn : facing;
}

std::string SectionFrame::facingName() const
{
    return Points[static_cast<std::size_t>(std::lround(facingRad() / Turn * 16)) % 16];
}

SectionFrame SectionFrame::turned() const
{
    SectionFrame frame = *this;
    const std::size_t count = m_nails.size();
    std::reverse(frame.m_nails.begin(), frame.m_nails.end());
    for (std::size_t i = 0; i < count; ++i) {
        frame.m_alongM[i] = lengthM() - m_alongM[count - 1 - i];
        frame.m_nails[i].afterStep = i > 0 && m_nails[count - i].afterStep;
    }
    return frame;
}

DrawnInterval intervalOf(std::span<const SectionPoint> line)
{
    if (line.empty())
        return {};
    const auto [least, most] =
        std::minmax_element(line.begin(), line.end(), [](const SectionPoint& a, const SectionPoint& b) {
            return a.alongM < b.alongM;
        });
    return {least->alongM, most->alongM};
}

Result<FacingVerdict> checkFacing(const SectionFrame& frame, const std::string& recordedFacing)
{
    const std::optional<double> recorded = bearingNamed(recordedFacing);
    if (!recorded)
        return badSection(frame.name(),
                          "facing \"" + recordedFacing + "\" is no compass point; write N, NNE, NE, ...");
    const double apart = std::abs(std::remainder(*recorded - frame.facingRad(), Turn));
    constexpr double Rounding = 1e-9;
    if (apart <= Turn / 8 + Rounding)
        return FacingVerdict::Agrees;
    return apart >= 3 * Turn / 8 - Rounding ? FacingVerdict::Reversed : FacingVerdict::AtOdds;
}

Result<double> parseDatum(const std::string& text, const std::string& section)
{
    std::string value = lowerAscii(trimmed(text));
    if (value.empty())
        return badSection(section, "no datum level; give the level of its datum line in metres");
    const std::size_t end = value.find_first_not_of("+-0123456789.");
    const auto number = parseNumber(value.substr(0, end));
    const std::string unit(end == std::string::npos ? std::string_view()
                                                    : trimmed(std::string_view(value).substr(end)));
    if (!number)
        return badSection(section,
                          "datum \"" + text + "\" is no number; give metres with a point, e.g. 41.50");
    if (unit == "ft" || unit == "feet" || unit == "foot" || unit == "'" || unit == "ft.")
        return badSection(section, "datum \"" + text + "\" is in feet; give " +
                                       fixed(*number * MetresPerFoot, 3) + " in metres if that is right");
    if (!unit.empty() && unit != "m" && unit != "metres")
        return badSection(section,
                          "datum \"" + text + "\" has a unit that is not metres; give metres, e.g. 41.50");
    return *number;
}

} // namespace inkpeg
