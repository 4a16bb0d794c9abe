// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/print/ProjectReport.h"

#include <algorithm>
#include <array>
#include <map>

#include "core/base/ProgressShare.h"
#include "core/base/Text.h"
#include "core/checks/Checks.h"
#include "core/checks/Links.h"
#include "core/checks/Tally.h"
#include "core/handover/FeatureLayers.h"
#include "core/handover/Geodata.h"
#include "core/handover/IsoMetadata.h"
#include "core/handover/ResidualFigures.h"
#include "core/records/Names.h"
#include "core/store/LoadRecords.h"

namespace inkpeg {

namespace {

constexpr std::array<const char*, 7> PartNames = {"summary",   "residuals", "finds",     "checks",
                                                  "sign-offs", "deposit",   "dictionary"};

std::string count(std::size_t number, const std::string& one, const std::string& many)
{
    return std::to_string(number) + " " + (number == 1 ? one : many);
}

std::string mm(double metres)
{
    return fixed(metres * 1000, 1);
}

template<typename Record>
std::string byStage(const std::vector<Record>& records)
{
    std::array<int, 6> counts{};
    for (const Record& record : records)
        ++counts[static_cast<std::size_t>(record.stage)];
    std::string words;
    for (std::size_t i = counts.size(); i-- > 0;)
        if (counts[i] > 0)
            words += (words.empty() ? "" : ", ") + std::to_string(counts[i]) + " " +
                     nameOf(static_cast<Stage>(i));
    return words.empty() ? "none" : words;
}

DocumentChapter summary(const ProjectRecords& records)
{
    const ProjectFacts& facts = records.facts;
    DocumentChapter chapter{"Project summary", 0, {}};
    chapter.blocks.push_back(DocumentFacts{{
        {"Site code", facts.siteCode},
        {"Title", facts.title},
        {"Coordinates", facts.crs + ", metres east and north"},
        {"Levels",
         "metres above " + (facts.datum.empty() ? std::string("the project's datum") : facts.datum)},
        {"Drawings", byStage(records.drawings)},
        {"Outlines", byStage(records.outlines)},
        {"Contexts", byStage(records.contexts)},
        {"Finds", count(records.finds.size(), "small find", "small finds") + ", " +
                      count(records.samples.size(), "sample", "samples") + ", " +
                      count(records.timbers.size(), "timber", "timbers")},
        {"Pegs", count(records.pegs.size(), "surveyed peg", "surveyed pegs") + ", " +
                     count(records.pins.size(), "pin", "pins")},
    }});
    DocumentTable table{{"drawing", "kind", "trench", "scale", "stage", "outlines"},
                        {},
                        {2, 2, 2, 1, 2, 1},
                        {false, false, false, true, false, true}};
    std::map<std::int64_t, int> outlines;
    for (const Outline& outline : records.outlines)
        ++outlines[outline.drawing];
    for (const Drawing& drawing : records.drawings)
        table.rows.push_back({drawing.number, nameOf(drawing.kind), drawing.trench,
                              "1:" + exact(drawing.scaleDenominator), nameOf(drawing.stage),
                              std::to_string(outlines[drawing.id])});
    chapter.blocks.push_back(std::move(table));
    return chapter;
}

DocumentChapter residuals(const ProjectFigures& figures)
{
    DocumentChapter chapter{"Residuals", 0, {}};
    chapter.blocks.push_back(DocumentWords{"How each drawing lies on its surveyed pegs: fitted less "
                                           "surveyed. The residual report has every pin and "
                                           "the pictures.",
                                           true});
    DocumentTable table{{"drawing", "model", "pins", "spare", "RMSE mm film", "RMSE mm ground",
                         "longest mm film", "verdict"},
                        {},
                        {1.6, 2, 0.8, 0.9, 1.5, 1.6, 1.6, 2.4},
                        {false, false, true, true, true, true, true, false}};
    for (const DrawingFigures& drawing : figures.drawings) {
        const ControlFit& fit = drawing.ground.fit;
        table.rows.push_back({drawing.drawing.number, modelName(fit.settings.model),
                              std::to_string(fit.pinsUsed), std::to_string(fit.redundancy),
                              fixed(fit.rmseMm, 3), mm(fit.rmseM), fixed(drawing.worstMm, 3),
                              fitVerdictName(drawing.verdict)});
    }
    chapter.blocks.push_back(std::move(table));
    for (const UnfittedDrawing& drawing : figures.unfitted)
        chapter.blocks.push_back(DocumentWords{"Not fitted: " + drawing.why});
    return chapter;
}

Result<DocumentChapter> finds(const ProjectRecords& records, const Progress& progress)
{
    const std::vector<Placed> placed = placedOf(records);
    const Result<std::vector<Link>> links = linkToOutlines(records, placed, progress);
    if (!links)
        return links.error();
    DocumentChapter chapter{"Finds, samples and timbers", 0, {}};
    std::map<std::string, int> verdicts;
    DocumentTable misfits{
        {"kind", "number", "recorded in", "probability", "more probably", "probability", "off m"},
        {},
        {1.2, 1.4, 1.6, 1.4, 1.6, 1.4, 1},
        {false, false, false, true, false, true, true}};
    for (std::size_t i = 0; i < placed.size(); ++i) {
        const Link& link = (*links)[i];
        ++verdicts[verdictName(link.verdict)];
        if (link.verdict == LinkVerdict::Disagree)
            misfits.rows.push_back({pointKindName(placed[i].kind), std::string(placed[i].number),
                                    std::string(placed[i].context), fixed(link.probability, 3),
                                    link.alternative ? link.alternative->context : "",
                                    link.alternative ? fixed(link.alternative->probability, 3) : "",
                                    fixed(link.distanceM, 3)});
    }
    DocumentFacts facts;
    for (const auto& [verdict, number] : verdicts)
        facts.facts.emplace_back(verdict, std::to_string(number));
    chapter.blocks.push_back(std::move(facts));
    if (misfits.rows.empty()) {
        chapter.blocks.push_back(
            DocumentWords{"None lies surely outside the context that its register names."});
    } else {
        chapter.blocks.push_back(
            DocumentWords{"These lie surely outside the context that their register names:"});
        chapter.blocks.push_back(std::move(misfits));
    }
    return chapter;
}

Result<DocumentChapter> checks(const ProjectRecords& records, const Progress& progress)
{
    Result<std::vector<Matter>> matters = runChecks(records, progress);
    if (!matters)
        return matters.error();
    const Tally tally = tallyOf(std::move(matters).value(), records.waivers);
    DocumentChapter chapter{"Checks", 0, {}};
    chapter.blocks.push_back(DocumentFacts{{{"Must be put right", std::to_string(tally.count.must)},
                                            {"Should be looked at", std::to_string(tally.count.should)},
                                            {"Worth knowing", std::to_string(tally.count.note)},
                                            {"Set aside", std::to_string(tally.waived.size())}}});
    DocumentTable open{
        {"weight", "trench", "about", "what is outstanding", "what to do"}, {}, {0.9, 1, 1.4, 4, 4}};
    for (const Matter& matter : tally.open)
        open.rows.push_back({severityName(matter.severity), matter.trench,
                             matter.subjectKind + " " + matter.subject, matter.words, matter.whatToDo});
    if (open.rows.empty())
        chapter.blocks.push_back(DocumentWords{"Nothing is outstanding."});
    else
        chapter.blocks.push_back(std::move(open));
    DocumentTable waived{
        {"about", "what was set aside", "reason", "by", "when"}, {}, {1.4, 4, 3, 0.8, 1.6}};
    for (const WaivedMatter& one : tally.waived)
        waived.rows.push_back({one.matter.subjectKind + " " + one.matter.subject, one.matter.words,
                               one.waiver.reason, one.waiver.person, one.waiver.at.substr(0, 10)});
    if (!waived.rows.empty())
        chapter.blocks.push_back(std::move(waived));
    return chapter;
}

DocumentChapter signOffs(const ProjectRecords& records)
{
    DocumentChapter chapter{"Sign-off sheet", 0, {}};
    DocumentTable table{{"what", "number", "stage", "by", "when", "state", "in their words"},
                        {},
                        {1.1, 1.2, 1.2, 0.8, 1.4, 1.2, 3.5}};
    for (const SignOff& one : records.signOffs)
        table.rows.push_back({one.subjectKind, one.subject, nameOf(one.stage), one.person,
                              one.at.substr(0, 10), one.broken ? "broken by a later change" : "standing",
                              one.reason});
    if (table.rows.empty())
        chapter.blocks.push_back(DocumentWords{"Nothing has been signed off."});
    else
        chapter.blocks.push_back(std::move(table));
    std::string open;
    for (const Drawing& drawing : records.drawings)
        if (drawing.stage < Stage::SignedOff)
            open += (open.empty() ? "" : ", ") + drawing.number + " (" + nameOf(drawing.stage) + ")";
    chapter.blocks.push_back(
        DocumentWords{"Drawings not signed off: " + (open.empty() ? std::string("none") : open)});
    chapter.blocks.push_back(DocumentSignatures{{"Recording lead", "Supervisor"}});
    return chapter;
}

DocumentChapter deposit(const ProjectFigures& figures)
{
    const ProjectFacts& facts = figures.facts;
    DocumentChapter chapter{"Deposit statement", 0, {}};
    const auto said = [](const std::string& text) {
        return text.empty() ? std::string("not stated") : text;
    };
    chapter.blocks.push_back(DocumentFacts{{{"Depositor", said(facts.depositor)},
                                            {"Rights", said(facts.rights)},
                                            {"State", figures.at},
                                            {"Coordinates", facts.crs}}});
    chapter.blocks.push_back(DocumentWords{
        "What is deposited: the scans of the drawing film as they were made; what was traced on them, as "
        "GeoPackage and in plain text; the registers; how each drawing was tied to surveyed control."});
    std::string accuracy =
        "Accuracy of position: every vertex carries its standard error (one sigma, each axis), "
        "from the fit, the pegs, tracing (" +
        exact(facts.tracingErrorMm) + " mm on the film) and the scan's resolution.";
    if (const std::optional<CheckPointAccuracy> checked = projectAccuracy(figures)) {
        accuracy += " " + count(static_cast<std::size_t>(checked->points), "check point", "check points") +
                    " left out of the fits: RMSE " + mm(checked->rmseEastM) + " mm east, " +
                    mm(checked->rmseNorthM) + " mm north";
        accuracy +=
            checked->accuracy95M && checked->enoughPoints
                ? "; horizontal accuracy " + mm(*checked->accuracy95M) +
                      " mm at 95 % confidence (FGDC-STD-007.3-1998, NSSDA)."
                : "; fewer or more uneven than the 20 that NSSDA asks for, so that no figure at 95 % is "
                  "stated.";
    } else {
        accuracy += " No check points were kept out of the fits, so that no independent figure is stated.";
    }
    chapter.blocks.push_back(DocumentWords{accuracy});
    for (const std::string& caution : cautions())
        chapter.blocks.push_back(DocumentWords{caution});
    chapter.blocks.push_back(DocumentSignatures{{"Depositor", "Received for the archive"}});
    return chapter;
}

void addDictionary(std::vector<DocumentChapter>& chapters)
{
    chapters.push_back(
        {"Data dictionary", 0, {DocumentWords{"Every layer and field that is handed over.", true}}});
    for (const LayerSchema& schema : handOverSchema()) {
        DocumentTable table{{"field", "type", "unit", "meaning"}, {}, {2.2, 1.1, 0.9, 4.6}};
        if (schema.geometry != GeometryKind::None)
            table.rows.push_back({"geometry", geometryKindName(schema.geometry), "m", schema.meaning});
        for (const FieldSchema& field : schema.fields)
            table.rows.push_back({field.name, fieldTypeName(field.type), field.unit, field.meaning});
        DocumentChapter chapter{schema.name, 1, {}};
        if (schema.geometry == GeometryKind::None)
            chapter.blocks.push_back(DocumentWords{schema.meaning});
        chapter.blocks.push_back(std::move(table));
        chapters.push_back(std::move(chapter));
    }
}

} // namespace

std::string reportPartName(ReportPart part)
{
    return PartNames[static_cast<std::size_t>(part)];
}

Result<ReportPart> reportPartNamed(const std::string& name)
{
    std::string all;
    for (const ReportPart part : allReportParts()) {
        if (reportPartName(part) == name)
            return part;
        all += (all.empty() ? "" : ", ") + reportPartName(part);
    }
    return Error{ErrorCode::BadInput, "\"" + name + "\" is none of " + all};
}

const std::set<ReportPart>& allReportParts()
{
    static const std::set<ReportPart> parts = {
        ReportPart::Summary,  ReportPart::Residuals, ReportPart::Finds,     ReportPart::Checks,
        ReportPart::SignOffs, ReportPart::Deposit,   ReportPart::Dictionary};
    return parts;
}

Result<Document> projectReport(const Project& project, const std::set<ReportPart>& parts,
                               const Progress& progress)
{
    const Result<ProjectRecords> records = loadRecords(project, shareOf(progress, 0, 0.5));
    if (!records)
        return records.error();
    const Result<ProjectFigures> figures = residualFigures(project);
    if (!figures)
        return figures.error();
    Document document{"Project report", records->facts.siteCode, figures->at, {}};
    const auto asked = [&](ReportPart one) { return parts.contains(one); };
    if (asked(ReportPart::Summary))
        document.chapters.push_back(summary(*records));
    if (asked(ReportPart::Residuals))
        document.chapters.push_back(residuals(*figures));
    if (asked(ReportPart::Finds)) {
        Result<DocumentChapter> chapter = finds(*records, shareOf(progress, 0.5, 0.7));
        if (!chapter)
            return chapter.error();
        document.chapters.push_back(std::move(chapter).value());
    }
    if (asked(ReportPart::Checks)) {
        Result<DocumentChapter> chapter = checks(*records, shareOf(progress, 0.7, 1));
        if (!chapter)
            return chapter.error();
        document.chapters.push_back(std::move(chapter).value());
    }
    if (asked(ReportPart::SignOffs))
        document.chapters.push_back(signOffs(*records));
    if (asked(ReportPart::Deposit))
        document.chapters.push_back(deposit(*figures));
    if (asked(ReportPart::Dictionary))
        addDictionary(document.chapters);
    return document;
}

} // namespace inkpeg
