// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <ostream>

#include <nlohmann/json.hpp>

#include "app/cli/Verb.h"
#include "app/print/SectionReport.h"
#include "core/base/Text.h"
#include "core/records/Names.h"
#include "core/store/LoadRecords.h"

namespace inkpeg {

namespace {

using nlohmann::ordered_json;

std::optional<SectionRemedy> remedyNamed(const std::string& name)
{
    if (name == "line")
        return SectionRemedy::TurnLine;
    if (name == "film")
        return SectionRemedy::FilmFaceDown;
    if (name == "facing")
        return SectionRemedy::CorrectFacing;
    return std::nullopt;
}

const char* remedyName(SectionRemedy remedy)
{
    return remedy == SectionRemedy::TurnLine       ? "line"
           : remedy == SectionRemedy::FilmFaceDown ? "film"
                                                   : "facing";
}

ordered_json sectionJson(const SectionFacts& facts)
{
    ordered_json json{{"drawing", facts.drawing.number},
                      {"kind", nameOf(facts.drawing.kind)},
                      {"recorded_facing", facts.drawing.facing},
                      {"vertical_exaggeration", facts.drawing.verticalExaggeration}};
    json["datum_m"] = facts.drawing.datumM ? ordered_json(*facts.drawing.datumM) : ordered_json(nullptr);
    if (!facts.reading) {
        json["error"] = facts.reading.error().message;
        return json;
    }
    const SectionFrame& frame = facts.reading->frame;
    json["faces"] = frame.facingName();
    json["length_m"] = frame.lengthM();
    json["line"] = ordered_json::array();
    for (std::size_t i = 0; i < frame.nails().size(); ++i)
        json["line"].push_back({{"nail", frame.nails()[i].name},
                                {"east_m", frame.nails()[i].position.east},
                                {"north_m", frame.nails()[i].position.north},
                                {"along_m", frame.alongOfNailM(i)},
                                {"after_step", frame.nails()[i].afterStep}});
    json["reads"] = facts.reading->message;
    json["remedies"] = ordered_json::array();
    for (const SectionRemedy remedy : facts.reading->remedies)
        json["remedies"].push_back(remedyName(remedy));
    return json;
}

ordered_json comparedJson(const PlanAgainstSection& compared, const std::string& number)
{
    ordered_json edges = ordered_json::array(), levels = ordered_json::array(),
                 placed = ordered_json::array();
    for (const EdgeMisfit& edge : compared.edges)
        if (number.empty() || edge.section == number)
            edges.push_back(
                {{"context", edge.context},
                 {"plan", edge.plan},
                 {"section", edge.section},
                 {"plan_along_m", edge.planAlongM},
                 {"section_along_m", edge.sectionAlongM},
                 {"misfit_mm", edge.verdict() == MisfitVerdict::CannotTell
                                   ? ordered_json(nullptr)
                                   : ordered_json(edge.misfitM() * 1000)},
                 {"section_from_m", edge.sectionFromM},
                 {"section_to_m", edge.sectionToM},
                 {"fits_at_m", edge.fitsAtM ? ordered_json(*edge.fitsAtM) : ordered_json(nullptr)},
                 {"plan_error_mm", edge.planErrorM * 1000},
                 {"section_error_mm", edge.sectionErrorM * 1000},
                 {"uncertain_edge", edge.uncertain},
                 {"verdict", misfitVerdictName(edge.verdict())}});
    for (const LevelMisfit& level : compared.levels)
        if (number.empty() || level.section == number)
            levels.push_back({{"context", level.context},
                              {"plan", level.plan},
                              {"section", level.section},
                              {"along_m", level.alongM},
                              {"offset_m", level.offsetM},
                              {"written_m", level.writtenM},
                              {"face_m", level.faceM},
                              {"misfit_mm", level.misfitM() * 1000},
                              {"plan_error_mm", level.writtenErrorM * 1000},
                              {"section_error_mm", level.sectionErrorM * 1000},
                              {"verdict", misfitVerdictName(level.verdict())}});
    for (const PlacedOnFace& one : compared.placed)
        if (number.empty() || one.section == number)
            placed.push_back({{"kind", nameOf(one.kind)},
                              {"number", one.number},
                              {"section", one.section},
                              {"along_m", one.alongM},
                              {"level_m", one.levelM},
                              {"depth_m", one.depthM ? ordered_json(*one.depthM) : ordered_json(nullptr)},
                              {"recorded_context", one.context},
                              {"face_shows", one.shown},
                              {"away_mm", one.awayM * 1000},
                              {"verdict", faceVerdictName(one.verdict)}});
    return {{"edges", edges}, {"levels", levels}, {"placed", placed}};
}

Result<void> change(const Call& call, const std::string& number)
{
    Result<Project> project = Project::open(call.files[0], Access::Write);
    if (!project)
        return project.error();
    project->setPerson(call.value("person"));
    const std::optional<Drawing> drawing = project->byKey<Drawing>(number);
    if (!drawing)
        return Error{ErrorCode::NotFound, "drawing \"" + number + "\" is not in the register"};
    if (call.has("turn")) {
        const auto remedy = remedyNamed(call.value("turn"));
        if (!remedy)
            return Error{ErrorCode::BadInput, "--turn " + call.value("turn") +
                                                  ": use line (run from B to A), film (it was scanned "
                                                  "face down) or facing (the record is wrong)"};
        const Result<Change> turned = turnSection(*project, *drawing, *remedy, call.value("why"));
        return turned ? Result<void>() : Result<void>(turned.error());
    }
    const Result<std::optional<double>> exaggeration = call.number("exaggeration");
    if (!exaggeration)
        return exaggeration.error();
    Drawing lined = *drawing;
    if (call.has("line"))
        lined.sectionLine = call.value("line");
    const Result<Change> set =
        setSectionLine(*project, *drawing, sectionLineStops(lined.sectionLine),
                       exaggeration->value_or(drawing->verticalExaggeration), call.value("why"));
    return set ? Result<void>() : Result<void>(set.error());
}

void printColumn(const Call& call, const std::vector<ColumnLayer>& column, ordered_json& json)
{
    json["column"] = ordered_json::array();
    for (const ColumnLayer& layer : column) {
        json["column"].push_back({{"context", layer.context},
                                  {"top_m", layer.topM},
                                  {"bottom_m", layer.bottomM},
                                  {"depth_to_top_m", layer.depthToTopM},
                                  {"depth_to_bottom_m", layer.depthToBottomM}});
        if (!call.json)
            *call.out << "  " << fixed(layer.depthToTopM, 2) << " to " << fixed(layer.depthToBottomM, 2)
                      << " m deep (level " << fixed(layer.topM, 2) << " to " << fixed(layer.bottomM, 2)
                      << "): context " << layer.context << "\n";
    }
    if (column.empty())
        call.say("nothing is drawn there");
}

bool tellSections(const Call& call, const std::vector<SectionFacts>& sections, ordered_json& json)
{
    bool faults = false;
    json["sections"] = ordered_json::array();
    for (const SectionFacts& facts : sections) {
        json["sections"].push_back(sectionJson(facts));
        faults = faults || (facts.isPinned && (!facts.reading || !facts.reading->remedies.empty()));
        if (call.json)
            continue;
        if (!facts.reading) {
            *call.out << facts.drawing.number << ": "
                      << (facts.isPinned ? facts.reading.error().message : "not pinned yet") << "\n";
            continue;
        }
        const SectionFrame& frame = facts.reading->frame;
        *call.out << facts.drawing.number << ": " << frame.nails().front().name << " to "
                  << frame.nails().back().name << ", " << fixed(frame.lengthM(), 3) << " m, faces "
                  << frame.facingName() << ", datum " << fixed(frame.datumM(), 3) << "\n";
        for (const SectionRemedy remedy : facts.reading->remedies)
            *call.out << "  --turn " << remedyName(remedy) << ": "
                      << remedyInWords(remedy, facts.drawing, frame) << "\n";
        if (!facts.reading->remedies.empty())
            call.say(facts.reading->message);
    }
    return faults;
}

bool tellCompared(const Call& call, const PlanAgainstSection& compared, const std::string& number,
                  ordered_json& json)
{
    json.update(comparedJson(compared, number));
    bool faults = false;
    const auto tell = [&](const std::string& section, bool beyond, const char* sign,
                          const std::string& words) {
        if (!number.empty() && section != number)
            return;
        faults = faults || beyond;
        if (!call.json)
            *call.out << sign << words << "\n";
    };
    const auto signOf = [](MisfitVerdict verdict) {
        return verdict == MisfitVerdict::Beyond ? "! " : verdict == MisfitVerdict::CannotTell ? "? " : "  ";
    };
    for (const EdgeMisfit& edge : compared.edges)
        tell(edge.section, edge.verdict() == MisfitVerdict::Beyond, signOf(edge.verdict()), edge.inWords());
    for (const LevelMisfit& level : compared.levels)
        tell(level.section, level.verdict() == MisfitVerdict::Beyond, signOf(level.verdict()),
             level.inWords());
    for (const PlacedOnFace& placed : compared.placed) {
        const bool elsewhere = placed.verdict == FaceVerdict::Elsewhere;
        tell(placed.section, elsewhere, elsewhere ? "! " : "  ", placed.inWords());
    }
    return faults;
}

Result<VerbEnd> run(const Call& call)
{
    const std::string number = call.value("drawing");
    for (const char* option : {"turn", "line", "exaggeration", "at"})
        if (call.has(option) && number.empty())
            return Error{ErrorCode::BadInput, std::string("--") + option + " goes with --drawing NUMBER"};
    const Result<std::optional<double>> at = call.number("at");
    if (!at)
        return at.error();
    if (call.has("turn") || call.has("line") || call.has("exaggeration"))
        if (const Result<void> changed = change(call, number); !changed)
            return changed.error();
    const Result<Project> project = Project::open(call.files[0], Access::Read);
    if (!project)
        return project.error();
    const Result<std::vector<SectionFacts>> sections = sectionFacts(*project, number);
    if (!sections)
        return sections.error();
    const Result<ProjectRecords> records = loadRecords(*project, call.progress());
    if (!records)
        return records.error();
    ordered_json json;
    bool faults = tellSections(call, *sections, json);
    if (*at)
        printColumn(call, columnAt(*records, number, **at), json);
    faults = tellCompared(call, comparePlansAndSections(*records), number, json) || faults;
    if (call.has("to")) {
        const Result<TableReport> report = sectionReport(*project, *records, number);
        if (!report)
            return report.error();
        const auto files = writeTableReport(*report, call.value("to"), "sections");
        if (!files)
            return files.error();
        for (const std::filesystem::path& file : *files)
            call.say("written: " + file.string());
    }
    if (call.json)
        *call.out << json.dump(2, ' ', false, ordered_json::error_handler_t::replace) << "\n";
    return faults ? VerbEnd::Faults : VerbEnd::Done;
}

} // namespace

Verb sectionsVerb()
{
    return {
        "sections",
        "PROJECT",
        1,
        1,
        "tells how sections stand and read, and holds plans, levels and finds against them",
        {{"drawing", "NUMBER", "only this section, elevation or profile"},
         {"at", "METRES", "with --drawing: the contexts at this distance along it, from the surface down"},
         {"line", "PEGS",
          "with --drawing: its line, pegs from A over the bends to B: \"A; M; B\"; | steps aside: \"A; M | "
          "N; B\""},
         {"exaggeration", "NUMBER", "with --drawing: how many times taller than wide it was drawn"},
         {"turn", "WHAT", "with --drawing: line (runs from B to A), film (scanned face down) or facing"},
         {"to", "FOLDER", "write the report: sections.pdf and sections.html"},
         {"person", "INITIALS", "who, for the journal"},
         {"why", "TEXT", "why, for the journal"}},
        run};
}

} // namespace inkpeg
