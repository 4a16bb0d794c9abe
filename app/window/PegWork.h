// SPDX-License-Identifier: GPL-3.0-or-later
// Looks at the scan on a thread of its own: centres a click on its cross, finds the grid from two pins.
#pragma once

#include <atomic>
#include <filesystem>
#include <future>
#include <memory>
#include <optional>

#include <QObject>
#include <QThreadPool>

#include "core/film/Crosses.h"
#include "core/store/GridCrosses.h"

namespace inkpeg {

class PegWork final : public QObject {
    Q_OBJECT
public:
    explicit PegWork(QObject* parent = nullptr);
    ~PegWork() override;

    /// Looks for the cross nearest to a place; `centred` tells, unless another click came in between.
    void centre(const std::filesystem::path& scan, ScanPx near, double radiusPx, double dpi);
    /// The answer to the last `centre`, waited for no longer than asked; nothing while it is not there.
    std::optional<Result<CrossMark>> answer(int mostMs) const;

    bool finding() const { return m_finding; }
    /// Finds the grid for the stored pins of a drawing; `found` or `failed` tells.
    void findGrid(const std::filesystem::path& project, std::int64_t drawing);
    void cancel();

signals:
    void centred();
    void progressed(double share);
    void found(qint64 drawing, const inkpeg::GridProposal& grid);
    void failed(const QString& why);

private:
    std::shared_future<Result<CrossMark>> m_answer;
    bool m_finding = false;
    int m_search = 0; ///< an answer to an older search is passed over
    std::shared_ptr<std::atomic<bool>> m_cancelled;
    QThreadPool m_pool;
};

} // namespace inkpeg
