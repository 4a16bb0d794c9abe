// SPDX-License-Identifier: GPL-3.0-or-later
// Hands over on a thread of its own, through its own reading access to the project file.
#pragma once

#include <atomic>
#include <filesystem>
#include <memory>

#include <QObject>
#include <QString>
#include <QStringList>
#include <QThreadPool>

namespace inkpeg {

struct HandOverOrder {
    std::filesystem::path project;
    std::filesystem::path folder;
    bool geoPackage = true, geoJson = true, csv = true, gml = false, shapefile = false;
    bool report = true; ///< residual report as PDF and HTML
    bool replace = false;
};

/// What a finished hand-over says.
struct HandOverWords {
    bool done = false;
    QString trouble;   ///< when not done
    QStringList files; ///< relative to the folder
    QStringList remarks;
};

class HandOverWork final : public QObject {
    Q_OBJECT
public:
    explicit HandOverWork(QObject* parent = nullptr);
    ~HandOverWork() override;

    bool running() const { return m_running; }
    void start(const HandOverOrder& order);
    void cancel();

signals:
    void progressed(double share);
    void finished(const inkpeg::HandOverWords& words);

private:
    bool m_running = false;
    std::shared_ptr<std::atomic<bool>> m_cancelled;
    QThreadPool m_pool;
};

} // namespace inkpeg
