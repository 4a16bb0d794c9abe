// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/Thumbnails.h"

#include <algorithm>
#include <cmath>

#include "core/film/Scan.h"

namespace inkpeg {
namespace {

/// The whole pixels that a drawing's part of the sheet spans, within the scan.
PxRect windowOf(const std::vector<ScanPx>& frame, const ScanFacts& facts)
{
    if (frame.empty())
        return {0, 0, facts.widthPx, facts.heightPx};
    double left = facts.widthPx, top = facts.heightPx, right = 0, bottom = 0;
    for (const ScanPx& corner : frame) {
        left = std::min(left, corner.column);
        right = std::max(right, corner.column);
        top = std::min(top, corner.row);
        bottom = std::max(bottom, corner.row);
    }
    const int column = std::clamp(static_cast<int>(left), 0, facts.widthPx - 1);
    const int row = std::clamp(static_cast<int>(top), 0, facts.heightPx - 1);
    return {column, row, std::clamp(static_cast<int>(right) - column, 1, facts.widthPx - column),
            std::clamp(static_cast<int>(bottom) - row, 1, facts.heightPx - row)};
}

QImage pictureOf(const std::filesystem::path& file, const std::vector<ScanPx>& frame, bool faceDown)
{
    const Result<Scan> scan = Scan::open(file);
    if (!scan)
        return {};
    const PxRect window = windowOf(frame, scan->facts());
    const double shrink = std::min({1.0, Thumbnails::WidthPx / static_cast<double>(window.width),
                                    Thumbnails::HeightPx / static_cast<double>(window.height)});
    const int width = std::max(1, static_cast<int>(std::lround(window.width * shrink)));
    const int height = std::max(1, static_cast<int>(std::lround(window.height * shrink)));
    const Result<GreyImage> grey = scan->readGrey(window, width, height);
    if (!grey)
        return {};
    QImage image(width, height, QImage::Format_Grayscale8);
    for (int row = 0; row < height; ++row) {
        const auto* from = grey->pixels.data() + static_cast<std::ptrdiff_t>(row) * width;
        std::copy(from, from + width, image.scanLine(row));
    }
    return faceDown ? image.mirrored(true, false) : image;
}

} // namespace

Thumbnails::Thumbnails(QObject* parent) : QObject(parent)
{
    m_pool.setMaxThreadCount(1);
}

Thumbnails::~Thumbnails()
{
    m_pool.clear();
    m_pool.waitForDone();
}

void Thumbnails::clear()
{
    ++m_generation;
    m_pool.clear();
    m_made.clear();
}

QImage Thumbnails::of(const Drawing& drawing, const Sheet& sheet, const std::filesystem::path& scanFile)
{
    const QString key = QString::fromStdString(scanFile.string()) + '#' +
                        QString::fromStdString(drawing.number) + (sheet.frame.faceDown ? "/d" : "/u");
    if (const auto made = m_made.constFind(key); made != m_made.constEnd())
        return *made;
    m_made.insert(key, {});
    m_pool.start([this, key, scanFile, frame = drawing.frame, faceDown = sheet.frame.faceDown,
                  generation = m_generation] {
        const QImage picture = pictureOf(scanFile, frame, faceDown);
        QMetaObject::invokeMethod(
            this,
            [this, key, picture, generation] {
                if (generation != m_generation)
                    return;
                m_made.insert(key, picture);
                emit arrived();
            },
            Qt::QueuedConnection);
    });
    return {};
}

} // namespace inkpeg
