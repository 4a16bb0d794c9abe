// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/Away.h"

#include <atomic>
#include <memory>

#include <QCloseEvent>
#include <QEventLoop>
#include <QProgressDialog>
#include <QThread>
#include <QTimer>
#include <QWidget>

namespace inkpeg {

namespace {

unsigned long patienceMs = 250;

/// Stays until the work has ended, whatever is pressed.
class AwayDialog final : public QProgressDialog {
public:
    using QProgressDialog::QProgressDialog;
    void reject() override {}

protected:
    void closeEvent(QCloseEvent* event) override { event->ignore(); }
};

} // namespace

void showAwayAfter(unsigned long milliseconds)
{
    patienceMs = milliseconds;
}

void runAway(QWidget* parent, const QString& title, const std::function<void(const Progress&)>& work,
             MayStop mayStop)
{
    std::atomic<bool> stopped = false;
    std::atomic<int> percent = 0;
    const Progress progress = [&](double share) {
        percent = static_cast<int>(share * 100);
        return !stopped.load();
    };
    const std::unique_ptr<QThread> thread(QThread::create([&] { work(progress); }));
    thread->start();
    if (thread->wait(patienceMs))
        return;
    AwayDialog dialog(title, QObject::tr("Stop"), 0, 100, parent);
    if (mayStop == MayStop::No)
        dialog.setCancelButton(nullptr);
    // By itself it would hide as soon as it is told to stop, and give the window back too early.
    QObject::disconnect(&dialog, SIGNAL(canceled()), &dialog, SLOT(cancel()));
    dialog.setWindowModality(Qt::ApplicationModal);
    dialog.setAutoClose(false);
    dialog.setAutoReset(false);
    dialog.setMinimumDuration(0);
    dialog.show();
    QObject::connect(&dialog, &QProgressDialog::canceled, &dialog, [&] {
        stopped = true;
        dialog.setLabelText(QObject::tr("Stopping…"));
    });
    QEventLoop loop;
    QObject::connect(thread.get(), &QThread::finished, &loop, &QEventLoop::quit);
    QTimer tick;
    QObject::connect(&tick, &QTimer::timeout, &dialog, [&] {
        if (!stopped)
            dialog.setValue(percent);
    });
    tick.start(100);
    if (!thread->isFinished())
        loop.exec();
    thread->wait();
    dialog.hide();
    // Not every desktop gives the keys back to the window by itself.
    if (parent)
        parent->window()->activateWindow();
}

} // namespace inkpeg
