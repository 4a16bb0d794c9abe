// SPDX-License-Identifier: GPL-3.0-or-later
// The demo excavation in a folder of the test's own, and the truth beside it.
#pragma once

#include <vector>

#include <QDir>
#include <QFile>
#include <QJsonArray>
#include <QJsonDocument>
#include <QJsonObject>
#include <QProcess>
#include <QTemporaryDir>

#include "core/base/Units.h"

namespace inkpeg {

struct TruePin {
    QString peg;
    ScanPx mark;
};

struct TrueOutline {
    std::vector<ScanPx> px;
    std::vector<GroundM> ground;
};

class DemoFolder {
public:
    /// False when the generator does not run. `only` is a drawing's number, or empty for all sheets.
    bool make(const QString& only)
    {
        QStringList arguments{path("demo")};
        if (!only.isEmpty())
            arguments << "--only" << only;
        return QProcess::execute(INKPEG_BUILD_DIR "/samples/inkpeg_demo_generator", arguments) == 0;
    }
    QString path(const QString& name) const { return m_folder.filePath(name); }
    QString registers() const { return path("demo/registers"); }

    std::vector<TruePin> pins(const QString& drawing) const
    {
        std::vector<TruePin> pins;
        for (const QJsonValue& value : truth(drawing)["pins"].toArray()) {
            const QJsonObject pin = value.toObject();
            pins.push_back({pin["peg"].toString(), {pin["column"].toDouble(), pin["row"].toDouble()}});
        }
        return pins;
    }
    TrueOutline outline(const QString& drawing, const QString& context) const
    {
        TrueOutline outline;
        for (const QJsonValue& value : truth(drawing)["outlines"].toArray()) {
            const QJsonObject each = value.toObject();
            if (each["context"].toString() != context)
                continue;
            for (const QJsonValue& at : each["px"].toArray())
                outline.px.push_back({at[0].toDouble(), at[1].toDouble()});
            for (const QJsonValue& at : each["ground"].toArray())
                outline.ground.push_back({at[0].toDouble(), at[1].toDouble()});
        }
        return outline;
    }

    /// A place inside an outline, clear of lines (tracing/areas.csv: drawing, context, way, column, row).
    ScanPx placeIn(const QString& drawing, const QString& context) const
    {
        QFile file(path("demo/tracing/areas.csv"));
        if (file.open(QIODevice::ReadOnly))
            while (!file.atEnd()) {
                const QList<QByteArray> cells = file.readLine().split(',');
                if (cells.size() >= 5 && cells[0] == drawing.toUtf8() && cells[1] == context.toUtf8())
                    return {cells[3].toDouble(), cells[4].toDouble()};
            }
        qFatal("tracing/areas.csv has no place in %s of %s", qPrintable(context), qPrintable(drawing));
    }

private:
    QJsonObject truth(const QString& drawing) const
    {
        QFile file(path("demo/truth/" + drawing + ".json"));
        return file.open(QIODevice::ReadOnly) ? QJsonDocument::fromJson(file.readAll()).object()
                                              : QJsonObject();
    }

    QTemporaryDir m_folder;
};

/// Distance from a place to the boundary of a ring.
inline double distanceToRing(GroundM at, const std::vector<GroundM>& ring)
{
    double least = 1e300;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const GroundM a = ring[i], b = ring[(i + 1) % ring.size()];
        const double east = b.east - a.east, north = b.north - a.north;
        const double squared = east * east + north * north;
        double along =
            squared == 0 ? 0 : ((at.east - a.east) * east + (at.north - a.north) * north) / squared;
        along = std::min(1.0, std::max(0.0, along));
        least = std::min(least, distance(at, {a.east + along * east, a.north + along * north}));
    }
    return least;
}

} // namespace inkpeg
