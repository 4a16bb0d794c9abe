// SPDX-License-Identifier: GPL-3.0-or-later
// Holds what a bag of this program says against what it holds.
#include <algorithm>
#include <set>

#include <nlohmann/json.hpp>

#include "core/base/Digest.h"
#include "core/base/ProgressShare.h"
#include "core/base/Text.h"
#include "core/handover/Bag.h"
#include "core/handover/StagedFolder.h"
#include "core/records/Names.h"

namespace inkpeg {

namespace fs = std::filesystem;

namespace {

Error bad(const std::string& words)
{
    return {ErrorCode::BadInput, words};
}

/// The folders that bag-info.txt says the bag holds.
std::vector<std::string> statedContent(const std::string& bagInfo)
{
    std::vector<std::string> names;
    const std::string label = "\nBag-Content: ";
    const std::string text = "\n" + bagInfo;
    const std::size_t at = text.find(label);
    if (at == std::string::npos)
        return names;
    const std::string line = text.substr(at + label.size(), text.find('\n', at + 1) - at - label.size());
    for (std::size_t from = 0; from <= line.size();) {
        const std::size_t comma = std::min(line.find(',', from), line.size());
        const std::string name(trimmed(line.substr(from, comma - from)));
        if (!name.empty())
            names.push_back(name);
        from = comma + 1;
    }
    return names;
}

/// Each sheet's registered scan lies in scans/, whatever it is called there.
Result<void> holdScans(const fs::path& data)
{
    const Result<std::vector<LayerSchema>> schemas =
        schemasOfDictionary(data / "geodata" / "data-dictionary.csv");
    if (!schemas)
        return schemas.error();
    const auto sheets = std::find_if(schemas->begin(), schemas->end(),
                                     [](const LayerSchema& schema) { return schema.name == "sheets"; });
    if (sheets == schemas->end() || !fs::exists(data / "registers" / "sheets.csv"))
        return {};
    const Result<ReadLayer> layer = readCsvLayer(data / "registers" / "sheets.csv", *sheets);
    if (!layer)
        return layer.error();
    std::set<std::string> found;
    for (const fs::directory_entry& entry : fs::directory_iterator(data / "scans"))
        if (const Result<std::string> digest = digestOfFile(entry.path()))
            found.insert(*digest);
    const auto field = [&](const char* name) {
        const auto& fields = sheets->fields;
        const auto at = std::find_if(fields.begin(), fields.end(),
                                     [&](const FieldSchema& each) { return each.name == name; });
        return static_cast<std::size_t>(at - fields.begin());
    };
    const std::size_t number = field("number"), digest = field("scan_sha256");
    if (number >= sheets->fields.size() || digest >= sheets->fields.size())
        return bad("registers/sheets.csv: lacks number or scan_sha256");
    for (const ReadFeature& sheet : layer->features)
        if (const std::string registered = valueText(sheet.values[digest]);
            !registered.empty() && !found.contains(registered))
            return bad("scans: the registered scan of sheet " + valueText(sheet.values[number]) +
                       " is not among them");
    return {};
}

/// What the bag's geodata was made with, so that the project can be gathered in the same way.
GatherSettings settingsOf(const fs::path& geodata)
{
    GatherSettings settings;
    const Result<std::string> bytes = readFile(geodata / "hand-over.json");
    const nlohmann::json mark = bytes ? nlohmann::json::parse(*bytes, nullptr, false) : nlohmann::json();
    if (mark.is_object() && mark.contains("least_stage") && mark["least_stage"].is_string())
        settings.leastStage = named<Stage>(mark["least_stage"].get<std::string>()).value_or(Stage::Listed);
    if (mark.is_object() && mark.contains("chord_tolerance_mm") && mark["chord_tolerance_mm"].is_number())
        settings.chordToleranceMm = mark["chord_tolerance_mm"].get<double>();
    return settings;
}

/// The project's layers, gathered as the bag's were; nothing where there is nothing to compare.
Result<std::optional<HandOverContent>> layersFor(const fs::path& folder, const Project* project)
{
    const fs::path geodata = folder / "data" / "geodata";
    if (project == nullptr || !fs::exists(geodata / "hand-over.json"))
        return std::optional<HandOverContent>();
    Result<HandOverContent> content = gatherLayers(*project, settingsOf(geodata));
    if (!content)
        return content.error();
    return std::optional<HandOverContent>(std::move(content).value());
}

Result<ReadBackReport> holdContent(const fs::path& folder, const std::optional<HandOverContent>& project,
                                   const Progress& progress)
{
    const fs::path data = folder / "data";
    const Result<std::string> info = readFile(folder / "bag-info.txt");
    const std::vector<std::string> stated = info ? statedContent(*info) : std::vector<std::string>();
    for (const std::string& name : stated)
        if (!fs::is_directory(data / name))
            return bad("bag-info.txt says that the bag holds " + name + ", and data/" + name +
                       " is not there");
    if (!fs::exists(data / "geodata" / "hand-over.json")) {
        if (!stated.empty())
            return bad("data/geodata/hand-over.json is not there");
        ReadBackReport none;
        none.remarks.push_back(
            "the bag was not made by this program: its files are whole, what they say was "
            "not compared");
        return none;
    }
    if (std::find(stated.begin(), stated.end(), "scans") != stated.end())
        if (const Result<void> held = holdScans(data); !held)
            return held.error();
    return holdGeodata(data / "geodata", project ? &project->layers : nullptr, progress);
}

/// An answer where the bag is at fault, else the error.
Result<HeldBag> unsound(HeldBag held, const Error& error)
{
    if (error.code != ErrorCode::BadInput)
        return error;
    held.unsound = error.message;
    return held;
}

} // namespace

Result<ReadBackReport> verifyBagContent(const fs::path& folder, const Project* project,
                                        const Progress& progress)
{
    const Result<std::optional<HandOverContent>> layers = layersFor(folder, project);
    if (!layers)
        return layers.error();
    return holdContent(folder, *layers, progress);
}

Result<HeldBag> holdBagContent(const fs::path& folder, const Project* project, const Progress& progress)
{
    // A project that cannot be read is no fault of the bag's.
    const Result<std::optional<HandOverContent>> layers = layersFor(folder, project);
    if (!layers)
        return layers.error();
    Result<ReadBackReport> content = holdContent(folder, *layers, progress);
    HeldBag held;
    if (!content)
        return unsound(std::move(held), content.error());
    held.content = std::move(content).value();
    return held;
}

Result<HeldBag> holdBag(const fs::path& folder, const Project* project, const Progress& progress)
{
    Result<BagReport> files = verifyBag(folder, shareOf(progress, 0, 0.5));
    if (!files)
        return unsound({}, files.error());
    Result<HeldBag> held = holdBagContent(folder, project, shareOf(progress, 0.5, 1));
    if (held)
        held->files = std::move(files).value();
    return held;
}

} // namespace inkpeg
