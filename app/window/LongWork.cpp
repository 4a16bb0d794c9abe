// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/LongWork.h"

#include "app/window/Words.h"
#include "core/base/TimeLeft.h"

namespace inkpeg {

LongWork::LongWork(QObject* parent) : QObject(parent)
{
    m_pool.setMaxThreadCount(1);
}

LongWork::~LongWork()
{
    cancel();
    m_pool.waitForDone();
}

void LongWork::start(std::function<void(const Progress&)> job, std::function<void()> then)
{
    if (m_running)
        return;
    m_running = true;
    m_since.start();
    m_cancelled = std::make_shared<std::atomic<bool>>(false);
    m_pool.start([this, job = std::move(job), then = std::move(then), cancelled = m_cancelled] {
        int lastPermille = -1; // a queue of a thousand steps is enough for any bar
        job([&](double share) {
            if (const int permille = static_cast<int>(share * 1000); permille != lastPermille) {
                lastPermille = permille;
                tell([this, share] { showShare(share); });
            }
            return !*cancelled;
        });
        tell([this, then] {
            m_running = false;
            then();
        });
    });
}

void LongWork::showShare(double share)
{
    const auto left = secondsLeft(share, double(m_since.elapsed()) / 1000);
    emit progressed(share, left ? words(durationWords(*left)) : QString());
}

void LongWork::cancel()
{
    if (m_cancelled)
        *m_cancelled = true;
}

void LongWork::tell(std::function<void()> act)
{
    QMetaObject::invokeMethod(this, std::move(act), Qt::QueuedConnection);
}

} // namespace inkpeg
