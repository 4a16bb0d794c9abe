// SPDX-License-Identifier: GPL-3.0-or-later
// Acts of checking: signing off, taking back, corrections; and the people.
#include <algorithm>

#include "app/window/Session.h"
#include "app/window/Words.h"
#include "core/store/Corrections.h"
#include "core/store/SignOffs.h"

namespace inkpeg {

void Session::setReasonAsked(ReasonAsked asked)
{
    m_reasonAsked = std::move(asked);
    watchSeals();
}

/// Every act of the project at hand asks here before it changes what is signed off.
void Session::watchSeals()
{
    if (m_project)
        m_project->setReasonAsked([this](const std::vector<std::string>& sealed) {
            return m_reasonAsked ? m_reasonAsked(sealed) : std::string();
        });
}

bool Session::tell(const Result<Change>& change)
{
    if (!change)
        return refuse(change.error());
    follow(*change);
    emit recordsChanged();
    emit said(sentence(words(change->what)), false);
    sayReadingTrouble();
    return true;
}

bool Session::signOff(const ProjectRecords& records, const std::vector<Matter>& open,
                      const std::vector<Subject>& subjects, Stage stage, const QString& reason)
{
    return isOpen() && tell(inkpeg::signOff(*m_project, records, open, subjects, stage,
                                            reason.trimmed().toStdString()));
}

bool Session::takeSignOffBack(const Subject& subject, const QString& reason)
{
    return isOpen() && tell(inkpeg::takeSignOffBack(*m_project, subject, reason.trimmed().toStdString()));
}

bool Session::takeProposals(const std::vector<Proposal>& proposals, const QString& reason)
{
    return isOpen() && tell(inkpeg::takeProposals(*m_project, proposals, reason.trimmed().toStdString()));
}

bool Session::changePerson(const Person& person)
{
    return act(tr("change %1 of the people").arg(words(person.initials)), [&](Editor& edit) {
        Person put = person;
        return edit.put(put);
    });
}

bool Session::removePerson(const Person& person)
{
    const std::vector<SignOff> signOffs = m_project->all<SignOff>();
    if (std::ranges::any_of(signOffs, [&](const SignOff& each) { return each.person == person.initials; }))
        return refuse({ErrorCode::Conflict, person.initials +
                                                " has checked or signed something and stays among the "
                                                "people; undo that first"});
    return act(tr("remove %1 from the people").arg(words(person.initials)),
               [&](Editor& edit) { return edit.remove<Person>(person.id); });
}

} // namespace inkpeg
