// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/RecordWords.h"

#include <QCoreApplication>
#include <QStringList>

#include "app/window/Words.h"
#include "core/records/Names.h"

namespace inkpeg {
namespace {

QString tr(const char* text)
{
    return QCoreApplication::translate("RecordWords", text);
}

QString levels(const Context& context)
{
    if (context.topM && context.bottomM)
        return tr("levels %1 to %2 m").arg(*context.topM, 0, 'f', 2).arg(*context.bottomM, 0, 'f', 2);
    if (context.topM)
        return tr("top %1 m").arg(*context.topM, 0, 'f', 2);
    if (context.bottomM)
        return tr("bottom %1 m").arg(*context.bottomM, 0, 'f', 2);
    return {};
}

} // namespace

QString recordWords(const Project& project, const std::string& number)
{
    const std::optional<Context> context = project.byKey<Context>(number);
    if (!context)
        return tr("<b>! %1</b> is not in the context register. It may be drawn all the same; the tally "
                  "lists it "
                  "until its record comes in.")
            .arg(words(number).toHtmlEscaped());
    QString head = "<b>" + words(context->number).toHtmlEscaped() + "</b>";
    if (!context->kind.empty())
        head += " · " + words(context->kind).toHtmlEscaped();
    QStringList lines{head};
    if (!context->description.empty())
        lines << words(context->description).toHtmlEscaped();
    QStringList facts;
    if (!context->period.empty())
        facts << words(context->period).toHtmlEscaped();
    if (const QString heights = levels(*context); !heights.isEmpty())
        facts << heights;
    if (!facts.isEmpty())
        lines << facts.join(" · ");
    QStringList relations;
    for (const Relation& relation : project.all<Relation>())
        if (relation.context == number)
            relations << words(nameOf(relation.kind)) + ' ' + words(relation.other).toHtmlEscaped();
    if (!relations.isEmpty())
        lines << relations.join(", ");
    return lines.join("<br>");
}

} // namespace inkpeg
