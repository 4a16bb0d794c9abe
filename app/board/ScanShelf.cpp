// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/ScanShelf.h"

#include <algorithm>
#include <thread>

#include "core/base/Digest.h"

namespace inkpeg {
namespace {

constexpr int LookFromLevelsPx = 1024;
// Without levels the look is all there is from this level on: an eighth of the scan, if not too large.
constexpr int LookShrink = 8, LargestLookPx = 2600;
constexpr double BareFilmCellMm = 4;
constexpr double AssumedDpi = 400;

/// Of a file as it lies on the disk: changes when somebody writes to it.
std::string stampOf(const std::filesystem::path& file)
{
    std::error_code unused;
    const auto bytes = std::filesystem::file_size(file, unused);
    const auto time = std::filesystem::last_write_time(file, unused).time_since_epoch().count();
    return file.string() + '|' + std::to_string(bytes) + '|' + std::to_string(time);
}

std::shared_ptr<const PyramidTile> withChannels(const RgbImage& from, int channels)
{
    auto look = std::make_shared<PyramidTile>();
    look->width = from.width;
    look->height = from.height;
    look->channels = channels;
    if (channels == 3)
        look->pixels = from.pixels;
    else
        for (std::size_t i = 0; i < from.pixels.size(); i += 3)
            look->pixels.push_back(from.pixels[i]);
    return look;
}

QString words(const Error& error)
{
    return QString::fromStdString(error.message);
}

struct Look {
    std::shared_ptr<const PyramidTile> picture;
    std::shared_ptr<const BareFilm> bareFilm;
    QString trouble;
};

Look lookOf(TilePyramid& pyramid)
{
    const ScanFacts& facts = pyramid.facts();
    const int longest = std::max(facts.widthPx, facts.heightPx);
    const int side = pyramid.isBuilt() ? LookFromLevelsPx
                                       : std::clamp(longest / LookShrink, LookFromLevelsPx, LargestLookPx);
    const Result<RgbImage> look = pyramid.firstLook(side);
    if (!look)
        return {nullptr, nullptr, words(look.error())};
    const auto picture = withChannels(*look, pyramid.channels());
    const double dpi = facts.dpiX > 0 ? facts.dpiX : AssumedDpi;
    return {picture,
            std::make_shared<BareFilm>(*picture, facts.widthPx, facts.heightPx,
                                       dpi * BareFilmCellMm / MillimetresPerInch),
            {}};
}

} // namespace

ScanShelf::ScanShelf(QObject* parent) : QObject(parent), m_cache(std::make_shared<TileCache>())
{
    m_pool.setMaxThreadCount(2);
}

ScanShelf::~ScanShelf()
{
    if (m_building)
        m_building->stop = true;
    m_pool.clear();
    m_pool.waitForDone();
    m_scans.clear();
}

void ScanShelf::setCacheFolder(const std::filesystem::path& folder)
{
    if (folder == m_cacheFolder)
        return;
    keepOnly({});
    m_cacheFolder = folder;
}

template<typename Work, typename Tell>
void ScanShelf::begin(Work work, Tell tell)
{
    ++m_jobs;
    m_pool.start([this, work = std::move(work), tell = std::move(tell)]() mutable {
        auto outcome = work();
        QMetaObject::invokeMethod(
            this,
            [this, outcome = std::move(outcome), tell = std::move(tell)]() mutable {
                --m_jobs;
                tell(std::move(outcome));
                emit changed();
            },
            Qt::QueuedConnection);
    });
}

/// Ending a pyramid waits for its builder, which stops within one band of the scan: not here.
void ScanShelf::letGo(std::shared_ptr<TilePyramid> pyramid)
{
    if (pyramid)
        m_pool.start([held = std::move(pyramid)]() mutable { held.reset(); });
}

ScanShelf::Shelved ScanShelf::current(const std::filesystem::path& file, int opening) const
{
    const auto found = m_scans.find(file);
    return found != m_scans.end() && found->second->opening == opening ? found->second : nullptr;
}

std::shared_ptr<const ShelvedScan> ScanShelf::scan(const std::filesystem::path& file,
                                                   const std::string& sha256, bool atHand)
{
    Shelved& scan = m_scans[file];
    if (!scan || scan->sha256 != sha256) {
        if (scan)
            letGo(std::move(scan->pyramid));
        scan = std::make_shared<ShelvedScan>();
        scan->file = file;
        scan->sha256 = sha256;
        const auto digest = m_digests.find(stampOf(file));
        scan->levelsOf = digest != m_digests.end() && !sha256.empty() ? digest->second : sha256;
        if (scan->levelsOf != sha256)
            noteOtherScan(*scan);
        open(scan);
    }
    if (atHand && m_atHand != file) {
        m_atHand = file;
        // What is at hand is built first.
        if (m_building && m_building->file != file)
            m_building->stop = true;
        if (scan->look)
            verify(scan);
        else if (scan->pyramid)
            lookAt(scan);
    }
    return scan;
}

void ScanShelf::keepOnly(const std::set<std::filesystem::path>& files)
{
    for (auto at = m_scans.begin(); at != m_scans.end();) {
        if (files.contains(at->first)) {
            ++at;
            continue;
        }
        if (m_building && m_building->file == at->first)
            m_building->stop = true;
        if (m_atHand == at->first)
            m_atHand.clear();
        letGo(std::move(at->second->pyramid));
        at = m_scans.erase(at);
    }
}

void ScanShelf::open(const Shelved& scan)
{
    scan->opening = ++m_openings;
    scan->looking = false;
    using Opened = Result<std::shared_ptr<TilePyramid>>;
    begin([file = scan->file, folder = m_cacheFolder, cache = m_cache,
           sha = scan->levelsOf] { return TilePyramid::open(file, folder, cache, sha); },
          [this, file = scan->file, opening = scan->opening](Opened opened) {
              const Shelved held = current(file, opening);
              if (!held) {
                  if (opened)
                      letGo(std::move(*opened));
                  return;
              }
              if (!opened) {
                  held->trouble = words(opened.error());
                  emit failed(held->trouble);
                  return;
              }
              held->pyramid = std::move(*opened);
              noteDamage(*held);
              if (held->pyramid->isBuilt() || m_atHand == file)
                  lookAt(held);
              buildNext();
          });
}

void ScanShelf::lookAt(const Shelved& scan)
{
    if (scan->look || scan->looking)
        return;
    scan->looking = true;
    begin([pyramid = scan->pyramid] { return lookOf(*pyramid); },
          [this, file = scan->file, opening = scan->opening](const Look& look) {
              const Shelved held = current(file, opening);
              if (!held)
                  return;
              held->looking = false;
              held->look = look.picture;
              held->bareFilm = look.bareFilm;
              noteDamage(*held);
              if (!look.trouble.isEmpty())
                  emit failed(look.trouble);
              if (m_atHand == file)
                  verify(held);
              buildNext();
          });
}

/// The levels were taken for those of the scan by its size and time of change; whether it still is the scan
/// that the project was given is told by its bytes alone.
void ScanShelf::verify(const Shelved& scan)
{
    const std::string stamp = stampOf(scan->file);
    if (scan->sha256.empty() || m_digests.contains(stamp))
        return;
    begin([file = scan->file] { return digestOfFile(file); },
          [this, stamp, file = scan->file, opening = scan->opening](const Result<std::string>& digest) {
              const Shelved held = current(file, opening);
              if (!held || !digest)
                  return;
              m_digests[stamp] = *digest;
              if (*digest == held->levelsOf)
                  return;
              letGo(std::move(held->pyramid));
              held->look.reset();
              held->bareFilm.reset();
              held->levelsOf = *digest;
              noteOtherScan(*held);
              open(held);
          });
}

void ScanShelf::noteOtherScan(ShelvedScan& scan)
{
    const QString said =
        tr("%1 is not the scan that this project was given: it has been changed or replaced "
           "(SHA-256 %2…, not %3…)")
            .arg(QString::fromStdString(scan.file.filename().string()),
                 QString::fromStdString(scan.levelsOf.substr(0, 12)),
                 QString::fromStdString(scan.sha256.substr(0, 12)));
    if (scan.damage.contains(said))
        return;
    scan.damage << said;
    emit damaged(said);
}

void ScanShelf::setBuildingWanted(bool wanted)
{
    m_buildingWanted = wanted;
    if (!wanted && m_building)
        m_building->stop = true;
    for (const auto& [file, scan] : m_scans)
        scan->levelsRefused = scan->levelsRefused && !wanted;
    buildNext();
}

void ScanShelf::buildNext()
{
    if (m_building || !m_buildingWanted || m_cacheFolder.empty())
        return;
    const auto wants = [&](const Shelved& scan) {
        return scan->pyramid && !scan->looking && !scan->pyramid->isBuilt() && !scan->levelsRefused;
    };
    Shelved next;
    if (const auto atHand = m_scans.find(m_atHand); atHand != m_scans.end() && wants(atHand->second))
        next = atHand->second;
    for (const auto& [file, scan] : m_scans)
        if (!next && wants(scan))
            next = scan;
    if (!next)
        return;
    m_building = std::make_shared<Build>();
    m_building->file = next->file;
    m_building->opening = next->opening;
    const QString name = QString::fromStdString(next->file.filename().string());
    emit buildingShare(0, name);
    const auto progress = [this, build = m_building, name, told = -1.0](double share) mutable {
        if (share - told >= 0.01) {
            told = share;
            QMetaObject::invokeMethod(
                this,
                [this, build, share, name] {
                    if (m_building == build)
                        emit buildingShare(share, name);
                },
                Qt::QueuedConnection);
        }
        return !build->stop.load();
    };
    const auto done = [this, build = m_building](const Result<void>& outcome) {
        const bool cancelled = !outcome && outcome.error().code == ErrorCode::Cancelled;
        const QString trouble = outcome ? QString() : words(outcome.error());
        QMetaObject::invokeMethod(
            this, [=, this, ok = bool(outcome)] { built(build, ok, cancelled, trouble); },
            Qt::QueuedConnection);
    };
    // One core at least stays with whoever looks and draws.
    const int threads = std::max(1, static_cast<int>(std::thread::hardware_concurrency()) - 1);
    next->pyramid->startBuilding(progress, done, threads);
}

void ScanShelf::built(const std::shared_ptr<Build>& build, bool done, bool cancelled,
                      const QString& trouble)
{
    if (m_building == build)
        m_building.reset();
    if (const Shelved scan = current(build->file, build->opening)) {
        noteDamage(*scan);
        if (done && !scan->look)
            lookAt(scan);
        if (!done && !cancelled) {
            scan->levelsRefused = true;
            emit failed(tr("%1; the scan is shown without its levels").arg(trouble));
        }
        // A pyramid builds once: to build it later it is opened again.
        if (cancelled) {
            letGo(std::move(scan->pyramid));
            open(scan);
        }
    }
    buildNext();
    if (!m_building)
        emit buildingShare(1, {});
    emit changed();
}

void ScanShelf::noteDamage(ShelvedScan& scan)
{
    scan.damagedParts = scan.pyramid->damagedParts();
    for (const std::string& each : scan.pyramid->damage()) {
        QString said = QString::fromStdString(each); // the file's name says enough here
        said.replace(QString::fromStdString(scan.file.string()),
                     QString::fromStdString(scan.file.filename().string()));
        if (scan.damage.contains(said))
            continue;
        scan.damage << said;
        emit damaged(said);
    }
}

void ScanShelf::lookForDamage()
{
    for (const auto& [file, scan] : m_scans)
        if (scan->pyramid)
            noteDamage(*scan);
}

} // namespace inkpeg
