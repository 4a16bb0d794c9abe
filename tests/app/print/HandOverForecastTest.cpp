// SPDX-License-Identifier: GPL-3.0-or-later
// What the page says beforehand, held against what is written afterwards.
#include <algorithm>
#include <fstream>

#include <QTemporaryDir>
#include <QTest>

#include "app/print/HandOver.h"
#include "tests/core/handover/DemoProject.h"
#include "tests/core/handover/ManyOutlines.h"
#include "tests/core/handover/YardFilm.h"

using namespace inkpeg;

namespace fs = std::filesystem;

class HandOverForecastTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;

    fs::path path(const std::string& name) const { return m_folder.filePath(name.c_str()).toStdString(); }

    static HandOverOrder everything(const fs::path& folder)
    {
        HandOverOrder order;
        order.folder = folder;
        order.geodata.gml = order.geodata.shapefile = true;
        order.plans = PlansOrder{};
        return order;
    }

    static double bytesIn(const fs::path& place)
    {
        if (fs::is_regular_file(place))
            return static_cast<double>(fs::file_size(place));
        double bytes = 0;
        for (const fs::directory_entry& entry : fs::recursive_directory_iterator(place))
            bytes += entry.is_regular_file() ? static_cast<double>(entry.file_size()) : 0;
        return bytes;
    }

    /// Each part of the forecast is right to a third: as near as one vertex weighs like another, of which
    /// some have longer numbers; laid scans to a factor of two, since they pack as well as their film is even.
    static void hold(const Project& project, const HandOverOrder& order, const fs::path& root)
    {
        const HandOverForecast said = forecast(stockOf(project), order);
        const Result<HandedOver> done = handOver(project, order);
        QVERIFY2(done, done ? "" : done.error().message.c_str());
        const fs::path geodata = order.bag ? root / "geodata" : root;
        const std::map<std::string, std::vector<fs::path>> places = {
            {"GeoPackage", {geodata / "geodata.gpkg"}},
            {"GeoJSON", {geodata / "geojson"}},
            {"CSV", {geodata / "csv"}},
            {"GML", {geodata / "geodata.gml", geodata / "geodata.xsd"}},
            {"Shapefile", {geodata / "shapefile"}},
            {"Plans", {root / "plans"}},
            {"Reports", {root / "reports"}},
            {"Laid scans", {root / "laid"}},
            {"Scans", {root / "scans"}}};
        // Every part that was ordered is forecast, once.
        const GeodataSettings& formats = order.geodata;
        const std::pair<bool, const char*> ordered[] = {{formats.geoPackage, "GeoPackage"},
                                                        {formats.geoJson, "GeoJSON"},
                                                        {formats.csv, "CSV"},
                                                        {formats.gml, "GML"},
                                                        {formats.shapefile, "Shapefile"},
                                                        {order.plans.has_value(), "Plans"},
                                                        {order.reports, "Reports"},
                                                        {order.laid.has_value(), "Laid scans"},
                                                        {order.bag && order.scans, "Scans"}};
        for (const auto& [asked, what] : ordered)
            QVERIFY2(std::ranges::count(said.parts, std::string(what), &HandOverForecast::Part::what) ==
                         (asked ? 1 : 0),
                     what);
        for (const HandOverForecast::Part& part : said.parts) {
            double written = 0;
            for (const fs::path& place : places.at(part.what))
                written += bytesIn(place);
            const double ratio = static_cast<double>(part.bytes) / written;
            qInfo("%-12s %9.0f bytes, forecast %9.0f, %.2f of it", part.what.c_str(), written,
                  static_cast<double>(part.bytes), ratio);
            const double most = part.what == "Laid scans" ? 2 : part.what == "Scans" ? 1.0001 : 1.35;
            QVERIFY2(ratio < most && ratio > 1 / most, part.what.c_str());
        }
    }

private slots:
    void theDemoIsAsLargeAsWasSaid()
    {
        const Project demo = demoproject::make(path("demo.gpkg"));
        hold(demo, everything(path("demo")), path("demo"));
    }

    void manyOutlinesAreAsLargeAsWasSaid()
    {
        Project yard = yard::make(path("many.gpkg"));
        yard::addOutlines(yard, 3000);
        HandOverOrder order = everything(path("many"));
        order.plans->sheet.paper = PaperSize::A0;
        hold(yard, order, path("many"));
    }

    void aBagWithLaidScansIsAsLargeAsWasSaid()
    {
        fs::create_directories(path("bagged"));
        Project yard = yard::make(path("bagged/yard.gpkg"));
        yard::scanFilm(yard);
        HandOverOrder order = everything(path("bagged/bag"));
        order.bag = true;
        order.laid = LaidOrder{true, true};
        hold(yard, order, path("bagged/bag/data"));
    }

    void whatIsUnfinishedIsNamed()
    {
        const Project yard = yard::make(path("unfinished.gpkg"));
        HandOverOrder order = everything(path("later"));
        order.bag = true;
        QStringList unfinished;
        for (const std::string& line : forecast(stockOf(yard), order).unfinished)
            unfinished << QString::fromStdString(line);
        const QString said = unfinished.join("; ");
        QVERIFY2(said.contains("P-02 is not pinned") && said.contains("2 outlines are not signed off"),
                 qPrintable(said));
        QVERIFY2(!said.contains("rights"), qPrintable(said)); // the yard states them
        QVERIFY(!fs::exists(path("later")));
        // and what stays behind is not counted
        const auto geoPackage = [&] {
            const HandOverForecast now = forecast(stockOf(yard), order);
            return *std::ranges::find(now.parts, "GeoPackage", &HandOverForecast::Part::what);
        };
        const HandOverForecast::Part all = geoPackage();
        QVERIFY2(all.about.starts_with("2 outlines, 14 vertices"), all.about.c_str());
        order.geodata.gather.leastStage = Stage::SignedOff;
        const HandOverForecast::Part sealed = geoPackage();
        QVERIFY2(sealed.about.starts_with("0 outlines, 0 vertices"), sealed.about.c_str());
        QVERIFY(sealed.bytes < all.bytes);
    }

    void aBagWithoutRightsIsAskedForThem()
    {
        Project yard = yard::make(path("bare.gpkg"));
        ProjectFacts facts = yard.facts();
        facts.rights.clear();
        QVERIFY(yard.act("take the rights away", [&](Editor& edit) { return edit.putFacts(facts); }));
        HandOverOrder order = everything(path("later"));
        const auto asks = [&] {
            for (const std::string& line : forecast(stockOf(yard), order).unfinished)
                if (line.find("rights and depositor") != std::string::npos)
                    return true;
            return false;
        };
        QVERIFY(!asks());
        order.bag = true;
        QVERIFY(asks());
    }
};

QTEST_MAIN(HandOverForecastTest)
#include "HandOverForecastTest.moc"
