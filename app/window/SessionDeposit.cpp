// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/Session.h"

namespace inkpeg {

bool Session::setDepositWords(const QString& rights, const QString& depositor)
{
    return act(tr("state the rights and the depositor"), [&](Editor& edit) {
        ProjectFacts facts = m_project->facts();
        facts.rights = rights.trimmed().toStdString();
        facts.depositor = depositor.trimmed().toStdString();
        return edit.putFacts(facts);
    });
}

} // namespace inkpeg
