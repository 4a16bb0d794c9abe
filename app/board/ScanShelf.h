// SPDX-License-Identifier: GPL-3.0-or-later
// The scans that the board shows: opened, looked at, and their levels built, all away from the window's
// thread.
#pragma once

#include <atomic>
#include <filesystem>
#include <map>
#include <memory>
#include <set>
#include <string>
#include <vector>

#include <QObject>
#include <QString>
#include <QStringList>
#include <QThreadPool>

#include "core/film/FilmTone.h"
#include "core/film/Pyramid.h"

namespace inkpeg {

/// A scan and what is known of it so far. Changed only on the window's thread; the parts it points to never
/// change and may be used by any.
struct ShelvedScan {
    std::filesystem::path file;
    std::string sha256;   ///< as the project remembers it
    std::string levelsOf; ///< the SHA-256 that its levels are kept under: its own, once that is known
    std::shared_ptr<TilePyramid> pyramid;
    std::shared_ptr<const PyramidTile> look; ///< the whole scan made small
    std::shared_ptr<const BareFilm> bareFilm;
    QString trouble;    ///< why it cannot be opened
    QStringList damage; ///< what is wrong with it, in words
    std::vector<PxRect> damagedParts;
    bool levelsRefused = false; ///< could not be built
    bool looking = false;
    int opening = 0; ///< which opening this is; answers to earlier ones are dropped
};

class ScanShelf final : public QObject {
    Q_OBJECT
public:
    explicit ScanShelf(QObject* parent = nullptr);
    ~ScanShelf() override;

    /// Where the levels are kept: beside the project. Empty: none are built.
    void setCacheFolder(const std::filesystem::path& folder);

    /// The scan; the first call begins to open it, and `changed` tells when more of it is there. The scan
    /// at hand gets a first look by all means; others only from built levels.
    std::shared_ptr<const ShelvedScan> scan(const std::filesystem::path& file, const std::string& sha256,
                                            bool atHand);
    /// Lets go of all others.
    void keepOnly(const std::set<std::filesystem::path>& files);

    /// True while something is being opened, looked at or built that has not been told of yet.
    bool opening() const { return m_jobs > 0; }
    bool building() const { return m_building != nullptr; }

    /// Levels are built only while this is wanted. Off stops what is being built; nothing half built stays.
    void setBuildingWanted(bool wanted);
    bool buildingWanted() const { return m_buildingWanted; }

    /// Damage met while tiles were read.
    void lookForDamage();

signals:
    void changed();
    void failed(const QString& words);
    void damaged(const QString& words);
    /// 0 to 1 while the levels of a scan are being built; 1 when none are any more.
    void buildingShare(double share, const QString& name);

private:
    struct Build {
        std::filesystem::path file;
        int opening = 0;
        std::atomic<bool> stop{false};
    };
    using Shelved = std::shared_ptr<ShelvedScan>;
    void open(const Shelved& scan);
    void lookAt(const Shelved& scan);
    void verify(const Shelved& scan);
    void buildNext();
    void built(const std::shared_ptr<Build>& build, bool done, bool cancelled, const QString& trouble);
    void noteDamage(ShelvedScan& scan);
    void noteOtherScan(ShelvedScan& scan);
    /// Runs `work` on the pool and then `tell` with its outcome on the window's thread.
    template<typename Work, typename Tell>
    void begin(Work work, Tell tell);
    void letGo(std::shared_ptr<TilePyramid> pyramid);
    Shelved current(const std::filesystem::path& file, int opening) const;

    std::shared_ptr<TileCache> m_cache;
    std::filesystem::path m_cacheFolder;
    std::map<std::filesystem::path, Shelved> m_scans;
    std::filesystem::path m_atHand;
    /// SHA-256 of scans read through since the start, by path, size and time of change.
    std::map<std::string, std::string> m_digests;
    std::shared_ptr<Build> m_building;
    bool m_buildingWanted = true;
    int m_openings = 0;
    int m_jobs = 0;
    QThreadPool m_pool;
};

} // namespace inkpeg
