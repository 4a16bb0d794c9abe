// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/SideBySide.h"

#include <atomic>
#include <cmath>
#include <stdexcept>

#include <QTest>

using namespace inkpeg;

class SideBySideTest final : public QObject {
    Q_OBJECT

private slots:
    /// Many more than there are cores; the share told only grows, and nobody is told from two threads at
    /// once.
    void allPiecesAreDoneAndTheShareRises()
    {
        std::vector<std::atomic<int>> done(40);
        std::vector<SidePiece> pieces;
        for (std::size_t i = 0; i < done.size(); ++i)
            pieces.push_back({double(i % 5 + 1), [&done, i](const Progress& progress) -> Result<void> {
                                  for (const double share : {0.5, 1.0})
                                      if (!report(progress, share))
                                          return Error{ErrorCode::Cancelled, "stopped"};
                                  ++done[i];
                                  return {};
                              }});
        std::atomic<int> within = 0;
        double last = 0;
        bool rises = true, alone = true;
        const Result<void> outcome = doSideBySide(pieces, [&](double share) {
            alone = alone && ++within == 1;
            rises = rises && share >= last;
            last = share;
            --within;
            return true;
        });
        QVERIFY(outcome);
        QVERIFY(rises && alone);
        QVERIFY(std::abs(last - 1) < 1e-12);
        for (const auto& each : done)
            QCOMPARE(each.load(), 1);
    }

    void theFirstInTheirOrderThatFailedOfItselfIsTold()
    {
        // The first is asked to stop because the second failed: that is no reason to tell.
        const auto stopped = [](const Progress& progress) -> Result<void> {
            while (report(progress, 0.5))
                ;
            return Error{ErrorCode::Cancelled, "stopped"};
        };
        const auto fails = [](const Progress&) -> Result<void> {
            return Error{ErrorCode::System, "second"};
        };
        const Result<void> outcome = doSideBySide({{1, stopped}, {2, fails}});
        QCOMPARE(outcome.error().message, std::string("second"));
    }

    void whenOneFailsNoneIsBegun()
    {
        std::atomic<int> begun = 0;
        // The largest is begun first, and fails once all other threads are at work.
        std::vector<SidePiece> pieces{{1000, [&](const Progress&) -> Result<void> {
                                           return Error{ErrorCode::System, "no"};
                                       }}};
        for (int i = 0; i < 500; ++i)
            pieces.push_back({1, [&](const Progress& progress) -> Result<void> {
                                  ++begun;
                                  while (report(progress, 0.5)) // until it is asked to stop
                                      ;
                                  return Error{ErrorCode::Cancelled, "stopped"};
                              }});
        const Result<void> outcome = doSideBySide(pieces);
        QCOMPARE(outcome.error().message, std::string("no"));
        QVERIFY2(begun < 500, qPrintable(QString::number(begun)));
    }

    void stoppingIsCancelled()
    {
        const auto work = [](const Progress& progress) -> Result<void> {
            while (report(progress, 0.5))
                ;
            return Error{ErrorCode::Cancelled, "stopped"};
        };
        int told = 0;
        const Result<void> outcome =
            doSideBySide({{1, work}, {1, work}, {1, work}}, [&](double) { return ++told < 100; });
        QVERIFY(!outcome && outcome.error().code == ErrorCode::Cancelled);
    }

    void whatIsThrownInAThreadIsAnError()
    {
        std::vector<SidePiece> pieces;
        for (int i = 0; i < 4; ++i)
            pieces.push_back(
                {1, [](const Progress&) -> Result<void> { throw std::runtime_error("full"); }});
        const Result<void> outcome = doSideBySide(pieces);
        QVERIFY(!outcome && outcome.error().code == ErrorCode::System);
        QCOMPARE(outcome.error().message, std::string("full"));
    }
};

QTEST_GUILESS_MAIN(SideBySideTest)
#include "SideBySideTest.moc"
