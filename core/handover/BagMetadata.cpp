// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/BagMetadata.h"

#include "core/base/Text.h"
#include "core/handover/Geodata.h"

namespace inkpeg {

namespace {

/// XML 1.0, 2.2 and 2.4: markup escaped, characters that XML does not have replaced.
std::string xmlText(const std::string& text)
{
    std::string escaped;
    for (const char c : text) {
        if (c == '&')
            escaped += "&amp;";
        else if (c == '<')
            escaped += "&lt;";
        else if (c == '>')
            escaped += "&gt;";
        else if (static_cast<unsigned char>(c) < 0x20 && c != '\t' && c != '\n' && c != '\r')
            escaped += "\xEF\xBF\xBD";
        else
            escaped += c;
    }
    return isUtf8(escaped) ? escaped : std::string("?");
}

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
           element("format", "text/csv") +
           element("description", "Excavation drawings on film, scanned, tied to surveyed control and "
                                  "traced; with registers and stated "
                                  "standard errors.") +
           element("coverage", "Coordinates in " + facts.crs) + element("rights", facts.rights) +
           "</metadata>\n";
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
        "  scans/     the original scans of the drawing film\n"
        "  reports/   residual reports: how each drawing was tied to the ground, and how well\n"
        "  metadata/  Dublin Core (ISO 15836)\n\nRemarks\n";
    for (const std::string& remark : remarks)
        text += "  - " + remark + "\n";
    text += "\nCautions\n";
    for (const std::string& caution : cautions())
        text += "  - " + caution + "\n";
    return text;
}

} // namespace inkpeg
