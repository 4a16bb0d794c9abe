// SPDX-License-Identifier: GPL-3.0-or-later
// Independent readers of what is printed: poppler, librsvg, libxml2 and others, called as programs.
#pragma once

#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>

#include <QProcess>
#include <QString>
#include <QStringList>

inline std::string slurp(const std::filesystem::path& file)
{
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

/// What the program says; "FAILED: " and its complaint unless it ends well within a minute.
inline QString run(const QString& program, const QStringList& arguments)
{
    QProcess process;
    process.start(program, arguments);
    return process.waitForFinished(60'000) && process.exitStatus() == QProcess::NormalExit &&
                   process.exitCode() == 0
               ? QString::fromUtf8(process.readAllStandardOutput())
               : QString("FAILED: ") + QString::fromUtf8(process.readAllStandardError());
}
