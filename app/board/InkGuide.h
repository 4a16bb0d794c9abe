// SPDX-License-Identifier: GPL-3.0-or-later
// The pencil of the drawing at hand, read away from the window's thread: until it is there, and where there
// is no scan, outlines are traced straight.
#pragma once

#include <atomic>
#include <filesystem>
#include <memory>
#include <vector>

#include <QObject>
#include <QString>
#include <QThreadPool>

#include "app/board/BoardScene.h"
#include "core/film/FilmInk.h"

namespace inkpeg {

class InkGuide final : public QObject {
    Q_OBJECT
public:
    explicit InkGuide(QObject* parent = nullptr);
    ~InkGuide() override;

    /// Begins to read the ink of a drawing unless it is at hand or on its way; what was read for another is
    /// let go and what is being read for another is stopped.
    void read(const BoardDrawing& drawing);

    /// Null until it has been read.
    const FilmInk* ink() const { return m_ink.get(); }
    /// The share read, 0 to 100, while reading; otherwise -1.
    int percent() const { return m_percent; }

signals:
    void changed(); ///< further read, read, or failed
    void failed(const QString& message);

private:
    struct Wanted {
        std::filesystem::path file;
        std::vector<ScanPx> frame;
        double dpi = 0;
        bool operator==(const Wanted&) const = default;
    };
    void arrived(int generation, Result<FilmInk>& ink);

    Wanted m_wanted;
    std::shared_ptr<const FilmInk> m_ink;
    std::shared_ptr<std::atomic<bool>> m_stop;
    int m_percent = -1;
    int m_generation = 0;
    QThreadPool m_pool;
};

} // namespace inkpeg
