// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/ViewMemory.h"

#include <algorithm>
#include <cmath>

#include <QCryptographicHash>
#include <QSettings>
#include <QStringList>

namespace inkpeg {
namespace {

/// Settings keys cannot hold every character that a path or a number may.
QString keyOf(const std::filesystem::path& projectFile, const std::string& drawingNumber)
{
    std::error_code unused;
    const std::string whole =
        std::filesystem::weakly_canonical(projectFile, unused).string() + '\n' + drawingNumber;
    const QByteArray digest =
        QCryptographicHash::hash(QByteArray::fromStdString(whole), QCryptographicHash::Sha256);
    return "views/" + digest.left(12).toHex();
}

/// Within its bounds, whatever stands in the settings.
double numberIn(const QString& text, double least, double most)
{
    const double value = text.toDouble();
    return std::isfinite(value) ? std::clamp(value, least, most) : 0;
}

} // namespace

ViewSettings rememberedView(const std::filesystem::path& projectFile, const std::string& drawingNumber)
{
    const QStringList parts =
        QSettings().value(keyOf(projectFile, drawingNumber)).toString().split(' ', Qt::SkipEmptyParts);
    ViewSettings view;
    if (parts.size() != 5)
        return view;
    view.turnDegrees = numberIn(parts[0], -360, 360);
    view.mirrored = parts[1] == "1";
    view.tone = {numberIn(parts[2], -1, 1), numberIn(parts[3], -1, 1), numberIn(parts[4], 0, 1)};
    return view;
}

void rememberView(const std::filesystem::path& projectFile, const std::string& drawingNumber,
                  const ViewSettings& view)
{
    QSettings settings;
    const QString key = keyOf(projectFile, drawingNumber);
    if (view.asScanned())
        settings.remove(key);
    else
        settings.setValue(key, QString("%1 %2 %3 %4 %5")
                                   .arg(view.turnDegrees)
                                   .arg(view.mirrored ? 1 : 0)
                                   .arg(view.tone.brightness)
                                   .arg(view.tone.contrast)
                                   .arg(view.tone.inkStrength));
}

} // namespace inkpeg
