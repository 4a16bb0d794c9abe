// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/BagMetadata.h"

#include "core/handover/Geodata.h"
#include "core/handover/Xml.h"

namespace inkpeg {

namespace {

std::string element(const char* name, const std::string& text)
{
    if (text.empty())
        return {};
    return std::string("  <dc:") + name + ">" + xmlText(text) + "</dc:" + name + ">\n";
}

} // namespace

std::string dublinCoreXml(const ProjectFacts& facts, const std::string& at)
{
    return "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
           "<metadata xmlns:dc=\"http://purl.org/dc/elements/1.1/\">\n" +
           element("title", facts.title.empty() ? facts.siteCode : facts.title) +
           element("identifier", facts.siteCode) + element("creator", facts.depositor) +
           element("date", at.substr(0, 10)) + element("type", "Dataset") +
           element("format", "application/geopackage+sqlite3") + element("format", "application/geo+json") +
           element("format", "text/csv") + element("language", "en") +
           element("description", "Excavation drawings on film, scanned, tied to surveyed control and "
                                  "traced; with registers and stated standard errors.") +
           element("source", "Drawing film of " + facts.siteCode) +
           element("coverage", "Coordinates in " + facts.crs) + element("rights", facts.rights) +
           element("publisher", facts.depositor) + "</metadata>\n";
}

std::string bagReadMe(const ProjectFacts& facts, const std::string& at,
                      const std::vector<std::string>& remarks)
{
    std::string text =
        facts.siteCode + " " + facts.title +
        "\n\n"
        "An archive bag (RFC 8493). Verify it with: inkpeg verify FOLDER, or: sha512sum -c "
        "manifest-sha512.txt\n"
        "State of the project: " +
        at +
        "\n\n"
        "  geodata/   GeoPackage, GeoJSON and CSV of everything drawn and registered; what each field "
        "means is in\n"
        "             geodata/data-dictionary.csv\n"
        "  registers/ the registers as CSV (they are in geodata/ too)\n"
        "  scans/     the original scans of the drawing film\n"
        "  laid/      the plans' scans laid into the site grid (GeoTIFF), where asked for\n"
        "  plans/     print-ready plans and sections (PDF, SVG), where asked for\n"
        "  reports/   how each drawing was tied to the ground, and how well; finds, checks, sign-offs\n"
        "  metadata/  Dublin Core (ISO 15836) and ISO 19115 in the encoding of ISO/TS 19139\n\n"
        "A cell of a CSV file that a spreadsheet would run as a formula has an apostrophe in front; it is no "
        "part of the text.\n\nRemarks\n";
    for (const std::string& remark : remarks)
        text += "  - " + remark + "\n";
    text += "\nCautions\n";
    for (const std::string& caution : cautions())
        text += "  - " + caution + "\n";
    return text;
}

} // namespace inkpeg
