// SPDX-License-Identifier: GPL-3.0-or-later
// Is the demo what it says it is: its counts, its truth, its one set of faults and no other?
#include <algorithm>
#include <cmath>
#include <functional>
#include <map>
#include <set>

#include <Eigen/QR>
#include <QFile>
#include <QTemporaryDir>
#include <QtTest>
#include <nlohmann/json.hpp>
#include <ogr_geometry.h>

#include "samples/generator/Demo.h"
#include "samples/generator/Draughting.h"
#include "samples/generator/Film.h"
#include "samples/generator/Registers.h"

using namespace inkpeg;
using namespace inkpeg::demo;
using nlohmann::json;

namespace {

QByteArray contentOf(const QString& file)
{
    QFile opened(file);
    return opened.open(QIODevice::ReadOnly) ? opened.readAll() : QByteArray();
}

OGRPolygon polygonOf(const Path& ring)
{
    OGRLinearRing outer;
    for (const Metres& place : ring)
        outer.addPoint(place.x, place.y);
    outer.closeRings();
    OGRPolygon polygon;
    polygon.addRing(&outer);
    return polygon;
}

double areaOf(const OGRGeometry& geometry)
{
    if (wkbFlatten(geometry.getGeometryType()) == wkbPolygon)
        return geometry.toPolygon()->get_Area();
    double sum = 0;
    if (OGR_GT_IsSubClassOf(geometry.getGeometryType(), wkbGeometryCollection))
        for (const OGRGeometry* part : *geometry.toGeometryCollection())
            sum += areaOf(*part);
    return sum;
}

double commonArea(const Path& a, const Path& b)
{
    const OGRPolygon first = polygonOf(a), second = polygonOf(b);
    const std::unique_ptr<OGRGeometry> common(first.Intersection(&second));
    return common ? areaOf(*common) : 0;
}

/// Film to scan, written anew from the description in samples/README.md.
ScanPx scanned(const json& map, double x, double y)
{
    const double w = map["film_width_mm"], h = map["film_height_mm"], margin = map["margin_mm"];
    const double cx = x - w / 2, cy = y - h / 2;
    double mx = x + map["stretch_x"].get<double>() * cx + map["shear"].get<double>() * cy;
    double my = y + map["stretch_y"].get<double>() * cy;
    for (const json& wave : map["cockle"]) {
        const double turns =
            wave["waves_per_mm_x"].get<double>() * x + wave["waves_per_mm_y"].get<double>() * y;
        const double angle = 2 * M_PI * turns + wave["phase_rad"].get<double>();
        mx += wave["ax_mm"].get<double>() * std::sin(angle);
        my += wave["ay_mm"].get<double>() * std::cos(angle);
    }
    if (map["face_down"])
        mx = w - mx;
    const double skew = map["skew_rad"], dpi = map["dpi"];
    const double px = mx - w / 2, py = my - h / 2;
    const double sx = px * std::cos(skew) - py * std::sin(skew) + w / 2 + margin;
    const double sy = px * std::sin(skew) + py * std::cos(skew) + h / 2 + margin;
    return {sx * dpi * map["scanner_scale_x"].get<double>() / 25.4,
            (h + 2 * margin - sy) * dpi * map["scanner_scale_y"].get<double>() / 25.4};
}

/// Ground to the drawing's own metres, from the parameters in the truth file.
Metres drawnFrom(const json& truth, const json& ground)
{
    const json& grid = truth["site_grid"];
    const double turn = grid["site_north_clockwise_degrees"].get<double>() * M_PI / 180,
                 scale = grid["scale"];
    const double east = (ground[0].get<double>() - grid["origin_crs"][0].get<double>()) / scale;
    const double north = (ground[1].get<double>() - grid["origin_crs"][1].get<double>()) / scale;
    const Metres site{grid["origin_site"][0].get<double>() + east * std::cos(turn) - north * std::sin(turn),
                      grid["origin_site"][1].get<double>() + east * std::sin(turn) +
                          north * std::cos(turn)};
    if (!truth.contains("line"))
        return site;
    const json& line = truth["line"];
    return {(site.x - line["nail_a_site"][0].get<double>()) * line["direction_site"][0].get<double>() +
                (site.y - line["nail_a_site"][1].get<double>()) * line["direction_site"][1].get<double>(),
            ground[2].get<double>()};
}

/// Largest residual of a plain affine fit of registered pegs to clicked pins, in mm on the film.
double worstResidualMm(const Demo& demo, const DrawingPlan& drawing)
{
    std::vector<std::pair<ScanPx, GroundM>> pairs;
    for (const PinRecord& pin : demo.pins)
        for (const PegRecord& peg : demo.pegs)
            if (pin.drawing == drawing.number && pin.use == "fit" && peg.name == pin.peg &&
                !peg.inSiteFrame) {
                GroundM ground{peg.east, peg.north};
                if (drawing.upright()) {
                    const Metres site = siteOfGround(ground);
                    ground = {(site.x - drawing.lineStart.x) * drawing.lineDirection.x +
                                  (site.y - drawing.lineStart.y) * drawing.lineDirection.y,
                              *peg.levelM};
                }
                pairs.emplace_back(pin.clicked, ground);
            }
    const auto n = static_cast<Eigen::Index>(pairs.size());
    Eigen::MatrixXd design(n, 3), ground(n, 2);
    for (Eigen::Index i = 0; i < n; ++i) {
        const auto& [px, place] = pairs[static_cast<std::size_t>(i)];
        design.row(i) << px.column / 1000, px.row / 1000, 1;
        ground.row(i) << place.east - pairs[0].second.east, place.north - pairs[0].second.north;
    }
    const Eigen::MatrixXd residuals = design * design.colPivHouseholderQr().solve(ground) - ground;
    return residuals.rowwise().norm().maxCoeff() * 1000 / drawing.scale;
}

/// Later than: directly, by one of the words of the register.
std::map<std::string, std::set<std::string>> laterThan(const Demo& demo)
{
    std::map<std::string, std::set<std::string>> earlier;
    for (const ContextRecord& context : demo.contexts)
        for (const char* word : {"above", "cuts", "fills"})
            if (const auto found = context.relations.find(word); found != context.relations.end())
                earlier[context.number].insert(found->second.begin(), found->second.end());
    return earlier;
}

bool reaches(const std::map<std::string, std::set<std::string>>& earlier, const std::string& from,
             const std::string& to)
{
    std::set<std::string> seen;
    std::function<bool(const std::string&)> walk = [&](const std::string& at) {
        if (!seen.insert(at).second || !earlier.contains(at))
            return false;
        const std::set<std::string>& next = earlier.at(at);
        return next.contains(to) || std::any_of(next.begin(), next.end(), walk);
    };
    return walk(from);
}

} // namespace

