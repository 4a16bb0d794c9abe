// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/InkGuide.h"

#include <cmath>

namespace inkpeg {

InkGuide::InkGuide(QObject* parent) : QObject(parent), m_stop(std::make_shared<std::atomic<bool>>(false))
{
    m_pool.setMaxThreadCount(1);
}

InkGuide::~InkGuide()
{
    *m_stop = true;
    m_pool.clear();
    m_pool.waitForDone();
}

void InkGuide::read(const BoardDrawing& drawing)
{
    Wanted wanted;
    if (drawing.widthPx > 0)
        wanted = {drawing.scanFile, drawing.record.frame, std::sqrt(drawing.film.dpiX * drawing.film.dpiY)};
    if (wanted == m_wanted)
        return;
    *m_stop = true;
    m_stop = std::make_shared<std::atomic<bool>>(false);
    m_pool.clear();
    m_wanted = wanted;
    m_ink.reset();
    const int generation = ++m_generation;
    m_percent = wanted.file.empty() ? -1 : 0;
    if (!wanted.file.empty())
        m_pool.start([this, wanted, generation, stop = m_stop] {
            const Progress progress = [this, generation, stop](double share) {
                QMetaObject::invokeMethod(
                    this,
                    [this, generation, share] {
                        if (generation != m_generation || m_ink)
                            return;
                        m_percent = static_cast<int>(share * 100);
                        emit changed();
                    },
                    Qt::QueuedConnection);
                return !*stop;
            };
            const Result<Scan> scan = Scan::open(wanted.file);
            auto ink = std::make_shared<Result<FilmInk>>(
                scan ? readFilmInk(*scan, inkWindow(wanted.frame, scan->facts(), wanted.dpi), wanted.dpi,
                                   {}, progress)
                     : Result<FilmInk>(scan.error()));
            QMetaObject::invokeMethod(
                this, [this, generation, ink] { arrived(generation, *ink); }, Qt::QueuedConnection);
        });
    emit changed();
}

void InkGuide::arrived(int generation, Result<FilmInk>& ink)
{
    if (generation != m_generation)
        return;
    m_percent = -1;
    if (ink)
        m_ink = std::make_shared<const FilmInk>(std::move(ink).value());
    else if (ink.error().code != ErrorCode::Cancelled)
        emit failed(tr("The ink cannot be followed on this drawing: %1; outlines are traced straight")
                        .arg(QString::fromStdString(ink.error().message)));
    emit changed();
}

} // namespace inkpeg
