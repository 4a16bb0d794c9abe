// SPDX-License-Identifier: GPL-3.0-or-later
#include <ostream>

#include <nlohmann/json.hpp>

#include "app/cli/Verb.h"
#include "core/store/Project.h"

namespace inkpeg {

namespace {

Result<VerbEnd> run(const Call& call)
{
    ProjectFacts facts;
    facts.siteCode = call.value("site-code");
    facts.title = call.value("title");
    facts.crs = call.value("crs", facts.crs);
    facts.datum = call.value("datum");
    facts.rights = call.value("rights");
    facts.depositor = call.value("depositor");
    for (const auto& [option, field] :
         {std::pair{"tracing-error", &facts.tracingErrorMm}, {"tolerance", &facts.pinToleranceMm}}) {
        const Result<std::optional<double>> number = call.number(option);
        if (!number)
            return number.error();
        if (number->has_value() && **number <= 0)
            return Error{ErrorCode::BadInput, std::string("--") + option + ": must be larger than 0 mm"};
        *field = number->value_or(*field);
    }
    const Result<Project> project = Project::create(call.files[0], facts);
    if (!project)
        return project.error();
    if (call.json)
        *call.out << nlohmann::ordered_json{{"project", call.files[0]}, {"crs", facts.crs}}.dump(2) << "\n";
    else
        call.say(call.files[0] + ": made, in " + facts.crs);
    return VerbEnd::Done;
}

} // namespace

Verb newVerb()
{
    return {"new",
            "PROJECT",
            1,
            1,
            "makes an empty project file (a GeoPackage)",
            {{"site-code", "CODE", "site code, as written on the film"},
             {"title", "TEXT", "title of the project"},
             {"crs", "CODE", "coordinate reference system, e.g. EPSG:25832 (the default)"},
             {"datum", "NAME", "name of the level datum"},
             {"tracing-error", "MM", "standard error of tracing on the film; 0.25 unless said"},
             {"tolerance", "MM", "longest residual of a pin on the film; 0.5 unless said"},
             {"rights", "TEXT", "rights, for the deposit"},
             {"depositor", "TEXT", "depositor"}},
            run};
}

} // namespace inkpeg
