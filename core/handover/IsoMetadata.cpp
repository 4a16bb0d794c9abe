// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/IsoMetadata.h"

#include <algorithm>

#include "core/base/Text.h"
#include "core/fit/CheckPoints.h"
#include "core/handover/Geodata.h"
#include "core/handover/Xml.h"
#include "core/records/Names.h"

namespace inkpeg {

namespace {

constexpr const char* CodeLists = "http://standards.iso.org/iso/19139/resources/gmxCodelists.xml#";

std::string wrap(const std::string& name, const std::string& inner)
{
    return "<" + name + ">" + inner + "</" + name + ">\n";
}

/// A property whose value is free text; with no text it says so, as the standard wants it.
std::string text(const std::string& property, const std::string& words)
{
    if (words.empty())
        return "<" + property + " gco:nilReason=\"missing\"/>\n";
    return wrap(property, "<gco:CharacterString>" + xmlText(words) + "</gco:CharacterString>");
}

std::string code(const std::string& property, const std::string& list, const std::string& value)
{
    return wrap(property, "<gmd:" + list + " codeList=\"" + CodeLists + list + "\" codeListValue=\"" +
                              value + "\">" + value + "</gmd:" + list + ">");
}

std::string decimal(const std::string& property, double value)
{
    return wrap(property, "<gco:Decimal>" + fixed(value, 8) + "</gco:Decimal>");
}

std::string party(const std::string& property, const ProjectFacts& facts, const std::string& role)
{
    return wrap(property, wrap("gmd:CI_ResponsibleParty", text("gmd:organisationName", facts.depositor) +
                                                              code("gmd:role", "CI_RoleCode", role)));
}

std::string referenceSystem(const std::string& crs)
{
    const std::size_t colon = crs.find(':');
    return wrap("gmd:referenceSystemInfo",
                wrap("gmd:MD_ReferenceSystem",
                     wrap("gmd:referenceSystemIdentifier",
                          wrap("gmd:RS_Identifier",
                               text("gmd:code", colon == std::string::npos ? crs : crs.substr(colon + 1)) +
                                   text("gmd:codeSpace",
                                        colon == std::string::npos ? "" : crs.substr(0, colon))))));
}

std::string extent(const std::vector<LonLat>& corners)
{
    if (corners.size() != 2)
        return {};
    return wrap("gmd:extent", wrap("gmd:EX_Extent",
                                   wrap("gmd:geographicElement",
                                        wrap("gmd:EX_GeographicBoundingBox",
                                             decimal("gmd:westBoundLongitude", corners[0].longitude) +
                                                 decimal("gmd:eastBoundLongitude", corners[1].longitude) +
                                                 decimal("gmd:southBoundLatitude", corners[0].latitude) +
                                                 decimal("gmd:northBoundLatitude", corners[1].latitude)))));
}

std::string constraints(const ProjectFacts& facts)
{
    std::string uses;
    for (const std::string& caution : cautions())
        uses += text("gmd:useLimitation", caution);
    return wrap("gmd:resourceConstraints",
                wrap("gmd:MD_LegalConstraints",
                     uses + code("gmd:accessConstraints", "MD_RestrictionCode", "otherRestrictions") +
                         code("gmd:useConstraints", "MD_RestrictionCode", "otherRestrictions") +
                         text("gmd:otherConstraints", facts.rights)));
}

std::string coarsestScale(const ProjectFigures& figures)
{
    double scale = 0;
    for (const DrawingFigures& drawing : figures.drawings)
        scale = std::max(scale, drawing.drawing.scaleDenominator);
    if (scale == 0)
        return {};
    return wrap(
        "gmd:spatialResolution",
        wrap("gmd:MD_Resolution",
             wrap("gmd:equivalentScale",
                  wrap("gmd:MD_RepresentativeFraction",
                       wrap("gmd:denominator", "<gco:Integer>" + fixed(scale, 0) + "</gco:Integer>")))));
}

std::string identification(const IsoRecord& record)
{
    const ProjectFacts& facts = record.figures->facts;
    const std::string date = wrap(
        "gmd:date", wrap("gmd:CI_Date",
                         wrap("gmd:date", "<gco:Date>" + record.figures->at.substr(0, 10) + "</gco:Date>") +
                             code("gmd:dateType", "CI_DateTypeCode", "revision")));
    const std::string summary = facts.title +
                                ": excavation drawings on film, scanned, tied to surveyed control "
                                "and traced; with registers and stated standard errors.";
    return wrap(
        "gmd:identificationInfo",
        wrap("gmd:MD_DataIdentification",
             wrap("gmd:citation",
                  wrap("gmd:CI_Citation",
                       text("gmd:title", facts.title.empty() ? facts.siteCode : facts.title) + date)) +
                 text("gmd:abstract", summary) + party("gmd:pointOfContact", facts, "custodian") +
                 constraints(facts) +
                 code("gmd:spatialRepresentationType", "MD_SpatialRepresentationTypeCode", "vector") +
                 coarsestScale(*record.figures) + text("gmd:language", "eng") +
                 wrap("gmd:topicCategory", "<gmd:MD_TopicCategoryCode>society</gmd:MD_TopicCategoryCode>") +
                 extent(record.corners)));
}

std::string distribution(const std::vector<std::string>& formats)
{
    std::string inner;
    for (const std::string& format : formats)
        inner += wrap("gmd:distributionFormat",
                      wrap("gmd:MD_Format", text("gmd:name", format) + text("gmd:version", "")));
    return inner.empty() ? std::string() : wrap("gmd:distributionInfo", wrap("gmd:MD_Distribution", inner));
}

std::string quantity(const std::string& measure, const std::string& method, double metres)
{
    return wrap(
        "gmd:report",
        wrap("gmd:DQ_AbsoluteExternalPositionalAccuracy",
             text("gmd:nameOfMeasure", measure) + text("gmd:evaluationMethodDescription", method) +
                 wrap("gmd:result",
                      wrap("gmd:DQ_QuantitativeResult",
                           "<gmd:valueUnit xlink:href=\"http://www.opengis.net/def/uom/UCUM/0/m\"/>\n" +
                               wrap("gmd:value", "<gco:Record>" + fixed(metres, 4) + "</gco:Record>")))));
}

std::string accuracy(const ProjectFigures& figures)
{
    double worst = 0;
    for (const DrawingFigures& drawing : figures.drawings)
        worst = std::max(worst, drawing.atWorstCorner.totalM());
    std::string reports;
    if (const std::optional<CheckPointAccuracy> checked = projectAccuracy(figures)) {
        const std::string count = std::to_string(checked->points) + " check points left out of the fits" +
                                  (checked->enoughPoints ? "" : "; NSSDA asks for 20 or more");
        reports += quantity("root mean square error, east", count, checked->rmseEastM);
        reports += quantity("root mean square error, north", count, checked->rmseNorthM);
        if (checked->accuracy95M && checked->enoughPoints)
            reports += quantity("horizontal accuracy at 95 % confidence (NSSDA)",
                                count + "; FGDC-STD-007.3-1998", *checked->accuracy95M);
    }
    if (!figures.drawings.empty())
        reports +=
            quantity("standard error of position, largest, one sigma for each axis",
                     "propagated from the fits, the pegs, tracing and the scans' resolution; each vertex "
                     "carries its own",
                     worst);
    return reports;
}

std::string lineage(const ProjectFigures& figures)
{
    std::string steps, sources;
    const auto step = [&](const std::string& words) {
        steps += wrap("gmd:processStep", wrap("gmd:LI_ProcessStep", text("gmd:description", words)));
    };
    step("Drawn by hand on film at the stated scales; the film scanned.");
    for (const DrawingFigures& drawing : figures.drawings) {
        const ControlFit& fit = drawing.ground.fit;
        step(nameOf(drawing.drawing.kind) + " " + drawing.drawing.number + " tied to the ground by " +
             std::to_string(fit.pinsUsed) + " surveyed pegs, model " + modelName(fit.settings.model) +
             ", redundancy " + std::to_string(fit.redundancy) + ", RMSE " + fixed(fit.rmseM * 1000, 1) +
             " mm on the ground: " + fitVerdictName(drawing.verdict) + ".");
        sources += wrap(
            "gmd:source",
            wrap("gmd:LI_Source",
                 text("gmd:description",
                      "Sheet " + drawing.sheet.number + ", " + nameOf(drawing.drawing.kind) + " " +
                          drawing.drawing.number +
                          (drawing.drawing.drawnOn.empty() ? "" : ", drawn " + drawing.drawing.drawnOn)) +
                     wrap("gmd:scaleDenominator",
                          wrap("gmd:MD_RepresentativeFraction",
                               wrap("gmd:denominator", "<gco:Integer>" +
                                                           fixed(drawing.drawing.scaleDenominator, 0) +
                                                           "</gco:Integer>")))));
    }
    step("Outlines, edges, levels and points traced over the scans; checked and signed off as each record "
         "says.");
    return wrap("gmd:lineage",
                wrap("gmd:LI_Lineage",
                     text("gmd:statement",
                          "Scanned drawing film tied to surveyed control and traced over the scans.") +
                         steps + sources));
}

} // namespace

std::optional<CheckPointAccuracy> projectAccuracy(const ProjectFigures& figures)
{
    std::vector<PinResidual> residuals;
    for (const DrawingFigures& drawing : figures.drawings)
        if (!drawing.ground.section) // north is a level there
            residuals.insert(residuals.end(), drawing.ground.fit.residuals.begin(),
                             drawing.ground.fit.residuals.end());
    const CheckPointAccuracy checked = accuracyOfCheckPoints(residuals);
    return checked.points > 0 ? std::optional(checked) : std::nullopt;
}

std::string isoMetadataXml(const IsoRecord& record)
{
    const ProjectFacts& facts = record.figures->facts;
    return "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
           "<gmd:MD_Metadata xmlns:gmd=\"http://www.isotc211.org/2005/gmd\" "
           "xmlns:gco=\"http://www.isotc211.org/2005/gco\" "
           "xmlns:xlink=\"http://www.w3.org/1999/xlink\">\n" +
           text("gmd:fileIdentifier", facts.siteCode) + text("gmd:language", "eng") +
           code("gmd:characterSet", "MD_CharacterSetCode", "utf8") +
           code("gmd:hierarchyLevel", "MD_ScopeCode", "dataset") +
           party("gmd:contact", facts, "pointOfContact") +
           wrap("gmd:dateStamp", "<gco:Date>" + record.figures->at.substr(0, 10) + "</gco:Date>") +
           text("gmd:metadataStandardName", "ISO 19115 Geographic information - Metadata") +
           text("gmd:metadataStandardVersion", "ISO 19115:2003") + referenceSystem(facts.crs) +
           identification(record) + distribution(record.formats) +
           wrap("gmd:dataQualityInfo",
                wrap("gmd:DQ_DataQuality",
                     wrap("gmd:scope", wrap("gmd:DQ_Scope", code("gmd:level", "MD_ScopeCode", "dataset"))) +
                         accuracy(*record.figures) + lineage(*record.figures))) +
           "</gmd:MD_Metadata>\n";
}

} // namespace inkpeg
