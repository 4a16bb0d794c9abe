// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/HandOverWork.h"

#include "app/window/Words.h"

namespace inkpeg {

namespace {

HandOverWords troubled(const Error& error)
{
    HandOverWords said;
    said.trouble = words(error.message);
    return said;
}

QStringList wordsOf(const std::vector<std::string>& texts)
{
    QStringList list;
    for (const std::string& text : texts)
        list << words(text);
    return list;
}

HandOverWords wordsOf(const PushReport& report)
{
    HandOverWords said;
    said.done = true;
    const TablePush sum = report.sum();
    said.headline =
        (report.committed ? HandOverWork::tr("Pushed into the site database")
                          : HandOverWork::tr("Dry run: the database is as it was")) +
        HandOverWork::tr(". %1 added, %2 changed, %3 as they were, %4 in conflict, %5 no longer here")
            .arg(sum.added)
            .arg(sum.changed)
            .arg(sum.same)
            .arg(sum.conflicting)
            .arg(sum.gone);
    for (const TablePush& table : report.tables)
        if (table.added + table.changed + table.conflicting + table.gone > 0)
            said.files << HandOverWork::tr("%1: %2 added, %3 changed, %4 in conflict")
                              .arg(words(table.table))
                              .arg(table.added)
                              .arg(table.changed)
                              .arg(table.conflicting);
    for (const PushConflict& conflict : report.conflicts)
        said.remarks << HandOverWork::tr("%1 %2 was changed in the database and stays as it is there: %3")
                            .arg(words(conflict.table), words(conflict.record), words(conflict.fields));
    said.remarks << wordsOf(report.remarks);
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

void HandOverWork::handOver(const std::filesystem::path& project, const HandOverOrder& order)
{
    start(project, [order](const Project& open, const Progress& progress) {
        const Result<HandedOver> done = inkpeg::handOver(open, order, progress);
        if (!done)
            return troubled(done.error());
        HandOverWords said;
        said.done = true;
        said.headline = order.bag ? tr("Bagged in %1").arg(words(done->folder.string()))
                                  : tr("Handed over into %1").arg(words(done->folder.string()));
        said.files = wordsOf(done->files);
        said.remarks = wordsOf(done->remarks);
        return said;
    });
}

void HandOverWork::push(const std::filesystem::path& project, const DatabaseSettings& settings)
{
    start(project, [settings](const Project& open, const Progress& progress) {
        const Result<PushReport> report = pushToDatabase(open, settings, progress);
        if (report)
            return wordsOf(*report);
        HandOverWords said = troubled(report.error());
        said.wantsPassword = wantsPassword(report.error());
        return said;
    });
}

void HandOverWork::preview(const std::filesystem::path& project, const PlansOrder& order)
{
    start(project, [this, order](const Project& open, const Progress& progress) {
        const Result<PlanPages> pages = planPages(open, order, progress);
        if (!pages)
            return troubled(pages.error());
        std::vector<PageArt> art;
        for (const std::vector<PlanSheet>* sheets : {&pages->plans, &pages->sections})
            for (const PlanSheet& sheet : *sheets)
                art.push_back(sheet.art);
        HandOverWords said;
        said.done = true;
        said.headline = tr("%n pages drawn", nullptr, static_cast<int>(art.size()));
        said.remarks = wordsOf(pages->remarks);
        QMetaObject::invokeMethod(
            this, [this, art] { emit drawn(art); }, Qt::QueuedConnection);
        return said;
    });
}

void HandOverWork::start(const std::filesystem::path& project, const Job& job)
{
    m_running = true;
    m_cancelled = std::make_shared<std::atomic<bool>>(false);
    m_pool.start([this, project, job, cancelled = m_cancelled] {
        const Progress progress = [&](double share) {
            QMetaObject::invokeMethod(
                this, [this, share] { emit progressed(share); }, Qt::QueuedConnection);
            return !*cancelled;
        };
        const Result<Project> open = Project::open(project, Access::Read);
        const HandOverWords said = open ? job(*open, progress) : troubled(open.error());
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
