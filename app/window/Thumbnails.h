// SPDX-License-Identifier: GPL-3.0-or-later
// Small pictures of drawings, made on a thread of their own.
#pragma once

#include <filesystem>

#include <QHash>
#include <QImage>
#include <QObject>
#include <QThreadPool>

#include "core/records/Records.h"

namespace inkpeg {

class Thumbnails final : public QObject {
    Q_OBJECT
public:
    static constexpr int WidthPx = 176; ///< twice the size shown, for dense screens
    static constexpr int HeightPx = 128;

    explicit Thumbnails(QObject* parent = nullptr);
    ~Thumbnails() override;

    void clear();
    /// The picture if it is made, otherwise null and it is being made; `arrived` tells.
    /// `scanFile` and `sheet` belong to the sheet that carries the drawing.
    QImage of(const Drawing& drawing, const Sheet& sheet, const std::filesystem::path& scanFile);

signals:
    void arrived();

private:
    QHash<QString, QImage> m_made; ///< a null picture: being made, or not to be had
    int m_generation = 0;
    QThreadPool m_pool;
};

} // namespace inkpeg
