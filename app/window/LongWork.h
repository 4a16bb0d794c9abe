// SPDX-License-Identifier: GPL-3.0-or-later
// One piece of long work on a thread of its own, watched from the window.
#pragma once

#include <atomic>
#include <functional>
#include <memory>

#include <QElapsedTimer>
#include <QObject>
#include <QString>
#include <QThreadPool>

#include "core/base/Progress.h"

namespace inkpeg {

class LongWork final : public QObject {
    Q_OBJECT
public:
    explicit LongWork(QObject* parent = nullptr);
    /// Asks the work to stop and waits for it.
    ~LongWork() override;

    bool running() const { return m_running; }

    /// Runs `job` on the other thread, then `then` on this one, also when it was stopped. `job` must not
    /// touch widgets; what it finds it leaves where `then` looks. Nothing happens while a job is running.
    void start(std::function<void(const Progress&)> job, std::function<void()> then);
    void cancel();

    /// From the job's thread: runs `act` on the window's.
    void tell(std::function<void()> act);

signals:
    /// The share done, and in words how much longer it will take (empty while that is a guess).
    void progressed(double share, const QString& timeLeft);

private:
    void showShare(double share);

    bool m_running = false;
    std::shared_ptr<std::atomic<bool>> m_cancelled;
    QElapsedTimer m_since;
    QThreadPool m_pool;
};

} // namespace inkpeg
