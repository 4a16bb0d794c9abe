// SPDX-License-Identifier: GPL-3.0-or-later
// What the hand-over page says beforehand: counted away from the window's thread, told again with every choice.
#include <memory>
#include <utility>

#include <QCheckBox>
#include <QLineEdit>
#include <QLocale>
#include <QTextBrowser>

#include "app/window/HandOverPage.h"
#include "app/window/LongWork.h"
#include "app/window/PathField.h"
#include "app/window/PlanChoices.h"
#include "app/window/Words.h"
#include "core/store/OneState.h"

namespace inkpeg {

QString HandOverPage::list(const QString& heading, const QStringList& lines)
{
    if (lines.isEmpty())
        return {};
    QString html = "<p>" + heading.toHtmlEscaped() + "</p><ul>";
    for (const QString& line : lines)
        html += "<li>" + line.toHtmlEscaped() + "</li>";
    return html + "</ul>";
}

void HandOverPage::refresh()
{
    m_cloud->setEnabled(m_laid->isChecked());
    m_world->setEnabled(m_laid->isChecked());
    if (!m_stocked || !m_session.isOpen() || m_work->running() || !isVisible())
        return;
    m_toldOf = false;
    const HandOverForecast said = forecast(m_stock, order());
    QStringList parts, unfinished;
    for (const HandOverForecast::Part& part : said.parts)
        parts << words(part.what) + ": " + words(part.about) + ", " +
                     QLocale().formattedDataSize(static_cast<qint64>(part.bytes), 1);
    for (const std::string& line : said.unfinished)
        unfinished << words(line);
    QString html = "<p><b>" +
                   tr("To be written, about %1")
                       .arg(QLocale().formattedDataSize(static_cast<qint64>(said.bytes()), 1))
                       .toHtmlEscaped() +
                   "</b></p>";
    html += list(tr("In %1:").arg(m_folder->text()), parts);
    html += unfinished.isEmpty() ? "<p>" + tr("✓ Nothing is unfinished.").toHtmlEscaped() + "</p>"
                                 : list(tr("! Unfinished:"), unfinished);
    m_outcome->setHtml(html);
}

/// What is being typed stays; what an undo changed is shown at once.
void HandOverPage::showDepositWords()
{
    const ProjectFacts facts = m_session.project().facts();
    for (const auto& [field, fact] :
         {std::pair{m_rights, &facts.rights}, {m_depositor, &facts.depositor}}) {
        if (!field->isModified())
            field->setText(words(*fact));
        field->setReadOnly(!m_session.canWrite());
    }
}

void HandOverPage::takeStock()
{
    m_stocked = false;
    m_toldOf = m_work->running();
    if (m_session.isOpen() && isVisible()) {
        showDepositWords();
        if (!m_toldOf)
            m_outcome->setPlainText(tr("Counting what there is…"));
    }
    countStock();
}

void HandOverPage::countStock()
{
    if (m_counting->running()) {
        m_countAgain = true;
        return;
    }
    if (!m_session.isOpen() || !isVisible())
        return;
    struct Found {
        QString trouble;
        HandOverStock stock;
        PlanChoices::Offer offer;
    };
    const auto found = std::make_shared<Found>();
    m_counting->start(
        [found, file = m_session.project().file()](const Progress&) {
            const Result<Project> project = Project::open(file, Access::Read);
            if (!project) {
                found->trouble = words(project.error().message);
                return;
            }
            const Result<OneState> state = OneState::hold(*project);
            if (!state) {
                found->trouble = words(state.error().message);
                return;
            }
            found->stock = stockOf(*project);
            found->offer = PlanChoices::offerOf(*project);
            if (const auto unread = project->takeReadingTrouble())
                found->trouble = words(unread->message);
        },
        [this, found] {
            if (std::exchange(m_countAgain, false))
                return countStock();
            if (!found->trouble.isEmpty()) {
                m_outcome->setHtml("<p><b>! " + found->trouble.toHtmlEscaped() + "</b></p>");
                return;
            }
            m_stock = std::move(found->stock);
            m_plans->offer(found->offer);
            m_stocked = true;
            if (!m_toldOf)
                refresh();
        });
}

void HandOverPage::showEvent(QShowEvent* event)
{
    QWidget::showEvent(event);
    if (m_stocked)
        refresh();
    else
        takeStock();
}

void HandOverPage::keepDepositWords()
{
    if (!m_session.isOpen() || !m_session.canWrite())
        return;
    const ProjectFacts facts = m_session.project().facts();
    const QString rights = m_rights->text().trimmed(), depositor = m_depositor->text().trimmed();
    for (QLineEdit* field : {m_rights, m_depositor})
        field->setModified(false);
    if (words(facts.rights) != rights || words(facts.depositor) != depositor)
        m_session.setDepositWords(rights, depositor);
}

} // namespace inkpeg
