// SPDX-License-Identifier: GPL-3.0-or-later
// How much a hand-over will write. Each figure below was measured on what was written of the demo project
// and of 10,000 outlines; tests/app/print/HandOverForecastTest holds them against both.
#include <algorithm>
#include <set>

#include "app/print/HandOver.h"
#include "core/handover/LayDrawings.h"
#include "core/store/SheetScan.h"

namespace inkpeg {

namespace fs = std::filesystem;

namespace {

/// Bytes of a format: what an empty project takes, and more for each record of the registers, for each
/// outline, and for each vertex on plans and on sections (which stand in space as well, so that they count twice).
struct FormatBytes {
    double empty, record, outline, vertex, sectionVertex;

    std::uint64_t of(std::size_t records, const HandOverStock::Drawn& drawn) const
    {
        return static_cast<std::uint64_t>(empty + record * static_cast<double>(records) +
                                          outline *
                                              static_cast<double>(drawn.outlines + drawn.sectionOutlines) +
                                          vertex * static_cast<double>(drawn.vertices) +
                                          sectionVertex * static_cast<double>(drawn.sectionVertices));
    }
};

constexpr FormatBytes GeoPackageBytes{650'000, 250, 600, 190, 380};
constexpr FormatBytes GeoJsonBytes{6'000, 150, 900, 400, 400};
constexpr FormatBytes CsvBytes{5'000, 80, 600, 190, 400};
constexpr FormatBytes GmlBytes{64'000, 900, 2'000, 1'300, 2'600};
constexpr FormatBytes ShapefileBytes{15'000, 900, 1'200, 500, 1'000};

constexpr double PlanBytes = 34'000;          ///< the letters of both PDFs
constexpr double PlanPageBytes = 16'000;      ///< PDF and SVG of a page
constexpr double PlanOutlineBytes = 550;      ///< the number of an outline, with its leader
constexpr double PlanVertexBytes = 25;        ///< each vertex on it, in both
constexpr double ReportBytes = 220'000;       ///< summary, checks, dictionary
constexpr double OutlineReportBytes = 470;    ///< what is outstanding of an outline
constexpr double DrawingReportBytes = 48'000; ///< residuals of one drawing, with its picture

/// Laying turns film into the grid and adds the smaller pictures: of scans that lose nothing about half
/// more, to a factor of two. A JPEG says little of what its picture takes without loss: about a byte and a
/// half a pixel.
constexpr double LosslessGrowth = 1.5, JpegBytesPerPixel = 1.5, LeastBytesPerPixel = 0.15;

bool isJpeg(const fs::path& scan)
{
    std::string ending = scan.extension().string();
    std::transform(ending.begin(), ending.end(), ending.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return ending == ".jpg" || ending == ".jpeg";
}

double laidBytesOf(const Sheet& sheet, const fs::path& scan, double scanBytes)
{
    const double pixels = sheet.frame.widthPx * sheet.frame.heightPx;
    return isJpeg(scan) ? pixels * JpegBytesPerPixel
                        : std::max(scanBytes * LosslessGrowth, pixels * LeastBytesPerPixel);
}

void countScans(const Project& project, const std::vector<Drawing>& layable, HandOverStock& stock)
{
    std::set<std::string> laidSheets, seen;
    for (const Drawing& drawing : layable)
        laidSheets.insert(drawing.sheet);
    for (const Sheet& sheet : project.all<Sheet>()) {
        if (sheet.scanFile.empty() || !seen.insert(sheet.scanFile).second)
            continue;
        ++stock.scanFiles;
        std::error_code failed;
        const fs::path scan = scanPath(project, sheet);
        const std::uintmax_t size = fs::file_size(scan, failed);
        if (failed)
            continue;
        stock.scanBytes += size;
        if (laidSheets.contains(sheet.number))
            stock.laidBytes +=
                static_cast<std::uint64_t>(laidBytesOf(sheet, scan, static_cast<double>(size)));
    }
}

std::size_t verticesOf(const Outline& outline)
{
    std::size_t vertices = 0;
    for (const Part& part : outline.parts) {
        vertices += part.outer.vertices.size();
        for (const Ring& hole : part.holes)
            vertices += hole.vertices.size();
    }
    return vertices;
}

void countOutlines(const Project& project, const std::map<std::int64_t, const Drawing*>& drawings,
                   HandOverStock& stock)
{
    std::set<std::string> contexts;
    for (const Outline& outline : project.all<Outline>()) {
        const auto drawing = drawings.find(outline.drawing);
        const bool known = drawing != drawings.end();
        HandOverStock::Drawn& drawn =
            stock.drawn[std::max(outline.stage, known ? drawing->second->stage : Stage::Listed)];
        const bool section = known && isUpright(drawing->second->kind);
        (section ? drawn.sectionOutlines : drawn.outlines) += 1;
        (section ? drawn.sectionVertices : drawn.vertices) += verticesOf(outline);
        if (!section)
            contexts.insert(outline.context);
    }
    stock.singlePlans = contexts.size();
    std::set<std::pair<std::string, std::string>> composites;
    for (const Context& context : project.all<Context>())
        if (!context.period.empty() && contexts.contains(context.number))
            composites.insert({context.trench, context.period});
    stock.composites = composites.size();
}

std::string count(std::size_t number, const char* one, const char* many)
{
    return std::to_string(number) + " " + (number == 1 ? one : many);
}

HandOverStock::Drawn drawnFrom(const HandOverStock& stock, Stage least)
{
    HandOverStock::Drawn sum;
    for (const auto& [stage, drawn] : stock.drawn)
        if (stage >= least) {
            sum.outlines += drawn.outlines;
            sum.vertices += drawn.vertices;
            sum.sectionOutlines += drawn.sectionOutlines;
            sum.sectionVertices += drawn.sectionVertices;
        }
    return sum;
}

class Forecasting {
public:
    Forecasting(const HandOverStock& stock, const HandOverOrder& order)
        : m_stock(stock), m_order(order), m_drawn(drawnFrom(stock, order.geodata.gather.leastStage))
    {
    }

    HandOverForecast made()
    {
        geodata();
        if (m_order.bag && m_order.scans)
            add("Scans", count(m_stock.scanFiles, "file, as it was scanned", "files, as they were scanned"),
                m_stock.scanBytes);
        if (m_order.laid)
            add("Laid scans",
                count(m_stock.layable, "plan", "plans") + " as GeoTIFF" +
                    (m_order.laid->cloudOptimised ? ", cloud-optimised" : "") +
                    (m_order.laid->worldFile ? ", with world files" : ""),
                m_stock.laidBytes);
        if (m_order.plans)
            plans(*m_order.plans);
        if (m_order.reports)
            add("Reports",
                "residuals, summary, finds, checks, sign-offs, deposit statement, data dictionary",
                static_cast<std::uint64_t>(
                    ReportBytes + DrawingReportBytes * static_cast<double>(m_stock.pinned) +
                    OutlineReportBytes * static_cast<double>(m_drawn.outlines + m_drawn.sectionOutlines)));
        unfinished();
        return std::move(m_said);
    }

private:
    void add(const char* what, const std::string& about, std::uint64_t bytes)
    {
        m_said.parts.push_back({what, about, bytes});
    }

    void geodata()
    {
        const GeodataSettings& wanted = m_order.geodata;
        const std::string drawn = count(m_drawn.outlines + m_drawn.sectionOutlines, "outline", "outlines") +
                                  ", " +
                                  count(m_drawn.vertices + m_drawn.sectionVertices, "vertex", "vertices");
        const auto format = [&](bool asked, const char* name, const std::string& about,
                                const FormatBytes& bytes) {
            if (asked)
                add(name, about, bytes.of(m_stock.records, m_drawn));
        };
        format(wanted.geoPackage, "GeoPackage", drawn + ", every register", GeoPackageBytes);
        format(wanted.geoJson, "GeoJSON", "what has a place on the ground, in longitude and latitude",
               GeoJsonBytes);
        format(wanted.csv, "CSV", "a table for each layer, places as well-known text", CsvBytes);
        format(wanted.gml, "GML", "layers that have a place", GmlBytes);
        format(wanted.shapefile, "Shapefile", "one for each layer, names shortened", ShapefileBytes);
    }

    void plans(const PlansOrder& plans)
    {
        const double pages = (plans.overview ? 1 : 0) +
                             (plans.eachContext ? static_cast<double>(m_stock.singlePlans) : 0) +
                             (plans.eachPeriod ? static_cast<double>(m_stock.composites) : 0) +
                             (plans.sections ? static_cast<double>(m_stock.sections) : 0);
        const double times = 1 + (plans.eachContext ? 1 : 0) + (plans.eachPeriod ? 1 : 0);
        add("Plans",
            "print-ready, on " + paperName(plans.sheet.paper) + ", " +
                count(static_cast<std::size_t>(pages), "page", "pages") + " at most",
            static_cast<std::uint64_t>(
                PlanBytes + pages * PlanPageBytes +
                times *
                    (PlanOutlineBytes * static_cast<double>(m_drawn.outlines + m_drawn.sectionOutlines) +
                     PlanVertexBytes * static_cast<double>(m_drawn.vertices + m_drawn.sectionVertices))));
    }

    void unfinished()
    {
        m_said.unfinished = m_stock.unfinished;
        const HandOverStock::Drawn sealed = drawnFrom(m_stock, Stage::SignedOff);
        const std::size_t open =
            m_drawn.outlines + m_drawn.sectionOutlines - sealed.outlines - sealed.sectionOutlines;
        if (open > 0)
            m_said.unfinished.push_back(count(open, "outline is", "outlines are") + " not signed off");
        if (m_order.bag && !m_stock.rightsStated)
            m_said.unfinished.emplace_back("a bag states rights and depositor: fill them in first");
    }

    const HandOverStock& m_stock;
    const HandOverOrder& m_order;
    HandOverStock::Drawn m_drawn;
    HandOverForecast m_said;
};

} // namespace

HandOverStock stockOf(const Project& project)
{
    HandOverStock stock;
    const std::vector<Drawing> drawings = project.all<Drawing>();
    std::map<std::int64_t, const Drawing*> byId;
    for (const Drawing& drawing : drawings) {
        byId[drawing.id] = &drawing;
        stock.pinned += drawing.stage >= Stage::Pinned ? 1 : 0;
        stock.sections += isUpright(drawing.kind) ? 1 : 0;
        if (drawing.stage < Stage::Pinned)
            stock.unfinished.push_back("drawing " + drawing.number +
                                       " is not pinned: it has no place on the ground");
        else if (drawing.stage < Stage::Traced)
            stock.unfinished.push_back("drawing " + drawing.number + " is pinned and not traced");
    }
    countOutlines(project, byId, stock);
    stock.records = project.count<Peg>() + project.count<Pin>() + project.count<Context>() +
                    project.count<Relation>() + project.count<Find>() + project.count<Sample>() +
                    project.count<Timber>() + project.count<Photograph>();
    const std::vector<Drawing> layable = layableDrawings(project);
    stock.layable = layable.size();
    countScans(project, layable, stock);
    const ProjectFacts facts = project.facts();
    stock.rightsStated = !facts.rights.empty() && !facts.depositor.empty();
    return stock;
}

std::uint64_t HandOverForecast::bytes() const
{
    std::uint64_t sum = 0;
    for (const Part& part : parts)
        sum += part.bytes;
    return sum;
}

HandOverForecast forecast(const HandOverStock& stock, const HandOverOrder& order)
{
    return Forecasting(stock, order).made();
}

} // namespace inkpeg
