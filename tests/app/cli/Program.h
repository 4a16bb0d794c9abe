// SPDX-License-Identifier: GPL-3.0-or-later
// The program as a person calls it: without a display, its words and its exit code caught.
#pragma once

#include <QProcess>
#include <QProcessEnvironment>
#include <QString>
#include <QStringList>

struct Ran {
    int exitCode = -1; ///< -1 if it crashed or did not end in time
    QString out, err;
};

/// Waits for a process that was started.
inline Ran waitedFor(QProcess& process)
{
    const bool ended = process.waitForFinished(240'000);
    return {ended && process.exitStatus() == QProcess::NormalExit ? process.exitCode() : -1,
            QString::fromUtf8(process.readAllStandardOutput()),
            QString::fromUtf8(process.readAllStandardError())};
}

inline void start(QProcess& process, const QStringList& arguments)
{
    QProcessEnvironment environment = QProcessEnvironment::systemEnvironment();
    environment.remove("DISPLAY"); // the command line needs none
    environment.remove("QT_QPA_PLATFORM");
    process.setProcessEnvironment(environment);
    process.start(INKPEG_PROGRAM, arguments);
}

inline Ran run(const QStringList& arguments)
{
    QProcess process;
    start(process, arguments);
    return waitedFor(process);
}