class DemoTest : public QObject {
    Q_OBJECT

private:
    const Demo m_demo = skelderRigg(400);

private slots:
    void holdsAsMuchAsItPromises()
    {
        QVERIFY(m_demo.drawings.size() >= 12);
        QVERIFY(m_demo.contexts.size() >= 60);
        QVERIFY(m_demo.finds.size() >= 200);
        QVERIFY(m_demo.timbers.size() >= 30);
        QVERIFY(m_demo.samples.size() >= 25);
        QCOMPARE(std::count_if(m_demo.sheets.begin(), m_demo.sheets.end(),
                               [](const SheetPlan& sheet) { return sheet.map.faceDown; }),
                 1);
        QVERIFY(std::any_of(m_demo.sheets.begin(), m_demo.sheets.end(),
                            [](const SheetPlan& sheet) { return sheet.drawings.size() == 3; }));
        std::map<std::string, int> frames;
        for (const PegRecord& peg : m_demo.pegs)
            frames[peg.name] += peg.inSiteFrame ? 1 : 10;
        QVERIFY(std::count_if(frames.begin(), frames.end(),
                              [](const auto& entry) { return entry.second == 11; }) >= 4);
        QCOMPARE(m_demo.faults.size(), std::size_t(6));
    }

    void sameSeedGivesTheSameBytes()
    {
        QTemporaryDir a, b;
        for (const QTemporaryDir* folder : {&a, &b}) {
            const Demo demo = skelderRigg(60);
            QCOMPARE(writeRegisters(demo, (folder->path() + "/registers").toStdString()), std::string());
            QCOMPARE(writeTruth(demo, (folder->path() + "/truth").toStdString()), std::string());
        }
        for (const char* name :
             {"registers/pins.csv", "registers/finds.csv", "registers/contexts.csv", "truth/P-01.json"})
            QCOMPARE(contentOf(a.filePath(name)), contentOf(b.filePath(name)));
        const SheetPlan sheet = skelderRigg(60).sheets[7];
        const Demo demo = skelderRigg(60);
        std::vector<std::vector<std::uint8_t>> scans;
        for (int i = 0; i < 2; ++i) {
            Pencil pencil(sheet.map, 1);
            draughtSheet(demo, sheet, pencil);
            scans.push_back(exposeSheet(sheet, pencil.graphite()).pixels);
        }
        QVERIFY(!scans[0].empty());
        QVERIFY(scans[0] == scans[1]);
    }

