// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/SignOffCard.h"

#include <algorithm>
#include <map>
#include <set>

#include <QComboBox>
#include <QGridLayout>
#include <QHeaderView>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QTreeWidget>
#include <QVBoxLayout>

#include "app/board/Palette.h"
#include "app/window/Away.h"
#include "app/window/CheckWork.h"
#include "app/window/Words.h"
#include "core/records/Numbers.h"

namespace inkpeg {

namespace {

constexpr int KindRole = Qt::UserRole, NumberRole = Qt::UserRole + 1;

bool sealBroken(const SignOff* last)
{
    return last && last->broken;
}

QString signedWords(Stage stage, const SignOff* last)
{
    if (!last)
        return {};
    if (sealBroken(last))
        return QObject::tr("✕ seal broken (%1)").arg(words(last->person));
    if (last->stage < Stage::Checked)
        return QObject::tr("taken back, %1").arg(words(last->person));
    return stage == Stage::SignedOff ? QObject::tr("● sealed, %1").arg(words(last->person))
                                     : QObject::tr("%1").arg(words(last->person));
}

QString historyLine(const SignOff& signOff)
{
    return QObject::tr("%1 %2 %3%4%5")
        .arg(words(signOff.at.substr(0, 16)).replace('T', ' '), words(signOff.person),
             stageWord(signOff.stage),
             signOff.reason.empty() ? QString() : QStringLiteral(": ") + words(signOff.reason),
             signOff.broken ? QObject::tr(" (seal broken since)") : QString());
}

} // namespace

SignOffCard::SignOffCard(Session& session, QWidget* parent)
    : QWidget(parent), m_session(session), m_heading(new QLabel(this)), m_open(new QLabel(this)),
      m_shows(new QComboBox(this)), m_list(new QTreeWidget(this)), m_history(new QLabel(this)),
      m_reason(new QLineEdit(this)), m_check(new QPushButton(tr("Mark as &checked"), this)),
      m_sign(new QPushButton(tr("Sign &off"), this)),
      m_back(new QPushButton(tr("Take &back to traced"), this))
{
    m_heading->setObjectName("subheading");
    m_shows->addItem(tr("this drawing and its contexts"), static_cast<int>(Shows::DrawingAndContexts));
    m_shows->addItem(tr("all contexts of its trench"), static_cast<int>(Shows::TrenchContexts));
    m_shows->addItem(tr("all drawings"), static_cast<int>(Shows::AllDrawings));
    m_shows->addItem(tr("all contexts"), static_cast<int>(Shows::AllContexts));
    m_shows->setAccessibleName(tr("What is listed for signing"));
    m_shows->setToolTip(tr("What is listed"));
    m_list->setHeaderLabels({tr("What"), tr("Stage"), tr("Signed")});
    m_list->setRootIsDecorated(false);
    m_list->setUniformRowHeights(true);
    m_list->setSelectionMode(QAbstractItemView::ExtendedSelection);
    m_list->setAccessibleName(tr("Drawings and contexts to check and sign"));
    m_list->setToolTip(tr("Choose one or several; Ctrl+A chooses all"));
    m_reason->setPlaceholderText(tr("what was compared; kept in the journal"));
    m_reason->setObjectName("signReason");
    m_check->setToolTip(tr("A second person has gone through it (Ctrl+K)"));
    m_sign->setToolTip(tr("It is done: sealed over what it holds now (Ctrl+Shift+K)"));
    m_back->setToolTip(tr("Take it back to traced; needs a reason"));
    m_check->setObjectName("markChecked");
    m_sign->setObjectName("signOff");
    m_back->setObjectName("takeBack");
    for (QLabel* label : {m_heading, m_open, m_history}) {
        label->setWordWrap(true);
        label->setTextInteractionFlags(Qt::TextSelectableByMouse);
    }
    auto* caption = new QLabel(tr("&Reason"), this);
    caption->setBuddy(m_reason);
    auto* buttons = new QGridLayout;
    buttons->addWidget(m_check, 0, 0);
    buttons->addWidget(m_sign, 0, 1);
    buttons->addWidget(m_back, 1, 0, 1, 2);
    auto* layout = new QVBoxLayout(this);
    layout->addWidget(m_heading);
    layout->addWidget(m_open);
    layout->addWidget(m_shows);
    layout->addWidget(m_list, 1);
    layout->addWidget(m_history);
    layout->addWidget(caption);
    layout->addWidget(m_reason);
    layout->addLayout(buttons);

    connect(m_check, &QPushButton::clicked, this, &SignOffCard::markChecked);
    connect(m_sign, &QPushButton::clicked, this, &SignOffCard::signOff);
    connect(m_back, &QPushButton::clicked, this, &SignOffCard::takeBack);
    connect(m_shows, &QComboBox::activated, this, &SignOffCard::refresh);
    connect(m_list, &QTreeWidget::itemSelectionChanged, this, &SignOffCard::showSelection);
    connect(&session, &Session::projectChanged, this, &SignOffCard::refresh);
    connect(&session, &Session::recordsChanged, this, &SignOffCard::refresh);
    connect(&session, &Session::drawingChosen, this, &SignOffCard::refresh);
    connect(&session, &Session::personChanged, this, &SignOffCard::showSelection);
    refresh();
}

std::vector<Subject> SignOffCard::subjects() const
{
    std::vector<Subject> subjects;
    const auto shows = static_cast<Shows>(m_shows->currentData().toInt());
    const std::optional<Drawing> drawing = m_session.drawing();
    if (shows == Shows::AllDrawings) {
        for (const Drawing& each : m_session.project().all<Drawing>())
            subjects.push_back({"drawing", each.number});
    } else if (shows == Shows::DrawingAndContexts) {
        if (!drawing)
            return subjects;
        subjects.push_back({"drawing", drawing->number});
        std::set<std::string> numbers;
        for (const Outline& outline : m_session.project().ofDrawing<Outline>(drawing->id))
            numbers.insert(outline.context);
        for (const std::string& number : numbers)
            subjects.push_back({"context", number});
    } else {
        for (const Context& context : m_session.project().all<Context>())
            if (shows == Shows::AllContexts || (drawing && context.trench == drawing->trench))
                subjects.push_back({"context", context.number});
    }
    std::ranges::stable_sort(subjects, [](const Subject& a, const Subject& b) {
        return a.kind == b.kind ? numberBefore(a.number, b.number) : a.kind > b.kind;
    });
    return subjects;
}

void SignOffCard::refresh()
{
    std::set<QString> kept;
    for (const QTreeWidgetItem* item : m_list->selectedItems())
        kept.insert(item->text(0));
    const QSignalBlocker quiet(m_list);
    m_list->clear();
    setEnabled(m_session.isOpen());
    if (!m_session.isOpen()) {
        m_heading->setText(tr("Checking"));
        return;
    }
    const std::optional<Drawing> drawing = m_session.drawing();
    m_heading->setText(drawing
                           ? tr("Drawing %1 · %2").arg(words(drawing->number), stageWord(drawing->stage))
                           : tr("No drawing at hand"));
    std::map<std::pair<std::string, std::string>, SignOff> last;
    for (SignOff& signOff : m_session.project().all<SignOff>())
        last[{signOff.subjectKind, signOff.subject}] = signOff;
    std::map<std::string, Stage> drawings, contexts;
    for (const Drawing& each : m_session.project().all<Drawing>())
        drawings[each.number] = each.stage;
    for (const Context& each : m_session.project().all<Context>())
        contexts[each.number] = each.stage;
    for (const Subject& subject : subjects()) {
        const auto& stages = subject.kind == "drawing" ? drawings : contexts;
        const auto stage = stages.find(subject.number);
        if (stage == stages.end())
            continue; // drawn but not registered: the tally tells
        const auto signOff = last.find({subject.kind, subject.number});
        addLine(subject, stage->second, signOff == last.end() ? nullptr : &signOff->second);
    }
    for (int row = 0; row < m_list->topLevelItemCount(); ++row)
        if (kept.contains(m_list->topLevelItem(row)->text(0)))
            m_list->topLevelItem(row)->setSelected(true);
    if (m_list->selectedItems().isEmpty() && m_list->topLevelItemCount() > 0)
        m_list->topLevelItem(0)->setSelected(true);
    m_list->resizeColumnToContents(0);
    m_list->resizeColumnToContents(1);
    showOpen();
    showSelection();
}

void SignOffCard::addLine(const Subject& subject, Stage stage, const SignOff* last)
{
    auto* line = new QTreeWidgetItem(m_list);
    line->setText(0, words(subject.kind + ' ' + subject.number));
    line->setText(1, stageWord(stage));
    line->setText(2, signedWords(stage, last));
    line->setData(0, KindRole, words(subject.kind));
    line->setData(0, NumberRole, words(subject.number));
    if (sealBroken(last)) {
        QFont bold = line->font(2);
        bold.setBold(true);
        line->setFont(2, bold);
        line->setForeground(2, inkpeg::palette().bad);
        line->setToolTip(
            2,
            tr("It was changed after %1 signed it; the change has to be checked").arg(words(last->person)));
    } else if (stage == Stage::SignedOff) {
        line->setForeground(2, inkpeg::palette().good);
    }
}

std::vector<Subject> SignOffCard::chosen() const
{
    std::vector<Subject> subjects;
    for (const QTreeWidgetItem* item : m_list->selectedItems())
        subjects.push_back({item->data(0, KindRole).toString().toStdString(),
                            item->data(0, NumberRole).toString().toStdString()});
    return subjects;
}

void SignOffCard::showSelection()
{
    const std::vector<Subject> subjects = m_session.isOpen() ? chosen() : std::vector<Subject>();
    const bool may = m_session.canWrite() && !subjects.empty();
    m_check->setEnabled(may);
    m_sign->setEnabled(may);
    m_back->setEnabled(may && subjects.size() == 1);
    QStringList lines;
    if (subjects.size() == 1)
        for (const SignOff& signOff : signOffsOf(m_session.project(), subjects[0]))
            lines << historyLine(signOff);
    m_history->setText(subjects.size() > 1 ? tr("%1 chosen").arg(subjects.size())
                       : lines.isEmpty()   ? tr("Nobody has checked it yet.")
                                         : lines.mid(std::max<qsizetype>(0, lines.size() - 4)).join('\n'));
}

void SignOffCard::setTally(const Tally& tally)
{
    m_matters = tally.open;
    showOpen();
}

void SignOffCard::showOpen()
{
    const std::optional<Drawing> drawing = m_session.drawing();
    if (!drawing) {
        m_open->clear();
        return;
    }
    std::vector<Matter> here;
    std::ranges::copy_if(m_matters, std::back_inserter(here),
                         [&](const Matter& matter) { return matter.drawing == drawing->number; });
    const Count count = countOf(here);
    m_open->setText(count.all() == 0 ? tr("Nothing is outstanding on it.")
                                     : tr("Outstanding on it: ■ %1 must, ▲ %2 should, · %3 to note")
                                           .arg(count.must)
                                           .arg(count.should)
                                           .arg(count.note));
}

void SignOffCard::sign(Stage stage)
{
    const std::vector<Subject> subjects = chosen();
    if (subjects.empty() || !m_session.canWrite())
        return;
    const Result<CheckWork> work =
        answerFromAway<Result<CheckWork>>(this, tr("Going through everything that is outstanding"),
                                          [file = m_session.project().file()](const Progress& progress) {
                                              return checkEverything(file, progress);
                                          });
    if (!work) {
        emit m_session.said(words(work.error().message), true);
        return;
    }
    if (m_session.signOff(work->records, work->tally.open, subjects, stage, m_reason->text()))
        m_reason->clear();
}

void SignOffCard::takeBack()
{
    const std::vector<Subject> subjects = chosen();
    if (subjects.size() != 1 || !m_session.canWrite())
        return;
    if (m_reason->text().trimmed().isEmpty()) {
        m_reason->setFocus();
        emit m_session.said(tr("Taking it back needs a reason: write it on the card"), true);
        return;
    }
    if (m_session.takeSignOffBack(subjects[0], m_reason->text()))
        m_reason->clear();
}

void SignOffCard::chooseContext(const QString& number)
{
    for (const Shows shows : {Shows::DrawingAndContexts, Shows::AllContexts}) {
        for (int row = 0; row < m_list->topLevelItemCount(); ++row) {
            QTreeWidgetItem* item = m_list->topLevelItem(row);
            if (item->data(0, KindRole) != "context" || item->data(0, NumberRole) != number)
                continue;
            m_list->setCurrentItem(item);
            return;
        }
        if (shows == Shows::DrawingAndContexts) {
            m_shows->setCurrentIndex(m_shows->findData(static_cast<int>(Shows::AllContexts)));
            refresh();
        }
    }
}

} // namespace inkpeg
