// SPDX-License-Identifier: GPL-3.0-or-later
// Work on a thread of its own while a dialog shows how far it is and lets it be stopped; short work shows none.
//
//   const auto sum = answerFromAway<int>(this, tr("Checking"),
//                                        [](const Progress& progress) { ... });
#pragma once

#include <functional>
#include <optional>

#include <QString>

#include "core/base/Progress.h"

class QWidget;

namespace inkpeg {

/// Work that is done by then shows no dialog: 250 ms unless set otherwise. With 0 every piece of work waits
/// in the event loop, as long work does.
void showAwayAfter(unsigned long milliseconds);

/// No: for work that does not ask whether it should go on; its dialog has no Stop.
enum class MayStop { Yes, No };

/// Runs `work` away from the window's thread and comes back when it is done; the window takes no input
/// meanwhile. `work` must not touch widgets, nor the session's own project, which what is drawn meanwhile may
/// ask: it opens the file anew, or has the project lent (Session::lend).
/// Waits in an event loop of its own, so not to be called from within a dialog's farewell (accepted,
/// finished): queue it.
void runAway(QWidget* parent, const QString& title, const std::function<void(const Progress&)>& work,
             MayStop mayStop = MayStop::Yes);

template<typename Answer, typename Work>
Answer answerFromAway(QWidget* parent, const QString& title, const Work& work,
                      MayStop mayStop = MayStop::Yes)
{
    std::optional<Answer> answer;
    runAway(
        parent, title, [&](const Progress& progress) { answer.emplace(work(progress)); }, mayStop);
    return std::move(*answer);
}

} // namespace inkpeg
