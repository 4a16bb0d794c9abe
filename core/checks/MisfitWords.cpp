// SPDX-License-Identifier: GPL-3.0-or-later
// What a comparison of plans and sections found, judged and in words.
#include <algorithm>
#include <array>
#include <cmath>

#include "core/base/Text.h"
#include "core/checks/Evidence.h"
#include "core/checks/PlanAgainstSection.h"

namespace inkpeg {

namespace {

std::string millimetres(double metres)
{
    return fixed(metres * 1000, 0) + " mm";
}

} // namespace

std::string misfitVerdictName(MisfitVerdict verdict)
{
    static constexpr std::array Names{"within two sigma", "beyond two sigma", "cannot be told"};
    return Names[static_cast<std::size_t>(verdict)];
}

double EdgeMisfit::allowedM() const
{
    return MisfitSigmas * std::hypot(planErrorM, sectionErrorM);
}

MisfitVerdict EdgeMisfit::verdict() const
{
    if (std::abs(misfitM()) > allowedM())
        return MisfitVerdict::Beyond;
    const double worst = std::max(std::abs(sectionFromM - planAlongM), std::abs(sectionToM - planAlongM));
    return worst > allowedM() ? MisfitVerdict::CannotTell : MisfitVerdict::Within;
}

std::string EdgeMisfit::inWords() const
{
    const std::string where = "the edge of context " + context + " lies at " + fixed(planAlongM, 3) +
                              " m along section " + section + " on plan " + plan;
    const std::string errors = "two sigma are " + millimetres(allowedM()) + " (plan " +
                               millimetres(planErrorM) + ", section " + millimetres(sectionErrorM) + ")" +
                               (uncertain ? "; an uncertain edge" : "");
    if (verdict() == MisfitVerdict::CannotTell)
        return where + " and between " + fixed(sectionFromM, 3) + " and " + fixed(sectionToM, 3) +
               " m on the section: it cannot be told whether they agree, for plan " + plan +
               (planLevelM ? " has " + fixed(*planLevelM, 2) +
                                 " for the context, where the section does not "
                                 "show it"
                           : std::string(" has no level for the context")) +
               (fitsAtM ? "; it would fit a plan of it at " + fixed(*fitsAtM, 2) : "") + "; " + errors;
    return where + " and at " + fixed(sectionAlongM, 3) +
           " m on the section: " + millimetres(std::abs(misfitM())) + " apart, " + errors;
}

double LevelMisfit::allowedM() const
{
    return MisfitSigmas * std::hypot(writtenErrorM, sectionErrorM);
}

MisfitVerdict LevelMisfit::verdict() const
{
    return std::abs(misfitM()) > allowedM() ? MisfitVerdict::Beyond : MisfitVerdict::Within;
}

std::string LevelMisfit::inWords() const
{
    return "level " + fixed(writtenM, 2) + " on plan " + plan + ", " + fixed(alongM, 2) +
           " m along section " + section + ": the " + (base ? "base" : "top") + " of " +
           (context.empty() ? std::string("the face") : "context " + context) + " is drawn at " +
           fixed(faceM, 3) + " there: " + millimetres(std::abs(misfitM())) + " apart, two sigma are " +
           millimetres(allowedM()) + " (plan " + millimetres(writtenErrorM) + ", section " +
           millimetres(sectionErrorM) + ")";
}

std::string faceVerdictName(FaceVerdict verdict)
{
    static constexpr std::array Names{"agrees", "near the edge", "elsewhere", "not shown"};
    return Names[static_cast<std::size_t>(verdict)];
}

std::string PlacedOnFace::inWords() const
{
    std::string words = pointKindName(kind) + " " + number + ", " + fixed(alongM, 2) + " m along section " +
                        section + " at level " + fixed(levelM, 2);
    if (depthM)
        words += ", " + fixed(*depthM, 2) + " m below the surface";
    words += shown.empty() ? ": nothing is drawn there" : ": the face shows context " + shown;
    words += ", the register says " + (context.empty() ? std::string("none") : context);
    if (verdict == FaceVerdict::NearEdge || verdict == FaceVerdict::Elsewhere)
        words +=
            ", whose edge is " + millimetres(awayM) + " away (standard error " + millimetres(errorM) + ")";
    return words;
}

} // namespace inkpeg
