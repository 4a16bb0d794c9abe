// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/print/ReportHtml.h"

#include "app/print/ResidualPicture.h"

namespace inkpeg {

namespace {

// Colours follow Paper.h; dark ones for those who ask for them.
constexpr const char* Style = R"(
:root{--text:#1d2730;--quiet:#5c6b76;--rule:#c4cdd3;--wash:#f1f4f5;--film:#e8f0ec;--good:#1b6b5a;--bad:#a8321f;--check:#2f5d9e;--page:#fff}
@media(prefers-color-scheme:dark){:root{--text:#e6ecef;--quiet:#9fb0ba;--rule:#42505a;--wash:#202b33;--film:#22302c;--good:#6fcab3;--bad:#ff9a86;--check:#9dbef2;--page:#161d22}}
body{margin:0 auto;max-width:60rem;padding:1rem;font:16px/1.5 "DejaVu Sans",Verdana,sans-serif;color:var(--text);background:var(--page)}
h1{font-size:1.5rem;margin:.2em 0}h2{font-size:1.3rem;margin:2.5rem 0 .3rem;border-top:2px solid var(--text);padding-top:1rem}h3{font-size:1rem;margin:1.4rem 0 .3rem}
.quiet,footer{color:var(--quiet);font-size:.85rem}
.stamp{display:inline-block;border:2px solid;border-radius:.4rem;padding:.1em .7em;font-weight:bold;text-transform:uppercase;font-size:.8rem}
.good{color:var(--good)}.bad{color:var(--bad)}.none{color:var(--quiet)}
dl{display:grid;grid-template-columns:minmax(5.5rem,auto) 1fr;gap:.15rem 1rem;margin:.8rem 0}dt{color:var(--quiet)}dd{margin:0;overflow-wrap:anywhere}
.wide{overflow-x:auto}table{border-collapse:collapse;width:100%;font-size:.9rem;font-variant-numeric:tabular-nums}
th{color:var(--quiet);font-weight:normal;text-align:left;border-bottom:1px solid var(--text)}td,th{padding:.25rem .5rem;white-space:nowrap}
tr:nth-child(even) td{background:var(--wash)}.n{text-align:right}.why{white-space:normal}ol{padding-left:1.4rem}
svg{width:100%;height:auto;margin:.5rem 0}svg *{vector-effect:none}
.film{fill:var(--film);stroke:var(--quiet);stroke-width:.18}.frame{fill:none;stroke:var(--quiet);stroke-width:.18;stroke-dasharray:1 .8}
.grid{fill:none;stroke:var(--rule);stroke-width:.2}.tolerance{fill:none;stroke:var(--quiet);stroke-width:.15;stroke-dasharray:.8 .6}
.arrow{stroke:var(--good);fill:var(--good);stroke-width:.5}.arrow.out{stroke:var(--bad);fill:var(--bad);stroke-width:.9}.arrow.check{stroke:var(--check);fill:var(--check)}.arrow.key{stroke:var(--text);fill:var(--text);stroke-width:.4}
.mark{fill:var(--text);stroke:var(--text);stroke-width:.25}.mark.check{fill:var(--page);stroke:var(--check)}.mark.left-out{fill:none;stroke:var(--quiet)}
.label{font-size:2.6px;font-weight:bold;fill:var(--text)}.caption{font-size:2.1px;fill:var(--quiet)}
@media print{h2{break-before:page}}
)";

} // namespace

std::string element(const char* name, const std::string& text, const char* classes)
{
    std::string html = std::string("<") + name;
    if (classes != nullptr)
        html += std::string(" class=\"") + classes + "\"";
    return html + ">" + escapedForMarkup(text) + "</" + name + ">";
}

std::string htmlHead(const std::string& title)
{
    return "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" "
           "content=\"width=device-width, initial-scale=1\">\n" +
           element("title", title) + "\n<style>" + Style + "</style>\n</head>\n<body>\n";
}

} // namespace inkpeg
