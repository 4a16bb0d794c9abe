// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/Bag.h"

#include <algorithm>
#include <set>

#include "core/base/Digest.h"
#include "core/base/ProgressShare.h"
#include "core/base/Text.h"
#include "core/handover/BagMetadata.h"
#include "core/handover/IsoMetadata.h"
#include "core/handover/RegisterLayers.h"
#include "core/handover/StagedFolder.h"

namespace inkpeg {

namespace fs = std::filesystem;

namespace {

constexpr const char* MarkFile = "bagit.txt";
constexpr const char* Declaration = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n";

Error cancelled()
{
    return {ErrorCode::Cancelled, "the bag was stopped"};
}

/// True for a path that stays under its folder on every system (RFC 8493, 5.1.2 and 5.2).
bool staysInside(const std::string& path)
{
    if (path.empty() || path.front() == '/' || path.front() == '~' ||
        path.find('\\') != std::string::npos || path.find('\0') != std::string::npos ||
        (path.size() > 1 && path[1] == ':'))
        return false;
    for (const fs::path& part : fs::path(path))
        if (part == ".." || part == ".")
            return false;
    return true;
}

/// Every plain file under `folder`, with '/' between, in order of bytes.
/// Errors: BadInput (a link or anything else that is no plain file).
Result<std::vector<std::string>> filesUnder(const fs::path& folder, const fs::path& relativeTo)
{
    std::vector<std::string> files;
    std::error_code failed;
    for (fs::recursive_directory_iterator it(folder, failed), end; !failed && it != end;
         it.increment(failed)) {
        const std::string name = it->path().lexically_relative(relativeTo).generic_string();
        const fs::file_status status = it->symlink_status();
        if (fs::is_directory(status))
            continue;
        if (!fs::is_regular_file(status))
            return Error{ErrorCode::BadInput, name + ": is no plain file; a bag holds plain files only"};
        files.push_back(name);
    }
    if (failed)
        return Error{ErrorCode::System, folder.string() + ": cannot be read: " + failed.message()};
    std::sort(files.begin(), files.end());
    return files;
}

Result<std::string> manifestOf(const fs::path& bag, const std::vector<std::string>& files)
{
    std::string manifest;
    for (const std::string& file : files) {
        const Result<std::string> digest = digestOfFile(bag / file, DigestKind::Sha512);
        if (!digest)
            return digest.error();
        manifest += *digest + "  " + manifestPath(file) + "\n";
    }
    return manifest;
}

/// Scans keep their names where these are safe and differ; else the sheet's row makes them differ.
std::string scanName(const Sheet& sheet, std::set<std::string>& taken)
{
    std::string name = fs::path(sheet.scanFile).filename().string();
    if (name.empty() || !staysInside(name) || !taken.insert(lowerAscii(name)).second)
        name = "sheet-" + std::to_string(sheet.id) + fs::path(sheet.scanFile).extension().string();
    taken.insert(lowerAscii(name));
    return name;
}

Result<void> copyScans(const Project& project, const fs::path& folder, std::vector<std::string>& remarks,
                       const Progress& progress)
{
    std::set<std::string> taken;
    std::set<std::string> copied; // one scan may serve several sheets
    const std::vector<Sheet> sheets = project.all<Sheet>();
    for (std::size_t i = 0; i < sheets.size(); ++i) {
        if (!report(progress, static_cast<double>(i) / static_cast<double>(sheets.size())))
            return cancelled();
        if (sheets[i].scanFile.empty()) {
            remarks.push_back("sheet " + sheets[i].number + " has no scan");
            continue;
        }
        if (!copied.insert(sheets[i].scanFile).second)
            continue;
        const fs::path from = scanPath(project, sheets[i]);
        const Result<std::string> digest = digestOfFile(from);
        if (!digest)
            return Error{digest.error().code, "sheet " + sheets[i].number + ": " + digest.error().message};
        if (!sheets[i].scanSha256.empty() && *digest != sheets[i].scanSha256)
            return Error{ErrorCode::Conflict,
                         "sheet " + sheets[i].number + ": the scan " + from.string() +
                             " is not the one that was registered (its SHA-256 differs); put the "
                             "old one back or register it again"};
        std::error_code failed;
        fs::create_directories(folder, failed);
        fs::copy_file(from, folder / scanName(sheets[i], taken), failed);
        if (failed)
            return Error{failed == std::errc::no_space_on_device ? ErrorCode::OutOfSpace
                                                                 : ErrorCode::System,
                         from.string() + ": cannot be copied: " + failed.message()};
    }
    return {};
}

/// The folders under data/, with commas between: what verifyBagContent looks for.
std::string contentOf(const fs::path& bag)
{
    std::set<std::string> names;
    for (const fs::directory_entry& entry : fs::directory_iterator(bag / "data"))
        if (entry.is_directory())
            names.insert(entry.path().filename().string());
    std::string text;
    for (const std::string& name : names)
        text += (text.empty() ? "" : ", ") + name;
    return text;
}

std::string bagInfo(const ProjectFacts& facts, const std::string& content, const std::string& at,
                    std::uint64_t bytes, std::size_t files)
{
    const auto line = [](const char* label, std::string value) {
        // A tag's value is one line here; line breaks would begin another tag (RFC 8493, 2.2.2).
        std::replace_if(
            value.begin(), value.end(), [](char c) { return c == '\n' || c == '\r'; }, ' ');
        return value.empty() ? std::string() : std::string(label) + ": " + value + "\n";
    };
    return line("Source-Organization", facts.depositor) + line("External-Identifier", facts.siteCode) +
           line("External-Description", facts.title) + line("Rights", facts.rights) +
           line("Bag-Software-Agent", "Inkpeg") + line("Bag-Content", content) +
           line("Bagging-Date", at.substr(0, 10)) +
           line("Payload-Oxum", std::to_string(bytes) + "." + std::to_string(files));
}

/// Everything but the payload. Gives the report.
Result<BagReport> closeBag(const Project& project, const fs::path& bag)
{
    const Result<std::vector<std::string>> payload = filesUnder(bag / "data", bag);
    if (!payload)
        return payload.error();
    BagReport report;
    for (const std::string& file : *payload)
        report.payloadBytes += fs::file_size(bag / file);
    report.payloadFiles = payload->size();
    const Result<std::string> manifest = manifestOf(bag, *payload);
    if (!manifest)
        return manifest.error();
    for (const auto& [name, bytes] :
         {std::pair<std::string, std::string>{MarkFile, Declaration},
          {"bag-info.txt", bagInfo(project.facts(), contentOf(bag), handOverTime(project),
                                   report.payloadBytes, report.payloadFiles)},
          {"manifest-sha512.txt", *manifest}})
        if (const Result<void> written = writeFile(bag / name, bytes); !written)
            return written.error();
    const Result<std::string> tags = manifestOf(bag, {"bag-info.txt", MarkFile, "manifest-sha512.txt"});
    if (!tags)
        return tags.error();
    if (const Result<void> written = writeFile(bag / "tagmanifest-sha512.txt", *tags); !written)
        return written.error();
    return report;
}

Result<void> writeRegisters(const Project& project, const fs::path& folder)
{
    std::vector<std::string> told; // the geodata's own remarks say it
    for (const FeatureLayer& layer : registerLayers(&project, told))
        if (const Result<void> written = writeFile(folder / (layer.schema.name + ".csv"), layerCsv(layer));
            !written)
            return written;
    return {};
}

Result<void> writeMetadata(const Project& project, const HandOverReport& geodata, const fs::path& folder)
{
    const ProjectFacts facts = project.facts();
    if (const Result<void> written =
            writeFile(folder / "dublin-core.xml", dublinCoreXml(facts, handOverTime(project)));
        !written)
        return written;
    const Result<ProjectFigures> figures = residualFigures(project);
    if (!figures)
        return figures.error();
    IsoRecord record{&*figures, {}, {}};
    for (const HandedOverFile& file : geodata.files)
        for (const auto& [ending, format] : {std::pair{".gpkg", "GeoPackage (OGC 12-128)"},
                                             {"outlines.geojson", "GeoJSON (RFC 7946)"},
                                             {"csv/outlines.csv", "CSV (RFC 4180)"},
                                             {".gml", "GML 3.2 (ISO 19136)"},
                                             {"/outlines.shp", "Shapefile"}})
            if (file.name.ends_with(ending) && !file.name.ends_with("section_outlines.geojson"))
                record.formats.push_back(format);
    const Result<LongitudeLatitude> toLonLat = LongitudeLatitude::from(facts.crs, geodata.corners);
    for (const GroundM corner : geodata.corners)
        if (const Result<LonLat> at = toLonLat ? toLonLat->at(corner) : Result<LonLat>(toLonLat.error());
            at)
            record.corners.push_back(*at);
    return writeFile(folder / "iso-19139.xml", isoMetadataXml(record));
}

Result<void> writePayload(const Project& project, const fs::path& data, const BagSettings& settings,
                          const BagExtras& extras, std::vector<std::string>& remarks,
                          const Progress& progress)
{
    const Result<HandOverReport> geodata =
        writeGeodata(project, data / "geodata", settings.geodata, shareOf(progress, 0, 0.4));
    if (!geodata)
        return geodata.error();
    remarks = geodata->remarks;
    if (settings.scans)
        if (const Result<void> copied =
                copyScans(project, data / "scans", remarks, shareOf(progress, 0.4, 0.6));
            !copied)
            return copied;
    for (const auto& [name, bytes] : extras) {
        if (!staysInside(name))
            return Error{ErrorCode::BadInput, "\"" + name + "\": leaves the bag"};
        if (const Result<void> written = writeFile(data / name, bytes); !written)
            return written;
    }
    if (const Result<void> written = writeRegisters(project, data / "registers"); !written)
        return written;
    if (settings.fill)
        if (const Result<void> filled = settings.fill(data, remarks, shareOf(progress, 0.6, 0.95)); !filled)
            return filled;
    if (const Result<void> written = writeMetadata(project, *geodata, data / "metadata"); !written)
        return written;
    return writeFile(data / "README.txt", bagReadMe(project.facts(), handOverTime(project), remarks));
}

} // namespace

Result<BagReport> writeBag(const Project& project, const fs::path& folder, const BagSettings& settings,
                           const BagExtras& extras, const Progress& progress)
{
    const ProjectFacts facts = project.facts();
    if (facts.rights.empty() || facts.depositor.empty())
        return Error{
            ErrorCode::BadInput,
            std::string("a bag states its rights and its depositor, and the project does not know ") +
                (facts.rights.empty() && facts.depositor.empty() ? "either"
                 : facts.rights.empty()                          ? "the rights"
                                                                 : "the depositor") +
                "; give them once, they are kept in the project"};
    Result<StagedFolder> staged = StagedFolder::beside(folder, settings.replace, MarkFile);
    if (!staged)
        return staged.error();
    std::error_code failed;
    fs::create_directories(staged->path() / "data" / "geodata", failed);
    if (failed)
        return Error{ErrorCode::System, folder.string() + ": cannot be made: " + failed.message()};
    std::vector<std::string> remarks;
    const Result<void> payload =
        writePayload(project, staged->path() / "data", settings, extras, remarks, progress);
    if (!payload)
        return payload.error();
    Result<BagReport> report = closeBag(project, staged->path());
    if (!report)
        return report;
    // What an archive keeps for decades is read once while it can still be written again.
    if (const Result<ReadBackReport> held = verifyBagContent(staged->path(), &project, {}); !held)
        return Error{held.error().code == ErrorCode::BadInput ? ErrorCode::System : held.error().code,
                     "the bag does not read back as it was written: " + held.error().message};
    if (const Result<void> kept = staged->keep(); !kept)
        return kept.error();
    report->folder = folder;
    report->remarks = std::move(remarks);
    return report;
}

std::string manifestPath(const std::string& path)
{
    std::string written;
    for (const char c : path)
        written += c == '\n' ? "%0A" : c == '\r' ? "%0D" : c == '%' ? "%25" : std::string(1, c);
    return written;
}

std::string pathFromManifest(const std::string& written)
{
    std::string path;
    for (std::size_t i = 0; i < written.size(); ++i) {
        const std::string code = lowerAscii(written.substr(i, 3));
        const char meant = code == "%0a" ? '\n' : code == "%0d" ? '\r' : code == "%25" ? '%' : '\0';
        path += meant != '\0' ? meant : written[i];
        i += meant != '\0' ? 2 : 0;
    }
    return path;
}

} // namespace inkpeg
