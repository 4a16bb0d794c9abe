// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/Session.h"

#include <algorithm>
#include <utility>

#include <QDateTime>

#include "app/window/Words.h"
#include "core/base/Digest.h"
#include "core/checks/Tally.h"
#include "core/film/Scan.h"

namespace inkpeg {

Result<void> Session::create(const std::filesystem::path& file, const ProjectFacts& facts,
                             const Person& first)
{
    Result<Project> project = Project::create(file, facts);
    if (!project)
        return project.error();
    if (!first.initials.empty()) {
        project->setPerson(first.initials);
        const auto added = project->act("begin the project", [&](Editor& edit) {
            Person person = first;
            return edit.put(person);
        });
        if (!added)
            return added.error();
    }
    m_project = std::move(project.value());
    watchSeals();
    m_drawing = 0;
    rebuild();
    emit projectChanged();
    emit drawingChosen();
    return {};
}

Result<void> Session::open(const std::filesystem::path& file)
{
    Result<Project> project = Project::open(file, Access::Write);
    QString remark;
    if (!project && project.error().code == ErrorCode::ReadOnly) {
        remark = tr("Opened for reading only: %1").arg(words(project.error().message));
        project = Project::open(file, Access::Read);
    }
    if (!project)
        return project.error();
    m_project = std::move(project.value());
    watchSeals();
    m_drawing = 0;
    const std::vector<Person> people = m_project->all<Person>();
    if (!people.empty())
        m_project->setPerson(people.front().initials);
    const std::vector<Drawing> drawings = m_project->all<Drawing>();
    if (!drawings.empty())
        m_drawing = drawings.front().id;
    m_troubleSaid.clear();
    rebuild();
    emit projectChanged();
    emit drawingChosen();
    if (remark.isEmpty())
        remark = words(m_project->openingRemark());
    if (!remark.isEmpty())
        emit said(remark, true);
    sayReadingTrouble();
    return {};
}

Result<Project> Session::lend()
{
    Result<Project> reading = Project::open(m_project->file(), Access::Read);
    if (!reading)
        return reading.error();
    reading->setPerson(m_project->person());
    m_project->setReasonAsked({}); // a question is for the window's thread
    return std::exchange(*m_project, std::move(*reading));
}

void Session::takeBack(Project project)
{
    m_project = std::move(project);
    watchSeals();
    refresh();
}

void Session::close()
{
    m_project.reset();
    m_drawing = 0;
    m_scene = {};
    emit projectChanged();
    emit drawingChosen();
}

void Session::setPerson(const QString& initials)
{
    if (!m_project || words(m_project->person()) == initials)
        return;
    m_project->setPerson(initials.toStdString());
    emit personChanged();
}

bool Session::addPerson(const Person& person)
{
    const bool added = act(tr("add %1 to the people").arg(words(person.initials)), [&](Editor& edit) {
        Person put = person;
        return edit.put(put);
    });
    if (added)
        setPerson(words(person.initials));
    return added;
}

void Session::chooseDrawing(std::int64_t id)
{
    if (id == m_drawing)
        return;
    m_offer.reset();
    m_drawing = id;
    rebuildDrawing();
    choosePosts();
    chooseNeighbours();
    emit drawingChosen();
}

std::optional<Drawing> Session::drawing() const
{
    return m_scene.drawing ? std::optional(m_scene.drawing->record) : std::nullopt;
}

void Session::setSurroundingsShown(bool shown)
{
    if (m_surroundings == shown)
        return;
    m_surroundings = shown;
    if (m_project)
        rebuildSurroundings();
}

bool Session::refuse(const Error& error)
{
    emit said(words(error.message), true);
    return false;
}

bool Session::act(const QString& what, const Edit& edit, const QString& why)
{
    if (!m_project)
        return false;
    return acted(m_project->act(what.toStdString(), edit, why.toStdString()), what);
}

bool Session::acted(const Result<Change>& change, const QString& what)
{
    if (!change)
        return refuse(change.error());
    follow(*change);
    emit recordsChanged();
    emit said(sentence(what), false);
    sayReadingTrouble();
    return true;
}

/// What the file holds and cannot be read is missing from all that the window shows. Said last, so that
/// nothing takes its place, and not after every act anew.
void Session::sayReadingTrouble()
{
    const std::optional<Error> trouble = m_project->takeReadingTrouble();
    if (!trouble || trouble->message == m_troubleSaid)
        return;
    m_troubleSaid = trouble->message;
    emit said(words(trouble->message), true);
}

bool Session::undo()
{
    return m_project && tell(m_project->undo()); // "Undo: move a vertex"
}

bool Session::redo()
{
    return m_project && tell(m_project->redo()); // "Redo: move a vertex"
}

void Session::refresh()
{
    if (m_drawing == 0) {
        const std::vector<Drawing> drawings = m_project->all<Drawing>();
        if (!drawings.empty())
            m_drawing = drawings.front().id;
    }
    rebuild();
    emit recordsChanged();
    emit drawingChosen();
    sayReadingTrouble();
}

bool Session::waiveMatter(const Matter& matter, const QString& reason)
{
    if (!isOpen())
        return false;
    const std::string now = QDateTime::currentDateTimeUtc().toString(Qt::ISODate).toStdString();
    Result<Waiver> waiver = waive(matter, m_project->person(), reason.trimmed().toStdString(), now);
    if (!waiver)
        return refuse(waiver.error());
    return act(
        tr("set aside: %1").arg(words(matter.words)),
        [&](Editor& edit) { return edit.put(waiver.value()); }, reason.trimmed());
}

bool Session::setScan(const std::filesystem::path& file, bool faceDown)
{
    const std::optional<Drawing> at = drawing();
    if (!at)
        return false;
    const Result<Scan> scan = Scan::open(file);
    if (!scan)
        return refuse(scan.error());
    const Result<std::string> digest = digestOfFile(file);
    if (!digest)
        return refuse(digest.error());
    Sheet sheet = m_project->byKey<Sheet>(at->sheet).value_or(Sheet{});
    if (sheet.number.empty())
        sheet.number = at->sheet.empty() ? at->number : at->sheet;
    const ScanFacts& facts = scan->facts();
    std::error_code unused;
    sheet.scanFile =
        std::filesystem::proximate(file, m_project->file().parent_path(), unused).generic_string();
    sheet.scanSha256 = *digest;
    sheet.frame.widthPx = facts.widthPx;
    sheet.frame.heightPx = facts.heightPx;
    if (facts.dpiX > 0 && facts.dpiY > 0) {
        sheet.frame.dpiX = facts.dpiX;
        sheet.frame.dpiY = facts.dpiY;
    }
    sheet.frame.faceDown = faceDown;
    return act(tr("give sheet %1 its scan").arg(words(sheet.number)), [&](Editor& edit) -> Result<void> {
        if (auto put = edit.put(sheet); !put)
            return put;
        for (Drawing each : m_project->all<Drawing>()) {
            const bool carried = each.sheet == sheet.number || each.id == at->id;
            if (!carried)
                continue;
            each.sheet = sheet.number;
            if (each.stage == Stage::Listed)
                each.stage = Stage::Scanned;
            if (auto put = edit.put(each); !put)
                return put;
        }
        return {};
    });
}

} // namespace inkpeg
