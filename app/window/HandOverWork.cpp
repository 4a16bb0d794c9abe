// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/HandOverWork.h"

#include "app/window/Words.h"
#include "core/base/ProgressShare.h"
#include "core/handover/Bag.h"
#include "core/store/OneState.h"

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

HandOverWords wordsOf(const PushReport& report, bool overwrite)
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
    const QString conflicting =
        !overwrite ? HandOverWork::tr("%1 %2 was changed in the database and stays as it is there: %3")
        : report.committed
            ? HandOverWork::tr("%1 %2 was changed in the database, and is written over: %3")
            : HandOverWork::tr("%1 %2 was changed in the database, and would be written over: %3");
    for (const PushConflict& conflict : report.conflicts)
        said.remarks << conflicting.arg(words(conflict.table), words(conflict.record),
                                        words(conflict.fields));
    said.remarks << wordsOf(report.remarks);
    return said;
}

/// The window's acts go on meanwhile: what is handed over, drawn or held against a bag is of one state.
HandOverWords inOneState(const Project& project,
                         const std::function<HandOverWords(const Project&, const Progress&)>& job,
                         const Progress& progress)
{
    const Result<OneState> state = OneState::hold(project);
    return state ? job(project, progress) : troubled(state.error());
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
            return wordsOf(*report, settings.overwrite);
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

void HandOverWork::verify(const std::filesystem::path& project, const std::filesystem::path& bag)
{
    start(project, [bag](const Project& open, const Progress& progress) {
        const Result<HeldBag> held = holdBag(bag, nullptr, shareOf(progress, 0, 0.75));
        if (!held)
            return troubled(held.error());
        HandOverWords said;
        said.done = true;
        if (!held->unsound.empty()) {
            said.fault = true;
            said.headline = tr("%1 is not sound: %2").arg(words(bag.string())).arg(words(held->unsound));
            return said;
        }
        said.headline = tr("%1 is sound: %2 files, %3 records read back equal from %4")
                            .arg(words(bag.string()))
                            .arg(held->files.payloadFiles)
                            .arg(held->content.records)
                            .arg(wordsOf(held->content.formats).join(", "));
        said.remarks = wordsOf(held->content.remarks);
        // Work that went on since is no fault of the bag's.
        const Result<HeldBag> now = holdBagContent(bag, &open, shareOf(progress, 0.75, 1));
        if (!now)
            return troubled(now.error());
        said.remarks << (now->unsound.empty()
                             ? tr("It holds the project as it is now.")
                             : tr("It is not of the project as it is now: %1").arg(words(now->unsound)));
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
        const HandOverWords said = open ? inOneState(*open, job, progress) : troubled(open.error());
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
