// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <ostream>

#include <nlohmann/json.hpp>

#include "app/cli/Verb.h"
#include "app/print/ResidualReport.h"

namespace inkpeg {

namespace {

Result<VerbEnd> run(const Call& call)
{
    if (!call.has("to"))
        return Error{ErrorCode::BadInput, "say where: --to FOLDER"};
    const Result<Project> project = Project::open(call.files[0], Access::Read);
    if (!project)
        return project.error();
    const Result<ProjectFigures> figures = residualFigures(*project, call.values("drawing"));
    if (!figures)
        return figures.error();
    const Result<std::vector<std::filesystem::path>> files =
        writeResidualReport(*figures, call.value("to"), call.progress());
    if (!files)
        return files.error();
    for (const UnfittedDrawing& unfitted : figures->unfitted)
        call.say(unfitted.why);
    if (call.json) {
        *call.out << residualJson(*figures);
    } else {
        for (const std::filesystem::path& file : *files)
            *call.out << file.string() << "\n";
    }
    const bool out =
        std::any_of(figures->drawings.begin(), figures->drawings.end(),
                    [](const DrawingFigures& drawing) { return drawing.verdict == FitVerdict::Out; });
    // A drawing that was asked for by its number and has no fit is a fault too.
    return out || (call.has("drawing") && !figures->unfitted.empty()) ? VerbEnd::Faults : VerbEnd::Done;
}

} // namespace

Verb reportVerb()
{
    return {"report",
            "PROJECT",
            1,
            1,
            "writes the residual report: PDF, HTML, CSV and JSON",
            {{"to", "FOLDER", "where to write residuals.pdf, .html, .csv and .json"},
             {"drawing", "NUMBER", "only this drawing (may be given more than once)"}},
            run};
}

} // namespace inkpeg
