// SPDX-License-Identifier: GPL-3.0-or-later
// inkpeg hand-over and report, as an archive depositor calls them; what they write is read by other
// programs.
#include <filesystem>
#include <fstream>
#include <functional>
#include <map>

#include <QRegularExpression>
#include <QTemporaryDir>
#include <QTest>

#include <nlohmann/json.hpp>

#include "core/base/Digest.h"
#include "tests/app/cli/Program.h"
#include "tests/app/print/Reader.h"
#include "tests/core/handover/YardFilm.h"

using namespace inkpeg;
using nlohmann::json;

namespace fs = std::filesystem;

namespace {

void spill(const fs::path& file, const std::string& bytes)
{
    std::ofstream(file, std::ios::binary) << bytes;
}

/// Digest by path of every file below a folder.
std::map<std::string, std::string> digestsIn(const fs::path& folder)
{
    std::map<std::string, std::string> digests;
    for (const fs::directory_entry& entry : fs::recursive_directory_iterator(folder))
        if (entry.is_regular_file())
            digests[entry.path().lexically_relative(folder).generic_string()] =
                digestOfFile(entry.path(), DigestKind::Sha512).value();
    return digests;
}

} // namespace

class HandOverVerbTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;

    QString path(const QString& name) const { return m_folder.filePath(name); }
    fs::path at(const char* name) const { return path(name).toStdString(); }
    QString project() const { return path("yard.gpkg"); }

    QStringList bagInto(const QString& folder) const
    {
        return {"hand-over", project(),           "--to",    path(folder),   "--bag",
                "--laid",    "--cloud-optimised", "--plans", "--world-file", "--each-context"};
    }