    /// The truth files say enough to be evaluated without the generator.
    void truthOnGroundAndTruthInScanAgree()
    {
        QTemporaryDir folder;
        QCOMPARE(writeTruth(m_demo, folder.path().toStdString()), std::string());
        for (const DrawingPlan& drawing : m_demo.drawings) {
            const QByteArray bytes =
                contentOf(folder.filePath(QString::fromStdString(drawing.number) + ".json"));
            const json truth = json::parse(bytes.toStdString());
            const json& place = truth["drawing_to_film"];
            const double mmPerM = 1000 / truth["scale"].get<double>();
            for (const json& outline : truth["outlines"])
                for (std::size_t i = 0; i < outline["px"].size(); i += 7) {
                    const Metres drawn = drawnFrom(truth, outline["ground"][i]);
                    const ScanPx px = scanned(truth["map"],
                                              place["film_x_mm"].get<double>() +
                                                  (drawn.x - place["x0_m"].get<double>()) * mmPerM,
                                              place["film_y_mm"].get<double>() +
                                                  (drawn.y - place["y0_m"].get<double>()) * mmPerM);
                    // 1e-4 px: the rounding of eastings of half a million metres, enlarged 1:10 to 400 dpi.
                    QVERIFY(std::abs(px.column - outline["px"][i][0].get<double>()) < 1e-4);
                    QVERIFY(std::abs(px.row - outline["px"][i][1].get<double>()) < 1e-4);
                }
        }
    }

    void wayBackFromTheScanIsExact()
    {
        for (const SheetPlan& sheet : m_demo.sheets)
            for (double x = 5; x < sheet.map.filmWidthMm; x += 37)
                for (double y = 5; y < sheet.map.filmHeightMm; y += 31)
                    QVERIFY(distance(sheet.map.toFilm(sheet.map.toScan({x, y})), FilmMm{x, y}) < 1e-8);
    }

    /// The pencil is where the truth says: nearly every vertex of a certain edge lies on graphite.
    void inkLiesOnTheTruth()
    {
        const Demo demo = skelderRigg(200);
        const SheetPlan& sheet = demo.sheets.front();
        Pencil pencil(sheet.map, 5);
        draughtSheet(demo, sheet, pencil);
        const ScanImage scan = exposeSheet(sheet, pencil.graphite());
        int vertices = 0, dark = 0;
        for (const DrawnOutline& outline : demo.drawings.front().outlines)
            for (const Metres& vertex : outline.ring) {
                const ScanPx px = sheet.map.toScan(demo.drawings.front().toFilm(vertex));
                const auto at = static_cast<std::size_t>(px.row) * static_cast<std::size_t>(scan.width) +
                                static_cast<std::size_t>(px.column);
                ++vertices;
                dark += scan.pixels[at] < 190 ? 1 : 0; // film 234, printed grid 24 darker, pencil below 150
            }
        QVERIFY2(dark > 0.98 * vertices, qPrintable(QString("%1 of %2").arg(dark).arg(vertices)));
    }

    void pinsLieNearTheirMarksButForTheSwappedPair()
    {
        int far = 0;
        for (const PinRecord& pin : m_demo.pins)
            far += distance(pin.clicked, pin.true_) > 0.25 * 400 / 25.4
                       ? 1
                       : 0; // twice 0.07 mm in each direction
        QCOMPARE(far, 2);
    }

    void onlyTheFaultyDrawingsAreOutOfTolerance()
    {
        for (const DrawingPlan& drawing : m_demo.drawings) {
            const double worst = worstResidualMm(m_demo, drawing);
            const bool faulty = drawing.number == "P-02" || drawing.number == "P-05";
            const QString said = QString::fromStdString(drawing.number) + QString(": %1 mm").arg(worst);
            qInfo("%s", qPrintable(said));
            QVERIFY2(faulty ? worst > 5 : worst < 0.5, qPrintable(said));
        }
    }

    void numbersRunWithoutGapsOrDoubles()
    {
        for (std::size_t i = 0; i < m_demo.contexts.size(); ++i)
            QCOMPARE(m_demo.contexts[i].number, std::to_string(1001 + i));
        for (std::size_t i = 0; i < m_demo.finds.size(); ++i)
            QCOMPARE(std::stoul(m_demo.finds[i].number.substr(3)), i + 1);
    }

