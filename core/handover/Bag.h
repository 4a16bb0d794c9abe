// SPDX-License-Identifier: GPL-3.0-or-later
// The archive bag (RFC 8493): everything of a project that an archive keeps, with fixity.
//
//   const Result<BagReport> made = writeBag(project, "skr26-bag", {}, extras);
//   const Result<BagReport> sound = verifyBag("skr26-bag");        // or an Error that names what is wrong
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <map>
#include <string>
#include <vector>

#include "core/base/Progress.h"
#include "core/base/Result.h"
#include "core/handover/Geodata.h"
#include "core/handover/ReadBack.h"
#include "core/store/Project.h"

namespace inkpeg {

/// Writes more into the payload, whose folder is `data`; what it did not write it says in `remarks`.
using BagFiller = std::function<Result<void>(const std::filesystem::path& data,
                                             std::vector<std::string>& remarks, const Progress& progress)>;

struct BagSettings {
    GeodataSettings geodata = {};
    bool scans = true;    ///< the original scans, each held against the digest in its sheet's record
    bool replace = false; ///< a former bag in the same place
    BagFiller fill = {};  ///< e.g. laid scans and plans, too large for BagExtras
};

struct BagReport {
    std::filesystem::path folder;
    std::uint64_t payloadBytes = 0;
    std::size_t payloadFiles = 0;
    std::vector<std::string> remarks;
};

/// A file made by the caller (reports, which need fonts that the core does not know): path under data/, bytes.
using BagExtras = std::map<std::string, std::string>;

/// Writes a bag with SHA-512 manifests: data/scans/, data/geodata/ (as handOverGeodata), data/registers/,
/// data/reports/ and whatever else `extras` holds, data/metadata/ (Dublin Core, ISO 19139), bag-info.txt;
/// then reads the geodata again and holds it against the project. Same project, same bytes; the bagging
/// date is the project's. Errors: Conflict (place taken; a scan that differs from its record); NotFound (a
/// scan); BadInput (no rights or no depositor in the project; an extra's path that leaves data/);
/// OutOfSpace; System; Cancelled.
/// Source: RFC 8493 (The BagIt File Packaging Format, V1.0).
Result<BagReport> writeBag(const Project& project, const std::filesystem::path& folder,
                           const BagSettings& settings = {}, const BagExtras& extras = {},
                           const Progress& progress = {});

/// Holds a bag against RFC 8493, 3: complete (every required element and every listed file is there,
/// nothing unlisted under data/) and valid (every digest and Payload-Oxum agree). Manifests of SHA-256 and
/// SHA-512 are read.
/// Errors: NotFound (no bag there); BadInput naming the first file that is altered, lost, added, named twice,
///         or whose path leaves the bag; Cancelled.
Result<BagReport> verifyBag(const std::filesystem::path& folder, const Progress& progress = {});

/// Holds a bag of this program against itself: what bag-info.txt says it holds is there, each sheet's scan
/// is the registered one, and every record and geometry reads back equal in every format and, if given, in
/// `project`. A bag of another make gives an empty report. Errors: as holdGeodata; BadInput (something that
/// is missing).
Result<ReadBackReport> verifyBagContent(const std::filesystem::path& folder,
                                        const Project* project = nullptr, const Progress& progress = {});

/// What holdBag finds.
struct HeldBag {
    BagReport files;
    ReadBackReport content;
    std::string unsound; ///< what is wrong with the bag; empty: it is sound
};
/// Both of the above in turn. A bag that is there and not sound is an answer, not an error. Errors: NotFound
/// and whatever else says nothing about the bag, such as a project that cannot be read; Cancelled.
Result<HeldBag> holdBag(const std::filesystem::path& folder, const Project* project = nullptr,
                        const Progress& progress = {});

/// The same of what the files say, without their digests: `files` stays empty.
Result<HeldBag> holdBagContent(const std::filesystem::path& folder, const Project* project = nullptr,
                               const Progress& progress = {});

/// A path as manifests write it: LF, CR and per cent sign encoded, nothing else (RFC 8493, 2.1.3); and back.
std::string manifestPath(const std::string& path);
std::string pathFromManifest(const std::string& written);

} // namespace inkpeg
