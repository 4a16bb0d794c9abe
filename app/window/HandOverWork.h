// SPDX-License-Identifier: GPL-3.0-or-later
// Hands over on a thread of its own, through its own reading access to the project file.
#pragma once

#include <atomic>
#include <filesystem>
#include <functional>
#include <memory>

#include <QObject>
#include <QString>
#include <QStringList>
#include <QThreadPool>

#include "app/print/HandOver.h"
#include "core/handover/SiteDatabase.h"

namespace inkpeg {

/// What a finished hand-over says.
struct HandOverWords {
    bool done = false;
    QString trouble;    ///< when not done
    bool fault = false; ///< done, and what was looked at is not as it should be: the headline says how
    QString headline;   ///< when done
    QStringList files;  ///< relative to the folder, or rows of the database
    QStringList remarks;
    bool wantsPassword = false; ///< the database asked for one
};

class HandOverWork final : public QObject {
    Q_OBJECT
public:
    explicit HandOverWork(QObject* parent = nullptr);
    ~HandOverWork() override;

    bool running() const { return m_running; }
    void handOver(const std::filesystem::path& project, const HandOverOrder& order);
    void push(const std::filesystem::path& project, const DatabaseSettings& settings);
    /// Draws the plans and sections, and writes nothing.
    void preview(const std::filesystem::path& project, const PlansOrder& order);
    /// Holds a bag against its digests, its formats against each other, and tells whether the project has
    /// changed since.
    void verify(const std::filesystem::path& project, const std::filesystem::path& bag);
    void cancel();

signals:
    void progressed(double share);
    void finished(const inkpeg::HandOverWords& words);
    void drawn(const std::vector<inkpeg::PageArt>& pages); ///< before `finished`

private:
    using Job = std::function<HandOverWords(const Project& project, const Progress& progress)>;
    void start(const std::filesystem::path& project, const Job& job);

    bool m_running = false;
    std::shared_ptr<std::atomic<bool>> m_cancelled;
    QThreadPool m_pool;
};

} // namespace inkpeg
