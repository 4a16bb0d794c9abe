// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <map>
#include <set>

#include "core/base/Digest.h"
#include "core/base/Text.h"
#include "core/handover/Bag.h"
#include "core/handover/StagedFolder.h"

namespace inkpeg {

namespace fs = std::filesystem;

namespace {

Error bad(const std::string& words)
{
    return {ErrorCode::BadInput, words};
}

struct Algorithm {
    const char* name;
    DigestKind kind;
    std::size_t digits;
};
constexpr Algorithm Algorithms[] = {{"sha512", DigestKind::Sha512, 128},
                                    {"sha256", DigestKind::Sha256, 64}};

std::vector<std::string> linesOf(const std::string& text)
{
    std::vector<std::string> lines;
    std::string line;
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (text[i] == '\r' || text[i] == '\n') {
            i += text[i] == '\r' && i + 1 < text.size() && text[i + 1] == '\n' ? 1 : 0;
            lines.push_back(std::exchange(line, {}));
        } else {
            line += text[i];
        }
    }
    if (!line.empty())
        lines.push_back(line);
    return lines;
}

bool leavesBag(const std::string& path)
{
    if (path.empty() || path.front() == '/' || path.front() == '~' ||
        path.find('\\') != std::string::npos || path.find('\0') != std::string::npos ||
        (path.size() > 1 && path[1] == ':'))
        return true;
    const fs::path parts(path);
    return std::any_of(parts.begin(), parts.end(),
                       [](const fs::path& part) { return part == ".." || part == "."; });
}

/// Path to digest. Errors: BadInput naming the manifest and line.
Result<std::map<std::string, std::string>> readManifest(const fs::path& bag, const std::string& name,
                                                        const Algorithm& algorithm, bool payload)
{
    const Result<std::string> text = readFile(bag / name);
    if (!text)
        return text.error();
    std::map<std::string, std::string> entries;
    int number = 0;
    for (const std::string& line : linesOf(*text)) {
        ++number;
        const std::string where = name + ", line " + std::to_string(number) + ": ";
        const std::size_t blank = line.find_first_of(" \t");
        const std::size_t start = line.find_first_not_of(" \t", blank);
        if (blank == std::string::npos || start == std::string::npos)
            return bad(where + "wants a digest, blanks and a path");
        const std::string digest = lowerAscii(line.substr(0, blank));
        if (digest.size() != algorithm.digits ||
            digest.find_first_not_of("0123456789abcdef") != std::string::npos)
            return bad(where + "the digest is not one of " + algorithm.name);
        const std::string path = pathFromManifest(line.substr(start));
        if (leavesBag(path))
            return bad(where + "the path \"" + path + "\" leaves the bag");
        if (payload != path.starts_with("data/"))
            return bad(where + "the path \"" + path + "\" must " + (payload ? "" : "not ") +
                       "lie under data/");
        if (!entries.emplace(path, digest).second)
            return bad(where + "\"" + path + "\" is listed twice");
    }
    return entries;
}

Result<void> holdDigests(const fs::path& bag, const std::map<std::string, std::string>& entries,
                         const Algorithm& algorithm, const Progress& progress)
{
    std::size_t done = 0;
    for (const auto& [path, digest] : entries) {
        std::error_code failed;
        if (!fs::is_regular_file(fs::symlink_status(bag / path, failed)))
            return bad(path + ": is listed and not there");
        const Result<std::string> found = digestOfFile(bag / path, algorithm.kind);
        if (!found)
            return found.error();
        if (*found != digest)
            return bad(path + ": has been altered: its " + algorithm.name +
                       " is not the one that was written down");
        if (!report(progress, static_cast<double>(++done) / static_cast<double>(entries.size())))
            return Error{ErrorCode::Cancelled, "verifying was stopped"};
    }
    return {};
}

/// Nothing under data/ that the manifest does not list; counts what there is.
Result<BagReport> holdPayload(const fs::path& bag, const std::map<std::string, std::string>& entries)
{
    BagReport counted;
    counted.folder = bag;
    std::error_code failed;
    for (fs::recursive_directory_iterator it(bag / "data", failed), end; !failed && it != end;
         it.increment(failed)) {
        const std::string name = it->path().lexically_relative(bag).generic_string();
        const fs::file_status status = it->symlink_status();
        if (fs::is_directory(status))
            continue;
        if (!fs::is_regular_file(status))
            return bad(name + ": is no plain file; a link could lead out of the bag");
        if (!entries.contains(name))
            return bad(name + ": is in the bag and not listed");
        counted.payloadBytes += it->file_size();
        ++counted.payloadFiles;
    }
    if (failed)
        return bad("data: cannot be read: " + failed.message());
    return counted;
}

Result<void> holdDeclaration(const fs::path& bag)
{
    const Result<std::string> text = readFile(bag / "bagit.txt");
    if (!text)
        return Error{ErrorCode::NotFound, bag.string() + ": is no bag: it holds no bagit.txt"};
    const std::vector<std::string> lines = linesOf(*text);
    if (lines.size() != 2 || !lines[0].starts_with("BagIt-Version: ") ||
        lines[1] != "Tag-File-Character-Encoding: UTF-8")
        return bad("bagit.txt: wants two lines, BagIt-Version: 1.0 and Tag-File-Character-Encoding: UTF-8");
    if (lines[0] != "BagIt-Version: 1.0" && lines[0] != "BagIt-Version: 0.97")
        return bad("bagit.txt: \"" + lines[0] + "\" is not a version that can be read (1.0, 0.97)");
    return {};
}

Result<void> holdOxum(const fs::path& bag, const BagReport& counted)
{
    std::error_code failed;
    if (!fs::exists(bag / "bag-info.txt", failed))
        return {};
    const Result<std::string> text = readFile(bag / "bag-info.txt");
    if (!text)
        return text.error();
    for (const std::string& line : linesOf(*text)) {
        if (!lowerAscii(line).starts_with("payload-oxum:"))
            continue;
        const std::string stated(trimmed(line.substr(13)));
        const std::string found =
            std::to_string(counted.payloadBytes) + "." + std::to_string(counted.payloadFiles);
        if (stated != found)
            return bad("bag-info.txt: Payload-Oxum says " + stated + ", the payload is " + found);
    }
    return {};
}

/// Tag files that a tag manifest lists; the manifests themselves must be among them to be safe from change.
Result<void> holdTags(const fs::path& bag)
{
    for (const Algorithm& algorithm : Algorithms) {
        const std::string name = std::string("tagmanifest-") + algorithm.name + ".txt";
        std::error_code failed;
        if (!fs::exists(bag / name, failed))
            continue;
        const auto entries = readManifest(bag, name, algorithm, false);
        if (!entries)
            return entries.error();
        if (const Result<void> held = holdDigests(bag, *entries, algorithm, {}); !held)
            return held;
    }
    return {};
}

} // namespace

Result<BagReport> verifyBag(const fs::path& folder, const Progress& progress)
{
    if (const Result<void> held = holdDeclaration(folder); !held)
        return held.error();
    if (const Result<void> held = holdTags(folder); !held)
        return held.error();
    std::optional<BagReport> counted;
    for (const Algorithm& algorithm : Algorithms) {
        const std::string name = std::string("manifest-") + algorithm.name + ".txt";
        std::error_code failed;
        if (!fs::exists(folder / name, failed))
            continue;
        const auto entries = readManifest(folder, name, algorithm, true);
        if (!entries)
            return entries.error();
        Result<BagReport> payload = holdPayload(folder, *entries);
        if (!payload)
            return payload;
        if (const Result<void> held = holdDigests(folder, *entries, algorithm, progress); !held)
            return held.error();
        counted = std::move(payload).value();
    }
    if (!counted)
        return bad(folder.string() + ": holds no manifest-sha512.txt or manifest-sha256.txt");
    if (const Result<void> held = holdOxum(folder, *counted); !held)
        return held.error();
    return *counted;
}

} // namespace inkpeg
