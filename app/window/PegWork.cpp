// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/PegWork.h"

#include "app/window/Words.h"
#include "core/film/Scan.h"

namespace inkpeg {
namespace {

Result<GridProposal> gridOf(const std::filesystem::path& file, std::int64_t drawing,
                            const Progress& progress)
{
    const Result<Project> project = Project::open(file, Access::Read);
    if (!project)
        return project.error();
    const std::optional<Drawing> record = project->byId<Drawing>(drawing);
    if (!record)
        return Error{ErrorCode::NotFound, "that drawing is no longer in the project"};
    return proposeGrid(*project, *record, project->ofDrawing<Pin>(drawing), progress);
}

} // namespace

PegWork::PegWork(QObject* parent) : QObject(parent)
{
    m_pool.setMaxThreadCount(2); // a click need not wait for the grid
}

PegWork::~PegWork()
{
    cancel();
    m_pool.waitForDone();
}

void PegWork::centre(const std::filesystem::path& scan, ScanPx near, double radiusPx, double dpi)
{
    const auto promise = std::make_shared<std::promise<Result<CrossMark>>>();
    m_answer = promise->get_future().share();
    m_pool.start([this, promise, scan, near, radiusPx, dpi] {
        const Result<Scan> opened = Scan::open(scan);
        promise->set_value(opened ? centreOnCross(*opened, near, radiusPx, dpi)
                                  : Result<CrossMark>(opened.error()));
        QMetaObject::invokeMethod(
            this, [this] { emit centred(); }, Qt::QueuedConnection);
    });
}

std::optional<Result<CrossMark>> PegWork::answer(int mostMs) const
{
    if (!m_answer.valid() ||
        m_answer.wait_for(std::chrono::milliseconds(mostMs)) != std::future_status::ready)
        return std::nullopt;
    return m_answer.get();
}

void PegWork::findGrid(const std::filesystem::path& project, std::int64_t drawing)
{
    cancel();
    m_finding = true;
    m_cancelled = std::make_shared<std::atomic<bool>>(false);
    m_pool.start([this, project, drawing, search = ++m_search, cancelled = m_cancelled] {
        const Result<GridProposal> grid = gridOf(project, drawing, [&](double share) {
            QMetaObject::invokeMethod(
                this, [this, share] { emit progressed(share); }, Qt::QueuedConnection);
            return !*cancelled;
        });
        QMetaObject::invokeMethod(
            this,
            [this, grid, drawing, search] {
                if (search != m_search)
                    return;
                m_finding = false;
                if (grid)
                    emit found(drawing, *grid);
                else
                    emit failed(words(grid.error().message));
            },
            Qt::QueuedConnection);
    });
}

void PegWork::cancel()
{
    if (m_cancelled)
        *m_cancelled = true;
}

} // namespace inkpeg
