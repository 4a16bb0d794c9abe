// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/print/Document.h"
#include "app/print/ResidualPicture.h"
#include "core/handover/Geodata.h"

namespace inkpeg {

namespace {

// Colours follow Paper.h; dark ones for those who ask for them. On a phone each row of a table becomes a
// card whose lines name their column, so that nothing needs scrolling sideways.
constexpr const char* Style = R"(
:root{--text:#1d2730;--quiet:#5c6b76;--rule:#c4cdd3;--wash:#f1f4f5;--page:#fff}
@media(prefers-color-scheme:dark){:root{--text:#e6ecef;--quiet:#9fb0ba;--rule:#42505a;--wash:#202b33;--page:#161d22}}
body{margin:0 auto;max-width:62rem;padding:1rem;font:16px/1.5 "DejaVu Sans",Verdana,sans-serif;color:var(--text);background:var(--page);overflow-wrap:anywhere}
h1{font-size:1.5rem;margin:.2em 0}h2{font-size:1.25rem;margin:2.2rem 0 .4rem;border-top:2px solid var(--text);padding-top:.8rem}h3{font-size:1rem;margin:1.4rem 0 .3rem}
nav ol{padding-left:1.4rem}a{color:inherit}.quiet,footer{color:var(--quiet);font-size:.85rem}
dl{display:grid;grid-template-columns:minmax(6rem,auto) 1fr;gap:.15rem 1rem;margin:.6rem 0}dt{color:var(--quiet)}dd{margin:0}
table{border-collapse:collapse;width:100%;font-size:.9rem;font-variant-numeric:tabular-nums}
th{color:var(--quiet);font-weight:normal;text-align:left;border-bottom:1px solid var(--text)}td,th{padding:.25rem .5rem;vertical-align:top}
tr:nth-child(even) td{background:var(--wash)}.n{text-align:right}
.sign{margin-top:2.2rem;border-top:1px solid var(--text);max-width:26rem;color:var(--quiet)}
@media(max-width:40rem){thead{display:none}table,tbody,tr,td{display:block}tr{border-top:1px solid var(--rule);padding:.4rem 0}td{padding:.05rem 0}td.n{text-align:left}tr:nth-child(even) td{background:none}td::before{content:attr(data-of) ": ";color:var(--quiet)}}
@media print{h2{break-before:page}}
)";

std::string escaped(const std::string& text)
{
    return escapedForMarkup(text);
}

std::string html(const DocumentWords& words)
{
    return std::string("<p") + (words.quiet ? " class=\"quiet\"" : "") + ">" + escaped(words.text) +
           "</p>\n";
}

std::string html(const DocumentFacts& facts)
{
    std::string text = "<dl>\n";
    for (const auto& [label, value] : facts.facts)
        text += "<dt>" + escaped(label) + "</dt><dd>" + escaped(value) + "</dd>\n";
    return text + "</dl>\n";
}

std::string html(const DocumentTable& table)
{
    const auto classOf = [&](std::size_t column) {
        return column < table.right.size() && table.right[column] ? " class=\"n\"" : "";
    };
    std::string text = "<table>\n<thead><tr>";
    for (std::size_t i = 0; i < table.headings.size(); ++i)
        text += std::string("<th") + classOf(i) + ">" + escaped(table.headings[i]) + "</th>";
    text += "</tr></thead>\n<tbody>\n";
    for (const std::vector<std::string>& row : table.rows) {
        text += "<tr>";
        for (std::size_t i = 0; i < row.size(); ++i)
            text += std::string("<td") + classOf(i) + " data-of=\"" + escaped(table.headings[i]) + "\">" +
                    escaped(row[i]) + "</td>";
        text += "</tr>\n";
    }
    return text + "</tbody>\n</table>\n";
}

std::string html(const DocumentSignatures& signatures)
{
    std::string text;
    for (const std::string& role : signatures.roles)
        text += "<p class=\"sign\">" + escaped(role) + ", name, date</p>\n";
    return text;
}

} // namespace

std::string documentHtml(const Document& document)
{
    const std::string title = escaped(document.siteCode + " " + document.title);
    std::string page =
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n"
        "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n<title>" +
        title + "</title>\n<style>" + Style + "</style>\n</head>\n<body>\n<h1>" + title +
        "</h1>\n<p class=\"quiet\">State of the project: " + escaped(document.at) + "</p>\n<nav><ol>\n";
    for (std::size_t i = 0; i < document.chapters.size(); ++i)
        if (document.chapters[i].level == 0)
            page += "<li><a href=\"#chapter-" + std::to_string(i + 1) + "\">" +
                    escaped(document.chapters[i].title) + "</a></li>\n";
    page += "</ol></nav>\n";
    for (std::size_t i = 0; i < document.chapters.size(); ++i) {
        const DocumentChapter& chapter = document.chapters[i];
        const std::string heading = chapter.level == 0 ? "h2" : "h3";
        page += "<" + heading + " id=\"chapter-" + std::to_string(i + 1) + "\">" + escaped(chapter.title) +
                "</" + heading + ">\n";
        for (const DocumentBlock& block : chapter.blocks)
            page += std::visit([](const auto& one) { return html(one); }, block);
    }
    page += "<footer>\n";
    for (const std::string& caution : cautions())
        page += "<p>" + escaped(caution) + "</p>\n";
    return page + "</footer>\n</body>\n</html>\n";
}

} // namespace inkpeg