    void registeredIsDrawnAndDrawnIsRegisteredButForThePlanted()
    {
        std::set<std::string> drawn, registered;
        for (const DrawingPlan& drawing : m_demo.drawings)
            for (const DrawnOutline& outline : drawing.outlines)
                drawn.insert(outline.context);
        for (const ContextRecord& context : m_demo.contexts)
            registered.insert(context.number);
        std::vector<std::string> missing, unknown;
        std::set_difference(registered.begin(), registered.end(), drawn.begin(), drawn.end(),
                            std::back_inserter(missing));
        std::set_difference(drawn.begin(), drawn.end(), registered.begin(), registered.end(),
                            std::back_inserter(unknown));
        QCOMPARE(missing, std::vector<std::string>{"1071"});
        QCOMPARE(unknown, std::vector<std::string>{"1072"});
    }

    void onlyThePlantedLoopIsThere()
    {
        auto earlier = laterThan(m_demo);
        std::set<std::string> looped;
        for (const ContextRecord& context : m_demo.contexts)
            if (reaches(earlier, context.number, context.number))
                looped.insert(context.number);
        QCOMPARE(looped, (std::set<std::string>{"1055", "1058", "1059", "1060"}));
        earlier["1060"].erase("1055");
        for (const std::string& number : looped)
            QVERIFY(!reaches(earlier, number, number));
    }

    void relationsAreWrittenOnBothRecords()
    {
        const std::map<std::string, std::string> opposite = {
            {"above", "below"},     {"below", "above"},     {"cuts", "cut_by"}, {"cut_by", "cuts"},
            {"fills", "filled_by"}, {"filled_by", "fills"}, {"abuts", "abuts"}};
        Demo demo = m_demo;
        for (const ContextRecord& context : demo.contexts) {
            for (const auto& [word, others] : context.relations)
                for (const std::string& other : others) {
                    const std::vector<std::string>& back =
                        demo.context(other)->relations[opposite.at(word)];
                    QVERIFY(std::count(back.begin(), back.end(), context.number) == 1);
                }
            QCOMPARE(context.kind == "cut", context.relations.contains("filled_by"));
            QCOMPARE(context.kind == "fill", context.relations.contains("fills"));
        }
    }

    /// Validity and overlay by GEOS through OGR.
    void outlinesAreValidAndOverlapOnlyWhereRelated()
    {
        const auto earlier = laterThan(m_demo);
        for (const DrawingPlan& drawing : m_demo.drawings)
            for (std::size_t i = 0; i < drawing.outlines.size(); ++i) {
                const DrawnOutline& a = drawing.outlines[i];
                QVERIFY2(polygonOf(a.ring).IsValid(), a.context.c_str());
                QCOMPARE(a.edges.size(), a.ring.size());
                for (std::size_t j = i + 1; j < drawing.outlines.size() && !drawing.upright(); ++j) {
                    const DrawnOutline& b = drawing.outlines[j];
                    if (commonArea(a.ring, b.ring) < 1e-4) // a square centimetre: shared edges only
                        continue;
                    const bool related =
                        reaches(earlier, a.context, b.context) || reaches(earlier, b.context, a.context);
                    const bool sideBySide =
                        (a.context == "1050" && b.context == "1051"); // recorded as abutting
                    QVERIFY2(related || sideBySide, (a.context + " and " + b.context).c_str());
                }
            }
    }

    void plansLieWithinTheirTrench()
    {
        for (const DrawingPlan& drawing : m_demo.drawings) {
            if (drawing.upright())
                continue;
            const auto trench =
                std::find_if(m_demo.trenches.begin(), m_demo.trenches.end(),
                             [&](const TrenchRecord& one) { return one.name == drawing.trench; });
            const OGRPolygon limit = polygonOf(trench->limit);
            for (const DrawnOutline& outline : drawing.outlines)
                QVERIFY2(polygonOf(outline.ring).Within(&limit), outline.context.c_str());
        }
    }

    void findsLieInTheirContextButForThePlantedOne()
    {
        std::vector<std::string> astray;
        for (const auto* records : {&m_demo.finds, &m_demo.samples, &m_demo.timbers})
            for (const PlacedRecord& record : *records) {
                bool inside = false;
                for (const DrawingPlan& drawing : m_demo.drawings)
                    for (const DrawnOutline& outline : drawing.outlines)
                        inside = inside || (!drawing.upright() && outline.context == record.context &&
                                            contains(outline.ring, record.place));
                if (!inside)
                    astray.push_back(record.number);
            }
        QCOMPARE(astray.size(), std::size_t(1));
        QVERIFY(std::any_of(m_demo.faults.begin(), m_demo.faults.end(),
                            [&](const Fault& fault) { return fault.subject == astray.front(); }));
    }
};

QTEST_GUILESS_MAIN(DemoTest)
#include "DemoTest.moc"
