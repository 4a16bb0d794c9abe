// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/SideBySide.h"

#include <algorithm>
#include <atomic>
#include <exception>
#include <mutex>
#include <numeric>
#include <optional>
#include <thread>

namespace inkpeg {

namespace {

/// What all threads see.
class Sides {
public:
    Sides(const std::vector<SidePiece>& pieces, const Progress& progress)
        : m_pieces(pieces), m_progress(progress), m_done(pieces.size(), 0), m_errors(pieces.size()),
          m_order(pieces.size())
    {
        for (const SidePiece& piece : pieces)
            m_sum += piece.share;
        std::iota(m_order.begin(), m_order.end(), 0U);
        std::stable_sort(m_order.begin(), m_order.end(),
                         [&](std::size_t a, std::size_t b) { return pieces[a].share > pieces[b].share; });
    }

    /// Takes one piece after the other until none is left.
    void run()
    {
        for (std::size_t next = m_next++; next < m_order.size(); next = m_next++) {
            const std::size_t i = m_order[next];
            const Result<void> done = mayBegin() ? doPiece(i) : Error{ErrorCode::Cancelled, "stopped"};
            if (done)
                continue;
            const std::lock_guard lock(m_mutex);
            m_errors[i] = done.error();
            m_stopped = true;
        }
    }

    Result<void> outcome() const
    {
        std::optional<Error> cancelled;
        for (const std::optional<Error>& error : m_errors)
            if (error && error->code != ErrorCode::Cancelled)
                return *error;
            else if (error)
                cancelled = error;
        return cancelled ? Result<void>(*cancelled) : Result<void>();
    }

private:
    bool mayBegin()
    {
        const std::lock_guard lock(m_mutex);
        return !m_stopped;
    }

    /// What is thrown in a thread has nobody to catch it but us.
    Result<void> doPiece(std::size_t i)
    {
        try {
            return m_pieces[i].work([this, i](double share) { return tell(i, share); });
        } catch (const std::exception& thrown) {
            return Error{ErrorCode::System, thrown.what()};
        }
    }

    bool tell(std::size_t piece, double share)
    {
        const std::lock_guard lock(m_mutex);
        m_done[piece] = share;
        double done = 0;
        for (std::size_t i = 0; i < m_done.size(); ++i)
            done += m_done[i] * m_pieces[i].share / m_sum;
        m_stopped = m_stopped || !report(m_progress, done);
        return !m_stopped;
    }

    const std::vector<SidePiece>& m_pieces;
    const Progress& m_progress;
    std::vector<double> m_done;
    std::vector<std::optional<Error>> m_errors;
    std::vector<std::size_t> m_order;
    double m_sum = 0;
    std::atomic<std::size_t> m_next = 0;
    std::mutex m_mutex;
    bool m_stopped = false; ///< guarded by the mutex
};

} // namespace

Result<void> doSideBySide(const std::vector<SidePiece>& pieces, const Progress& progress)
{
    Sides sides(pieces, progress);
    const std::size_t threads =
        std::min<std::size_t>(std::max(1U, std::thread::hardware_concurrency()), pieces.size());
    {
        std::vector<std::jthread> others;
        for (std::size_t i = 1; i < threads; ++i)
            others.emplace_back([&sides] { sides.run(); });
        sides.run();
    }
    return sides.outcome();
}

} // namespace inkpeg