private slots:
    void initTestCase()
    {
        Project project = yard::make(at("yard.gpkg"));
        yard::scanFilm(project);
    }

    void aBagOfEverythingIsMadeAndVerified()
    {
        const Ran made = run(bagInto("bag"));
        QVERIFY2(made.exitCode == 0, qPrintable(made.err));
        QVERIFY2(made.err.contains("P-02"), qPrintable(made.err)); // not pinned, and said so
        for (const char* file :
             {"bagit.txt", "bag-info.txt", "manifest-sha512.txt", "tagmanifest-sha512.txt",
              "data/README.txt", "data/scans/F1.tif", "data/laid/P-01.tif", "data/laid/P-01.json",
              "data/laid/P-01.tfw", "data/plans/plans.pdf", "data/plans/sections.pdf",
              "data/plans/plans-svg/Context_1032.svg", "data/reports/project-report.pdf",
              "data/reports/residuals.html", "data/geodata/geodata.gpkg",
              "data/geodata/data-dictionary.csv", "data/registers/contexts.csv",
              "data/metadata/dublin-core.xml", "data/metadata/iso-19139.xml"})
            QVERIFY2(fs::exists(at("bag") / file), file);
        const Ran sound = run({"verify", path("bag"), "--project", project(), "--json"});
        QVERIFY2(sound.exitCode == 0, qPrintable(sound.err + sound.out));
        const json said = json::parse(sound.out.toStdString());
        QVERIFY(said["sound"].get<bool>() && said["records"].get<int>() > 40);
        QCOMPARE(said["formats"].dump(), std::string(R"(["GeoPackage","CSV","GeoJSON"])"));
    }

    // RFC 8493 by GNU coreutils. No tool for bags is in Debian 12 (apt-cache search bagit); npm's "bagit" only
    // calls a Python tool that Debian does not carry.
    void coreutilsFindTheBagWhole()
    {
        for (const char* manifest : {"manifest-sha512.txt", "tagmanifest-sha512.txt"}) {
            const QString said =
                run("env", {"-C", path("bag"), "sha512sum", "-c", "--strict", "--quiet", manifest});
            QVERIFY2(said.isEmpty(), qPrintable(said));
        }
        // every file of the payload is listed, and no other
        const std::size_t files = digestsIn(at("bag") / "data").size();
        const std::string manifest = slurp(at("bag") / "manifest-sha512.txt");
        QCOMPARE(static_cast<std::size_t>(std::count(manifest.begin(), manifest.end(), '\n')), files);
    }

    // The checker of Debian's python3-gdal reads every tile; gdalinfo says where the picture lies.
    void theLaidScanIsACloudOptimisedGeoTiffInItsPlace()
    {
        const QString laid = path("bag/data/laid/P-01.tif");
        const QString said =
            run("/usr/bin/python3",
                {"/usr/lib/python3/dist-packages/osgeo_utils/samples/validate_cloud_optimized_geotiff.py",
                 laid, "--full-check=yes"});
        QVERIFY2(said.contains("is a valid cloud optimized GeoTIFF") && !said.contains("warning"),
                 qPrintable(said));
        const json info = json::parse(run("gdalinfo", {"-json", laid}).toStdString());
        QVERIFY(
            QString::fromStdString(info["coordinateSystem"]["wkt"].get<std::string>()).contains("25832"));
        // Its middle is where the film's middle lies, to half a pixel and the fit: the pegs were moved some
        // mm.
        const GroundM middle = yard::truth({2000, 1500});
        const double pixelM = info["geoTransform"][1].get<double>();
        QVERIFY(std::abs(info["cornerCoordinates"]["center"][0].get<double>() - middle.east) <
                0.02 + pixelM);
        QVERIFY(std::abs(info["cornerCoordinates"]["center"][1].get<double>() - middle.north) <
                0.02 + pixelM);
        // A world file speaks of the centre of the upper left pixel, the GeoTIFF of its corner.
        const QStringList world =
            QString::fromStdString(slurp(at("bag") / "data/laid/P-01.tfw")).split('\n', Qt::SkipEmptyParts);
        QCOMPARE(world.size(), 6);
        QVERIFY(std::abs(world[4].toDouble() - info["geoTransform"][0].get<double>() - pixelM / 2) < 1e-6);
        QVERIFY(std::abs(world[5].toDouble() - info["geoTransform"][3].get<double>() + pixelM / 2) < 1e-6);
        const json film = json::parse(slurp(at("bag") / "data/laid/P-01.json"));
        QCOMPARE(film["sheet"].get<std::string>(), std::string("F1"));
        QCOMPARE(film["scan_sha256"].get<std::string>(),
                 digestOfFile(at("bag") / "data/scans/F1.tif").value());
    }

    void thePlansAreReadByOtherPrograms()
    {
        const QString pdf = path("bag/data/plans/plans.pdf");
        QVERIFY(run("pdfinfo", {pdf}).contains(QRegularExpression("Pages:\\s+2\\b")));
        QVERIFY(run("pdftotext", {"-layout", pdf, "-"}).contains("[1032]"));
        QVERIFY(run("pdftotext", {"-layout", path("bag/data/plans/sections.pdf"), "-"})
                    .contains("datum line at 51.50"));
        for (const char* svg : {"plans-svg/Context_1032.svg", "sections-svg/Section_S-01.svg"}) {
            const QString said =
                run("xmllint", {"--noout", "--nonet", path(QString("bag/data/plans/") + svg)});
            QVERIFY2(said.isEmpty(), qPrintable(said));
        }
    }

    // SOURCE_DATE_EPOCH (reproducible-builds.org, specification of that variable): two runs, every byte the
    // same.
    void sameProjectSameBytes()
    {
        qputenv("SOURCE_DATE_EPOCH", "1782907200"); // 2026-07-01 12:00 UTC
        for (const char* folder : {"first", "second"}) {
            const Ran made = run(bagInto(folder));
            QVERIFY2(made.exitCode == 0, qPrintable(made.err));
            QTest::qWait(1100); // past the next second of any clock that might be written
        }
        qputenv("SOURCE_DATE_EPOCH", "1782993600"); // a day later
        const Ran later = run(bagInto("later"));
        qunsetenv("SOURCE_DATE_EPOCH");
        QVERIFY2(later.exitCode == 0, qPrintable(later.err));
        const auto first = digestsIn(at("first")), second = digestsIn(at("second"));
        QVERIFY(first.size() > 50);
        for (const auto& [name, digest] : first)
            QVERIFY2(second.contains(name) && second.at(name) == digest, name.c_str());
        QCOMPARE(second.size(), first.size());
        QVERIFY(slurp(at("first") / "bag-info.txt").find("Bagging-Date: 2026-07-01\n") !=
                std::string::npos);
        QVERIFY(slurp(at("later") / "bag-info.txt").find("Bagging-Date: 2026-07-02\n") !=
                std::string::npos);
        QVERIFY(digestsIn(at("later")) != first); // the comparison can fail
    }

    // What hangs on the order of a hash table is the same within a process, and in half of all pairs of
    // them.
    void reportsAreTheSameFromEveryProcess()
    {
        std::map<std::string, std::string> first;
        for (int i = 0; i < 8; ++i) {
            const QString folder = QString("process-%1").arg(i);
            const Ran ran =
                run({"report", project(), "--to", path(folder), "--kind", "project", "--kind", "residuals",
                     "--kind", "plans", "--kind", "close-of-day", "--kind", "sequence"});
            QVERIFY2(ran.exitCode >= 0 && ran.exitCode <= 1, qPrintable(ran.err));
            const auto digests = digestsIn(path(folder).toStdString());
            if (i == 0)
                first = digests;
            for (const auto& [name, digest] : first)
                QVERIFY2(digests.contains(name) && digests.at(name) == digest, name.c_str());
        }
        QVERIFY(first.contains("project-report.pdf") && first.contains("plans.pdf") &&
                first.contains("residuals.pdf"));
    }

    void aBagThatWasTamperedWithIsAFaultThatSaysWhy()
    {
        const auto mustBeFound = [&](const char* name, const std::function<void(const fs::path&)>& spoil,
                                     const QString& reason) {
            const fs::path bag = at(name);
            fs::copy(at("bag"), bag, fs::copy_options::recursive);
            spoil(bag);
            const Ran ran = run({"verify", path(name)});
            fs::remove_all(bag);
            QVERIFY2(ran.exitCode == 1 && ran.out.isEmpty(), qPrintable(ran.out + ran.err));
            QVERIFY2(ran.err.contains(reason), qPrintable(ran.err));
        };
        mustBeFound(
            "bit",
            [](const fs::path& bag) {
                std::string bytes = slurp(bag / "data/laid/P-01.tif");
                bytes[bytes.size() / 2] = static_cast<char>(bytes[bytes.size() / 2] ^ 1);
                spill(bag / "data/laid/P-01.tif", bytes);
            },
            "P-01.tif: has been altered");
        mustBeFound(
            "lost", [](const fs::path& bag) { fs::remove(bag / "data/plans/plans.pdf"); },
            "plans.pdf: is listed and not there");
        mustBeFound(
            "gained", [](const fs::path& bag) { spill(bag / "data/plans/more.pdf", "x"); },
            "more.pdf: is in the bag and not listed");
        mustBeFound(
            "leaving",
            [](const fs::path& bag) {
                fs::remove(bag / "tagmanifest-sha512.txt");
                std::ofstream(bag / "manifest-sha512.txt", std::ios::app)
                    << std::string(128, 'a') + "  data/../../yard.gpkg\n";
            },
            "leaves the bag");
    }

    void plansAndTheProjectReportAreWrittenAsReports()
    {
        const Ran plans = run({"report", project(), "--to", path("sheets"), "--kind", "plans", "--trench",
                               "1", "--paper", "A4", "--standing", "--scale", "50", "--json"});
        QVERIFY2(plans.exitCode == 0, qPrintable(plans.err));
        const json said = json::parse(plans.out.toStdString());
        for (const json& file : said["files"])
            QVERIFY2(fs::exists(at("sheets") / file.get<std::string>()), file.dump().c_str());
        // ISO 216: A4 is 210 mm x 297 mm, 595.3 x 841.9 points; Qt writes whole points
        QVERIFY(run("pdfinfo", {path("sheets/plans.pdf")}).contains("Page size:       595 x 842 pts"));
        QVERIFY(run("pdftotext", {"-layout", path("sheets/plans.pdf"), "-"}).contains("1:50 on A4"));
        const Ran report =
            run({"report", project(), "--to", path("reports"), "--kind", "project", "--kind", "residuals"});
        QVERIFY2(report.exitCode <= 1 && report.exitCode >= 0, qPrintable(report.err));
        QVERIFY2(report.out.contains("project-report.pdf") && report.out.contains("project-report.html"),
                 qPrintable(report.out));
        const QString text = run("pdftotext", {"-layout", path("reports/project-report.pdf"), "-"});
        for (const char* chapter : {"Project summary", "Residuals", "Finds, samples and timbers", "Checks",
                                    "Sign-off sheet", "Deposit statement", "Data dictionary"})
            QVERIFY2(text.contains(chapter), chapter);
    }

    void whatCannotBeIsRefusedAndNothingIsWritten()
    {
        const std::string before = slurp(at("yard.gpkg"));
        const auto refused = [&](const QStringList& more, const QString& word) {
            const Ran ran = run(QStringList{"hand-over", project(), "--to", path("refused")} + more);
            QVERIFY2(ran.exitCode == 2 && ran.out.isEmpty(), qPrintable(ran.out + ran.err));
            QVERIFY2(ran.err.contains(word), qPrintable("\"" + word + "\" is not in: " + ran.err));
            QVERIFY(!fs::exists(at("refused")));
        };
        refused({"--plans", "--paper", "A7"}, "is none of A4, A3, A2, A1, A0");
        refused({"--plans", "--scale", "nought"}, "scale");
        refused({"--plans", "--scale", "-20"}, "-20");
        refused({"--plans", "--trench", "9"}, "trench \"9\" is not in the register");
        refused({"--plans", "--period", "yesterday"}, "yesterday");
        refused({"--plans", "--context", "9999"}, "context \"9999\" has no outline");
        refused({"--paper", "A4"}, "--paper is said of --plans");
        refused({"--cloud-optimised"}, "said of --laid");
        refused({"--stage", "finished"}, "--stage \"finished\"");
        refused({"--database", "site"}, "--to FOLDER, or --database SERVICE");
        // a folder that holds something else is never replaced
        fs::create_directories(at("letters"));
        spill(at("letters") / "letter.txt", "keep me");
        const Ran taken = run({"hand-over", project(), "--to", path("letters"), "--bag", "--replace"});
        QCOMPARE(taken.exitCode, 2);
        QCOMPARE(slurp(at("letters") / "letter.txt"), std::string("keep me"));
        QVERIFY(slurp(at("yard.gpkg")) == before);
    }
};

QTEST_GUILESS_MAIN(HandOverVerbTest)
#include "HandOverVerbTest.moc"
