// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/TallyPanel.h"

#include <QComboBox>
#include <QDateTime>
#include <QHBoxLayout>
#include <QHeaderView>
#include <QInputDialog>
#include <QLabel>
#include <QPushButton>
#include <QSignalBlocker>
#include <QTreeWidget>
#include <QVBoxLayout>

#include "app/window/Present.h"
#include "app/window/Words.h"
#include "core/checks/Checks.h"
#include "core/store/LoadRecords.h"

namespace inkpeg {
namespace {

/// A mark for each weight, so that hue is not needed.
QString markOf(Severity severity)
{
    switch (severity) {
    case Severity::Must:
        return QObject::tr("■ must");
    case Severity::Should:
        return QObject::tr("▲ should");
    case Severity::Note:
        return QObject::tr("· note");
    }
    return {};
}

} // namespace

TallyPanel::TallyPanel(Session& session, QWidget* parent)
    : QWidget(parent), m_session(session), m_fold(new QPushButton(this)), m_count(new QLabel(this)),
      m_group(new QComboBox(this)), m_waive(new QPushButton(tr("&Set aside…"), this)),
      m_list(new QTreeWidget(this))
{
    setObjectName("tally");
    setAttribute(Qt::WA_StyledBackground);
    m_fold->setToolTip(tr("Fold the tally up or down (Ctrl+L)"));
    m_fold->setFocusPolicy(Qt::TabFocus);
    for (const GroupBy by :
         {GroupBy::Drawing, GroupBy::Trench, GroupBy::Person, GroupBy::Severity, GroupBy::Check})
        m_group->addItem(tr("by %1").arg(words(groupByName(by))), static_cast<int>(by));
    m_group->setAccessibleName(tr("Group the tally"));
    m_group->setToolTip(tr("How the lines are grouped"));
    m_waive->setToolTip(tr("Sets the chosen line aside, with a reason and your initials"));
    m_list->setHeaderLabels({tr("Weight"), tr("About"), tr("What is outstanding"), tr("What to do")});
    m_list->setAccessibleName(tr("Tally"));
    m_list->setToolTip(tr("Enter or a double click leads to the place"));
    m_list->setUniformRowHeights(true);
    m_list->setMinimumHeight(170);
    m_list->header()->setStretchLastSection(true);

    auto* strip = new QHBoxLayout;
    strip->addWidget(m_fold);
    m_count->setMinimumWidth(80); // however long a trouble is told
    strip->addWidget(m_count, 1);
    strip->addWidget(m_group);
    strip->addWidget(m_waive);
    auto* layout = new QVBoxLayout(this);
    layout->setContentsMargins(10, 4, 10, 4);
    layout->addLayout(strip);
    layout->addWidget(m_list);

    m_soon.setSingleShot(true);
    m_soon.setInterval(400);
    m_pool.setMaxThreadCount(1);
    connect(&m_soon, &QTimer::timeout, this, &TallyPanel::run);
    connect(m_fold, &QPushButton::clicked, this, [this] { setUnfolded(!unfolded()); });
    connect(m_group, &QComboBox::activated, this, &TallyPanel::list);
    connect(m_waive, &QPushButton::clicked, this, &TallyPanel::waiveChosen);
    connect(m_list, &QTreeWidget::itemActivated, this, [this](const QTreeWidgetItem* item) {
        if (const Matter* matter = matterOf(item))
            emit chosen(*matter);
    });
    connect(m_list, &QTreeWidget::itemSelectionChanged, this,
            [this] { m_waive->setEnabled(m_session.canWrite() && matterOf(m_list->currentItem())); });
    connect(&session, &Session::recordsChanged, this, [this] { m_soon.start(); });
    connect(&session, &Session::projectChanged, this, [this] {
        ++m_generation;
        m_tally = {};
        list();
        if (m_session.isOpen())
            m_soon.start();
    });
    setUnfolded(false);
    showCount();
}

TallyPanel::~TallyPanel()
{
    m_pool.waitForDone();
}

bool TallyPanel::unfolded() const
{
    return m_list->isVisibleTo(this);
}

void TallyPanel::setUnfolded(bool unfolded)
{
    m_list->setVisible(unfolded);
    m_group->setVisible(unfolded);
    m_waive->setVisible(unfolded);
    m_fold->setText(unfolded ? tr("▾ Tally") : tr("▴ Tally"));
}

void TallyPanel::focusList()
{
    m_list->setFocus(Qt::ShortcutFocusReason);
    if (!m_list->currentItem() && m_list->topLevelItemCount() > 0)
        m_list->setCurrentItem(m_list->topLevelItem(0));
}

void TallyPanel::run()
{
    if (!m_session.isOpen())
        return;
    if (m_running) {
        m_again = true;
        return;
    }
    m_running = true;
    showCount();
    m_pool.start([this, file = m_session.project().file(), generation = m_generation] {
        Tally tally;
        QString trouble;
        if (const Result<Project> project = Project::open(file, Access::Read)) {
            const Result<ProjectRecords> records = loadRecords(*project);
            if (records)
                tally = tallyOf(runChecks(*records), records->waivers);
            else
                trouble = words(records.error().message);
        } else {
            trouble = words(project.error().message);
        }
        QMetaObject::invokeMethod(
            this, [this, generation, tally, trouble] { arrived(generation, tally, trouble); },
            Qt::QueuedConnection);
    });
}

void TallyPanel::arrived(int generation, const Tally& tally, const QString& trouble)
{
    m_running = false;
    if (generation == m_generation) {
        m_tally = tally;
        m_trouble = trouble;
        list();
        emit counted();
    }
    if (std::exchange(m_again, false))
        run();
}

void TallyPanel::showCount()
{
    m_count->setToolTip(m_trouble);
    if (!m_trouble.isEmpty())
        m_count->setText(tr("The checks could not run: %1").arg(m_trouble));
    else if (m_running && m_tally.open.empty())
        m_count->setText(tr("Checking…"));
    else if (m_tally.open.empty())
        m_count->setText(tr("Nothing outstanding"));
    else
        m_count->setText(tr("<b>%1</b> outstanding:  ■ %2 must,  ▲ %3 should,  · %4 to note;  %5 set aside")
                             .arg(m_tally.count.all())
                             .arg(m_tally.count.must)
                             .arg(m_tally.count.should)
                             .arg(m_tally.count.note)
                             .arg(m_tally.waived.size()));
}

void TallyPanel::list()
{
    showCount();
    const QSignalBlocker quiet(m_list);
    m_list->clear();
    const auto by = static_cast<GroupBy>(m_group->currentData().toInt());
    for (const Group& group : groupMatters(m_tally.open, by)) {
        auto* heading = new QTreeWidgetItem(m_list);
        heading->setFirstColumnSpanned(true);
        heading->setText(0, tr("%1  (%2)")
                                .arg(group.name.empty() ? tr("none named") : words(group.name))
                                .arg(group.count.all()));
        for (const std::size_t index : group.matters) {
            const Matter& matter = m_tally.open[index];
            auto* line = new QTreeWidgetItem(heading);
            line->setText(0, markOf(matter.severity));
            line->setText(1, words(matter.subjectKind + ' ' + matter.subject));
            line->setText(2, words(matter.words));
            line->setText(3, words(matter.whatToDo));
            line->setToolTip(2, words(matter.words));
            line->setToolTip(3, words(matter.whatToDo));
            line->setData(0, Qt::UserRole, QVariant::fromValue<qulonglong>(index));
        }
        heading->setExpanded(true);
    }
    m_list->resizeColumnToContents(0);
    m_list->resizeColumnToContents(1);
    m_list->setColumnWidth(2, std::max(300, width() / 2 - 120));
    m_waive->setEnabled(false);
}

const Matter* TallyPanel::matterOf(const QTreeWidgetItem* item) const
{
    if (!item || !item->data(0, Qt::UserRole).isValid())
        return nullptr;
    const auto index = static_cast<std::size_t>(item->data(0, Qt::UserRole).toULongLong());
    return index < m_tally.open.size() ? &m_tally.open[index] : nullptr;
}

void TallyPanel::waiveChosen()
{
    const Matter* chosenMatter = matterOf(m_list->currentItem());
    if (!chosenMatter)
        return;
    auto* dialog = new QInputDialog(this);
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    dialog->setWindowTitle(tr("Set aside"));
    dialog->setLabelText(tr("%1\n\nWhy may this stay as it is?").arg(words(chosenMatter->words)));
    connect(
        dialog, &QInputDialog::textValueSelected, this,
        [this, matter = *chosenMatter](const QString& reason) { m_session.waiveMatter(matter, reason); });
    present(dialog);
}

} // namespace inkpeg
