// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/print/CloseOfDay.h"

#include <algorithm>

#include "app/print/Paper.h"
#include "core/handover/Geodata.h"

namespace inkpeg {

namespace {

constexpr double Left = Paper::MarginMm;
constexpr double Right = Paper::WidthMm - Paper::MarginMm;
constexpr double Bottom = Paper::HeightMm - FootMm - 5;
constexpr double TextLeft = Left + 31;

QString words(const std::string& text)
{
    return QString::fromStdString(text);
}

QString aboutOf(const Matter& matter)
{
    return words(matter.subjectKind + " " + matter.subject);
}

/// "P-05 · T1 · MH", as far as known and not the heading of its group already.
QString whereOf(const Matter& matter, GroupBy by)
{
    QStringList where;
    if (by != GroupBy::Drawing && !matter.drawing.empty() && matter.subject != matter.drawing)
        where << words(matter.drawing);
    if (by != GroupBy::Trench && !matter.trench.empty())
        where << words(matter.trench);
    if (by != GroupBy::Person && !matter.person.empty())
        where << words(matter.person);
    return where.join(QStringLiteral(" · "));
}

class SheetPages {
public:
    SheetPages(const CloseOfDayHead& head, const CloseOfDaySettings& settings)
        : m_head(head), m_settings(settings), m_paper(titleOf(head, settings), head.at)
    {
        drawHead();
    }

    void verdict(const Count& count)
    {
        const bool clear = count.must == 0;
        const QString said =
            clear ? QStringLiteral("NOTHING OUTSTANDING THAT MUST BE DONE")
            : count.must == 1
                ? QStringLiteral("ONE MATTER STANDS IN THE WAY OF BACKFILLING")
                : QStringLiteral("%1 MATTERS STAND IN THE WAY OF BACKFILLING").arg(count.must);
        const QRgb ink = clear ? PaperInk::Good : PaperInk::Bad;
        m_paper.frame({Left, m_y, Right - Left, 11}, ink, 0.6, 1.5);
        m_paper.text(Left + 4, m_y + 7.2, said, Paper::font(10.5, true), ink);
        m_paper.text(Right - 4, m_y + 7.2,
                     QStringLiteral("%1 must · %2 should · %3 to note")
                         .arg(count.must)
                         .arg(count.should)
                         .arg(count.note),
                     Paper::font(8), PaperInk::Text, Paper::Side::Right);
        m_y += 18;
    }

    void matters(const QString& heading, const std::vector<Matter>& listed)
    {
        if (listed.empty())
            return;
        section(heading);
        for (const Group& group : groupMatters(listed, m_settings.by)) {
            roomFor(18);
            m_paper.text(Left, m_y,
                         (group.name.empty() ? QStringLiteral("none named") : words(group.name)) +
                             QStringLiteral("  (%1)").arg(group.count.all()),
                         Paper::font(8.5, true), PaperInk::Quiet);
            m_y += 2;
            for (const std::size_t i : group.matters)
                matter(listed[i]);
            m_y += 4;
        }
    }

    void setAside(const std::vector<WaivedMatter>& waived)
    {
        if (waived.empty())
            return;
        section(QStringLiteral("Set aside"));
        for (const WaivedMatter& one : waived) {
            roomFor(12);
            m_paper.text(Left, m_y, aboutOf(one.matter), Paper::font(8, true), PaperInk::Text,
                         Paper::Side::Left, TextLeft - Left - 2);
            const QString text = words(one.matter.words) + QStringLiteral(". Set aside by ") +
                                 words(one.waiver.person) + QStringLiteral(", ") +
                                 words(one.waiver.at.substr(0, 10)) + QStringLiteral(": ") +
                                 words(one.waiver.reason);
            m_y = m_paper.paragraph(TextLeft, m_y - 2.9, Right - TextLeft, text, Paper::font(8)) + 4.4;
        }
    }

    std::string finish()
    {
        roomFor(24);
        m_y += 6;
        for (const auto& [label, x, room] :
             {std::tuple{"Gone through by", Left, 80.0}, std::tuple{"Date and time", Left + 92, 84.0}}) {
            m_paper.rule(x, m_y + 9, x + room, PaperInk::Text, 0.25);
            m_paper.text(x, m_y + 13, label, Paper::font(7), PaperInk::Quiet);
        }
        foot();
        return m_paper.bytes();
    }

private:
    static QString titleOf(const CloseOfDayHead& head, const CloseOfDaySettings& settings)
    {
        return words("Close of day " + head.site +
                     (settings.trench.empty() ? "" : ", trench " + settings.trench));
    }

