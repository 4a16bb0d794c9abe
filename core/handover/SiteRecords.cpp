// SPDX-License-Identifier: GPL-3.0-or-later
// Which records go into the site database, and by which number they are known there.
#include <algorithm>
#include <map>
#include <set>

#include "core/handover/FeatureLayers.h"
#include "core/handover/Geodata.h"
#include "core/handover/SiteDatabase.h"

namespace inkpeg {

namespace {

/// The fields whose values together are a layer's record number.
const std::vector<std::string>& numberFields(const std::string& layer)
{
    static const std::map<std::string, std::vector<std::string>> fields = {
        {"trenches", {"name"}},
        {"pegs", {"name"}},
        {"contexts", {"number"}},
        {"relations", {"context", "relation", "other"}},
        {"finds", {"number"}},
        {"samples", {"number"}},
        {"timbers", {"number"}},
        {"photographs", {"number"}},
        {"sheets", {"number"}},
        {"people", {"initials"}},
        {"sign_offs", {"subject_kind", "subject", "stage", "person", "at"}},
        {"drawings", {"number"}},
        {"pins", {"drawing", "peg"}},
        {"section_lines", {"drawing"}},
        {"outlines", {"drawing", "context", "outline"}},
        {"outline_edges", {"drawing", "context", "outline", "kind"}},
        {"outline_vertices", {"drawing", "context", "outline", "part", "ring", "vertex"}},
        {"edges", {"drawing", "context", "kind"}},
        {"levels", {"drawing", "context"}},
        {"points", {"drawing", "kind", "number"}},
        {"space_outlines", {"drawing", "context", "outline"}},
        {"space_vertices", {"drawing", "context", "outline", "part", "ring", "vertex"}},
        {"space_edges", {"drawing", "context", "kind"}},
        {"space_levels", {"drawing", "context"}},
        {"space_points", {"drawing", "kind", "text"}},
        {"space_timbers", {"number"}},
        {"timber_outlines", {"number"}},
    };
    const std::string onGround =
        layer.starts_with("section_") && layer != "section_lines" ? layer.substr(8) : layer;
    static const std::vector<std::string> none;
    const auto found = fields.find(onGround);
    return found == fields.end() ? none : found->second;
}

std::vector<std::size_t> indicesOf(const LayerSchema& schema, const std::vector<std::string>& names)
{
    std::vector<std::size_t> indices;
    for (const std::string& name : names)
        for (std::size_t i = 0; i < schema.fields.size(); ++i)
            if (schema.fields[i].name == name)
                indices.push_back(i);
    return indices;
}

using Numbers = std::set<std::string>;

template<typename Record>
Numbers reached(const Project& project, Stage leastStage)
{
    Numbers numbers;
    for (const Record& record : project.all<Record>())
        if (record.stage >= leastStage)
            numbers.insert(record.number);
    return numbers;
}

void keepThose(FeatureLayer& layer, const char* field, const Numbers& numbers)
{
    const std::vector<std::size_t> index = indicesOf(layer.schema, {field});
    if (index.empty())
        return;
    std::erase_if(layer.features, [&](const Feature& feature) {
        return !numbers.contains(valueText(feature.values[index.front()]));
    });
}

} // namespace

std::vector<FeatureLayer> layersOfStage(const Project& project, std::vector<FeatureLayer> layers,
                                        Stage leastStage)
{
    if (leastStage == Stage::Listed)
        return layers;
    const Numbers drawings = reached<Drawing>(project, leastStage),
                  contexts = reached<Context>(project, leastStage);
    static const std::map<std::string, const char*> byContext = {
        {"contexts", "number"},        {"relations", "context"}, {"finds", "context"},
        {"samples", "context"},        {"timbers", "context"},   {"space_timbers", "context"},
        {"timber_outlines", "context"}};
    static const Numbers whole = {"trenches", "pegs", "people", "sheets", "photographs", "sign_offs"};
    for (FeatureLayer& layer : layers) {
        const std::string& name = layer.schema.name;
        if (const auto context = byContext.find(name); context != byContext.end())
            keepThose(layer, context->second, contexts);
        else if (name == "drawings")
            keepThose(layer, "number", drawings);
        else if ((name.find("outline") == std::string::npos || name == "space_outlines") &&
                 !whole.contains(name)) // the other outlines have a stage of their own
            keepThose(layer, "drawing", drawings);
    }
    return layers;
}

std::vector<std::string> recordNumbers(const FeatureLayer& layer)
{
    const std::vector<std::size_t> indices = indicesOf(layer.schema, numberFields(layer.schema.name));
    std::map<std::string, int> met;
    std::vector<std::string> numbers;
    numbers.reserve(layer.features.size());
    for (const Feature& feature : layer.features) {
        std::string number;
        for (const std::size_t i : indices)
            number += (number.empty() ? "" : "/") + valueText(feature.values[i]);
        // Several levels of one context on one drawing are told apart by their order.
        const int times = ++met[number];
        numbers.push_back(times == 1 && !number.empty() ? number : number + "#" + std::to_string(times));
    }
    return numbers;
}

Result<PushReport> pushToDatabase(const Project& project, const DatabaseSettings& settings,
                                  const Progress& progress)
{
    const Progress gathering = [&](double share) { return report(progress, share * 0.3); };
    const Progress pushing = [&](double share) { return report(progress, 0.3 + share * 0.7); };
    Result<HandOverContent> content = gatherLayers(project, {.leastStage = settings.leastStage}, gathering);
    if (!content)
        return content.error();
    const ProjectFacts facts = project.facts();
    Result<PushReport> report =
        pushLayers(layersOfStage(project, std::move(content->layers), settings.leastStage), facts.siteCode,
                   facts.crs, handOverTime(project), settings, pushing);
    if (report)
        report->remarks.insert(report->remarks.end(), content->remarks.begin(), content->remarks.end());
    return report;
}

} // namespace inkpeg
