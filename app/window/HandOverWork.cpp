// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/HandOverWork.h"

#include "app/print/ResidualReport.h"
#include "app/window/Words.h"
#include "core/handover/Geodata.h"

namespace inkpeg {
namespace {

HandOverWords handOver(const HandOverOrder& order, const Progress& progress)
{
    HandOverWords said;
    const Result<Project> project = Project::open(order.project, Access::Read);
    if (!project) {
        said.trouble = words(project.error().message);
        return said;
    }
    GeodataSettings settings;
    settings.geoPackage = order.geoPackage;
    settings.geoJson = order.geoJson;
    settings.csv = order.csv;
    settings.gml = order.gml;
    settings.shapefile = order.shapefile;
    settings.replace = order.replace;
    // The report takes the last fifth of the way.
    const Progress first = [&](double share) {
        return report(progress, order.report ? share * 0.8 : share);
    };
    const Result<HandOverReport> done = handOverGeodata(*project, order.folder, settings, first);
    if (!done) {
        said.trouble = words(done.error().message);
        return said;
    }
    for (const HandedOverFile& file : done->files)
        said.files << words(file.name);
    for (const std::string& remark : done->remarks)
        said.remarks << words(remark);
    if (order.report) {
        const Result<ProjectFigures> figures = residualFigures(*project);
        const Progress second = [&](double share) { return report(progress, 0.8 + share * 0.2); };
        const auto written = figures ? writeResidualReport(*figures, order.folder / "residuals", second)
                                     : Result<std::vector<std::filesystem::path>>(figures.error());
        if (!written) {
            said.trouble = words(written.error().message);
            return said;
        }
        for (const std::filesystem::path& file : *written)
            said.files << words(file.lexically_relative(order.folder).generic_string());
    }
    said.done = true;
    return said;
}

} // namespace

HandOverWork::HandOverWork(QObject* parent) : QObject(parent)
{
    m_pool.setMaxThreadCount(1);
}

HandOverWork::~HandOverWork()
{
    cancel();
    m_pool.waitForDone();
}

void HandOverWork::start(const HandOverOrder& order)
{
    m_running = true;
    m_cancelled = std::make_shared<std::atomic<bool>>(false);
    m_pool.start([this, order, cancelled = m_cancelled] {
        const HandOverWords said = handOver(order, [&](double share) {
            QMetaObject::invokeMethod(
                this, [this, share] { emit progressed(share); }, Qt::QueuedConnection);
            return !*cancelled;
        });
        QMetaObject::invokeMethod(
            this,
            [this, said] {
                m_running = false;
                emit finished(said);
            },
            Qt::QueuedConnection);
    });
}

void HandOverWork::cancel()
{
    if (m_cancelled)
        *m_cancelled = true;
}

} // namespace inkpeg