    void drawHead()
    {
        m_paper.text(Left, 19, QStringLiteral("CLOSE OF DAY"), Paper::font(7.5, true), PaperInk::Quiet);
        m_paper.text(Right, 19, words(m_head.site), Paper::font(7.5, true), PaperInk::Quiet,
                     Paper::Side::Right);
        m_paper.rule(Left, 21, Right, PaperInk::Text, 0.4);
        const QString title = m_settings.trench.empty()
                                  ? QStringLiteral("What must be done before backfilling")
                                  : QStringLiteral("What must be done before trench %1 is backfilled")
                                        .arg(words(m_settings.trench));
        m_paper.text(Left, 30, title, Paper::font(15, true), PaperInk::Text, Paper::Side::Left,
                     Right - Left);
        m_paper.text(
            Left, 35.5,
            words(m_head.title) + QStringLiteral("  ·  state of the project: ") + words(m_head.at) +
                (m_head.person.empty() ? QString()
                                       : QStringLiteral("  ·  printed by ") + words(m_head.person)),
            Paper::font(8.5), PaperInk::Quiet);
        m_y = 41;
    }

    void section(const QString& heading)
    {
        roomFor(24);
        m_paper.text(Left, m_y, heading, Paper::font(11, true));
        m_paper.rule(Left, m_y + 1.8, Right, PaperInk::Text, 0.25);
        m_y += 7.5;
    }

    void matter(const Matter& matter)
    {
        roomFor(14);
        m_y += 3.6;
        m_paper.frame({Left, m_y - 2.7, 3.2, 3.2}, PaperInk::Text, 0.25); // to be ticked
        const QFont bold = Paper::font(8, true);
        m_paper.text(Left + 5, m_y, aboutOf(matter), bold, PaperInk::Text, Paper::Side::Left,
                     TextLeft - Left - 6);
        double below =
            m_paper.paragraph(TextLeft, m_y - 2.9, Right - TextLeft, words(matter.words), Paper::font(8));
        const QString where = whereOf(matter, m_settings.by);
        below = m_paper.paragraph(TextLeft, below, Right - TextLeft,
                                  words(matter.whatToDo) +
                                      (where.isEmpty() ? QString() : QStringLiteral("   ") + where),
                                  Paper::font(7.5), PaperInk::Quiet);
        m_y = below + 1.6;
    }

    void roomFor(double mm)
    {
        if (m_y + mm <= Bottom)
            return;
        foot();
        m_paper.newPage();
        m_paper.text(Left, 19, titleOf(m_head, m_settings).toUpper(), Paper::font(7.5, true),
                     PaperInk::Quiet);
        m_paper.rule(Left, 21, Right, PaperInk::Text, 0.4);
        m_y = 29;
    }

    void foot()
    {
        drawFoot(m_paper, m_head.at,
                 QStringLiteral("The list holds what the records show. Whether a trench may be entered, "
                                "left open or backfilled is for the competent person on site to say."));
    }

    const CloseOfDayHead& m_head;
    const CloseOfDaySettings& m_settings;
    Paper m_paper;
    double m_y = Paper::MarginMm;
};

std::vector<Matter> ofSeverity(const std::vector<Matter>& matters, Severity severity)
{
    std::vector<Matter> chosen;
    std::copy_if(matters.begin(), matters.end(), std::back_inserter(chosen),
                 [&](const Matter& matter) { return matter.severity == severity; });
    return chosen;
}

} // namespace

Tally listedOnSheet(const Tally& tally, const CloseOfDaySettings& settings)
{
    const auto elsewhere = [&](const Matter& matter) {
        return !settings.trench.empty() && matter.trench != settings.trench;
    };
    Tally listed = tally;
    std::erase_if(listed.open, elsewhere);
    listed.count = countOf(listed.open); // what weighs less is counted all the same
    std::erase_if(listed.open, [&](const Matter& matter) { return matter.severity > settings.least; });
    std::erase_if(listed.waived, [&](const WaivedMatter& one) {
        return elsewhere(one.matter) || one.matter.severity > settings.least;
    });
    return listed;
}

std::string closeOfDayPdf(const Tally& tally, const CloseOfDayHead& head,
                          const CloseOfDaySettings& settings)
{
    const Tally listed = listedOnSheet(tally, settings);
    SheetPages sheet(head, settings);
    sheet.verdict(listed.count);
    sheet.matters(QStringLiteral("Must be done"), ofSeverity(listed.open, Severity::Must));
    sheet.matters(QStringLiteral("Should be done while it can be seen"),
                  ofSeverity(listed.open, Severity::Should));
    sheet.matters(QStringLiteral("To note"), ofSeverity(listed.open, Severity::Note));
    sheet.setAside(listed.waived);
    return sheet.finish();
}

} // namespace inkpeg
