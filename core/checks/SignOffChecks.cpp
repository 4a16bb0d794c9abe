// SPDX-License-Identifier: GPL-3.0-or-later
// Checks of stages and sign-offs.
#include <algorithm>

#include "core/checks/CheckFunctions.h"
#include "core/checks/Evidence.h"
#include "core/checks/Seal.h"

namespace inkpeg {

namespace {

std::string nextStep(Stage stage)
{
    switch (stage) {
    case Stage::Listed:
        return "is listed but not scanned";
    case Stage::Scanned:
        return "is scanned but not pinned";
    case Stage::Pinned:
        return "is pinned but not traced";
    case Stage::Traced:
        return "is traced but not checked";
    case Stage::Checked:
        return "is checked but not signed off";
    case Stage::SignedOff:
        break;
    }
    return {};
}

Matter& aboutSigned(const SignOff& signOff, const Evidence& evidence, Report& report, std::string words,
                    std::string whatToDo)
{
    if (signOff.subjectKind == "drawing")
        if (const Drawing* drawing = evidence.drawingNumbered(signOff.subject))
            return report.about(*drawing, std::move(words), std::move(whatToDo));
    if (signOff.subjectKind == "context")
        if (const Context* context = evidence.context(signOff.subject))
            return report.about(*context, evidence, std::move(words), std::move(whatToDo));
    return report.add(signOff.subjectKind, signOff.subject, std::move(words), std::move(whatToDo));
}

} // namespace

void checkDrawingStages(Evidence& evidence, Report& report)
{
    for (const Drawing& drawing : evidence.records.drawings)
        if (drawing.stage != Stage::SignedOff)
            report.about(drawing, "drawing " + drawing.number + " " + nextStep(drawing.stage),
                         "Take it to its next stage.");
}

void checkContextStages(Evidence& evidence, Report& report)
{
    for (const Context& context : evidence.records.contexts)
        if (context.stage != Stage::SignedOff)
            report.about(context, evidence, "context " + context.number + " is not signed off",
                         "Have a second person check and sign it.");
}

void checkBrokenSeals(Evidence& evidence, Report& report)
{
    const ProjectRecords& records = evidence.records;
    const std::vector<std::size_t> newly = newlyBrokenSeals(records);
    for (const std::size_t i : lastSignOffs(records)) {
        const SignOff& signOff = records.signOffs[i];
        if (!signOff.broken && !std::binary_search(newly.begin(), newly.end(), i))
            continue;
        aboutSigned(signOff, evidence, report,
                    signOff.subjectKind + " " + signOff.subject + " was changed after " + signOff.person +
                        " signed it off on " + signOff.at.substr(0, 10),
                    "Check the change and sign it again.");
    }
}

void checkCheckerIsTracer(Evidence& evidence, Report& report)
{
    const ProjectRecords& records = evidence.records;
    const Makers makers(records);
    for (const std::size_t i : lastSignOffs(records)) {
        const SignOff& signOff = records.signOffs[i];
        if (signOff.stage < Stage::Checked ||
            !makers.of(signOff.subjectKind, signOff.subject).contains(signOff.person))
            continue; // who made it may take it back
        aboutSigned(signOff, evidence, report,
                    signOff.subjectKind + " " + signOff.subject + " was checked by " + signOff.person +
                        ", who drew, recorded or traced it",
                    "Have a second person check and sign it.")
            .person = signOff.person;
    }
}

} // namespace inkpeg
