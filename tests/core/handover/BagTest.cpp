// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/Bag.h"

#include <fstream>

#include <QProcess>
#include <QTemporaryDir>
#include <QTest>
#include <QXmlStreamReader>

#include <nlohmann/json.hpp>

#include "core/base/Digest.h"
#include "tests/core/handover/YardProject.h"

using namespace inkpeg;

namespace fs = std::filesystem;

namespace {

std::string slurp(const fs::path& file)
{
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

void spill(const fs::path& file, const std::string& bytes)
{
    fs::create_directories(file.parent_path());
    std::ofstream(file, std::ios::binary) << bytes;
}

/// Replaces once.
void edit(const fs::path& file, const std::string& from, const std::string& to)
{
    std::string text = slurp(file);
    const std::size_t at = text.find(from);
    QVERIFY(at != std::string::npos);
    spill(file, text.replace(at, from.size(), to));
}

} // namespace

class BagTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;
    std::optional<Project> m_project;

    fs::path path(const std::string& name) const
    {
        return m_folder.filePath(QString::fromStdString(name)).toStdString();
    }

    /// A fresh copy of the good bag, to be spoilt.
    fs::path copyOfBag(const std::string& name) const
    {
        fs::copy(path("bag"), path(name), fs::copy_options::recursive);
        return path(name);
    }

    static void mustBeRefused(const fs::path& bag, const std::string& word)
    {
        const Result<BagReport> verified = verifyBag(bag);
        QVERIFY2(!verified, "the bag was taken for sound");
        QCOMPARE(verified.error().code, ErrorCode::BadInput);
        QVERIFY2(verified.error().message.find(word) != std::string::npos,
                 verified.error().message.c_str());
    }

private slots:
    void initTestCase()
    {
        m_project.emplace(yard::make(path("yard.gpkg")));
        spill(path("film/F1.tif"), "the scan of F1");
        spill(path("film/F2.tif"), "the scan of F2");
        const BagExtras extras = {{"reports/residuals.csv", "drawing,peg\r\n"},
                                  {"notes/100% done.txt", "abc"}};
        const Result<BagReport> made = writeBag(*m_project, path("bag"), {}, extras);
        QVERIFY2(made, made ? "" : made.error().message.c_str());
    }

    void ownVerifierFindsItSound()
    {
        const Result<BagReport> verified = verifyBag(path("bag"));
        QVERIFY2(verified, verified ? "" : verified.error().message.c_str());
        QVERIFY(verified->payloadFiles > 30);
    }

    // GNU coreutils is the independent reader. It knows nothing of RFC 8493's per cent encoding, so that
    // line is decoded for it.
    void sha512sumFindsItSound()
    {
        for (const char* manifest : {"manifest-sha512.txt", "tagmanifest-sha512.txt"}) {
            writeDecoded(path("bag") / manifest, path("decoded.txt"));
            QProcess process;
            process.setWorkingDirectory(m_folder.filePath("bag"));
            process.start("sha512sum", {"-c", "--strict", "--quiet", m_folder.filePath("decoded.txt")});
            QVERIFY(process.waitForFinished());
            QVERIFY2(process.exitCode() == 0, process.readAllStandardError().constData());
        }
    }

    static void writeDecoded(const fs::path& from, const fs::path& to)
    {
        std::string text = slurp(from);
        for (std::size_t at = text.find("%25"); at != std::string::npos; at = text.find("%25"))
            text.replace(at, 3, "%");
        spill(to, text);
    }

    // RFC 8493, 2.1.1, 2.1.3, 2.2.1, 2.2.2, as tests/published/bagit_rfc8493.json gives them.
    void tagFilesFollowTheStandard()
    {
        QCOMPARE(slurp(path("bag/bagit.txt")),
                 std::string("BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"));
        std::uint64_t bytes = 0, files = 0;
        const std::string manifest = slurp(path("bag/manifest-sha512.txt"));
        for (const fs::directory_entry& entry : fs::recursive_directory_iterator(path("bag/data"))) {
            if (!entry.is_regular_file())
                continue;
            bytes += entry.file_size();
            ++files;
            const std::string name =
                manifestPath(entry.path().lexically_relative(path("bag")).generic_string());
            QVERIFY2(manifest.find("  " + name + "\n") != std::string::npos, name.c_str());
        }
        QCOMPARE(static_cast<std::uint64_t>(std::count(manifest.begin(), manifest.end(), '\n')), files);
        QVERIFY(slurp(path("bag/bag-info.txt"))
                    .find("Payload-Oxum: " + std::to_string(bytes) + "." + std::to_string(files) + "\n") !=
                std::string::npos);
        const std::string tags = slurp(path("bag/tagmanifest-sha512.txt"));
        QVERIFY(tags.find("data/") == std::string::npos && tags.find("tagmanifest") == std::string::npos);
        QVERIFY(manifest.find("data/notes/100%25 done.txt") != std::string::npos);
    }

    // The example of tests/published/bagit_rfc8493.json, whose digests were made outside this program.
    void thePublishedExampleIsSound()
    {
        const nlohmann::json published =
            nlohmann::json::parse(slurp(INKPEG_PUBLISHED_DIR "/bagit_rfc8493.json"));
        const nlohmann::json& example = published["example_built_here_not_from_the_rfc"];
        for (const auto& [name, bytes] : example["payload"].items())
            spill(path("example") / name, bytes.get<std::string>());
        for (const auto& [name, bytes] : example.items())
            if (name != "payload")
                spill(path("example") / name, bytes.get<std::string>());
        const Result<BagReport> verified = verifyBag(path("example"));
        QVERIFY2(verified, verified ? "" : verified.error().message.c_str());
        QCOMPARE(verified->payloadFiles, std::size_t{2});
    }

    void scansKeepTheirBytes()
    {
        QCOMPARE(slurp(path("bag/data/scans/F1.tif")), std::string("the scan of F1"));
    }

    void oneBitAlteredIsFound()
    {
        const fs::path bag = copyOfBag("bit");
        std::string bytes = slurp(bag / "data/geodata/geodata.gpkg");
        bytes[bytes.size() / 2] = static_cast<char>(bytes[bytes.size() / 2] ^ 1);
        spill(bag / "data/geodata/geodata.gpkg", bytes);
        mustBeRefused(bag, "geodata.gpkg: has been altered");
    }

    void aLostFileIsFound()
    {
        const fs::path bag = copyOfBag("lost");
        fs::remove(bag / "data/scans/F2.tif");
        mustBeRefused(bag, "F2.tif: is listed and not there");
    }

    void aFileAddedIsFound()
    {
        const fs::path bag = copyOfBag("added");
        spill(bag / "data/scans/F3.tif", "x");
        mustBeRefused(bag, "F3.tif: is in the bag and not listed");
    }

    void anAlteredManifestIsFound()
    {
        const fs::path bag = copyOfBag("manifest");
        spill(bag / "manifest-sha512.txt", slurp(bag / "manifest-sha512.txt") + "\n");
        mustBeRefused(bag, "manifest-sha512.txt: has been altered");
    }

    // RFC 8493, 5.1.2: paths that leave the bag.
    void pathsThatLeaveTheBagAreRefused()
    {
        int number = 0;
        for (const char* leaving :
             {"data/../../secret", "/etc/passwd", "~/x", "data/./x", "data\\..\\x", "C:/x"}) {
            const fs::path bag = copyOfBag("leaving" + std::to_string(++number));
            fs::remove(bag / "tagmanifest-sha512.txt");
            spill(bag / "manifest-sha512.txt",
                  slurp(bag / "manifest-sha512.txt") + std::string(128, 'a') + "  " + leaving + "\n");
            mustBeRefused(bag, "leaves the bag");
        }
    }

    void aLinkInThePayloadIsRefused()
    {
        const fs::path bag = copyOfBag("link");
        fs::create_symlink("/etc/passwd", bag / "data/scans/F9.tif");
        mustBeRefused(bag, "is no plain file");
    }

    void aFileListedTwiceIsRefused()
    {
        const fs::path bag = copyOfBag("twice");
        fs::remove(bag / "tagmanifest-sha512.txt");
        const std::string manifest = slurp(bag / "manifest-sha512.txt");
        spill(bag / "manifest-sha512.txt", manifest + manifest.substr(0, manifest.find('\n') + 1));
        mustBeRefused(bag, "listed twice");
    }

    void aWrongOxumIsRefused()
    {
        const fs::path bag = copyOfBag("oxum");
        fs::remove(bag / "tagmanifest-sha512.txt");
        edit(bag / "bag-info.txt", "Payload-Oxum: ", "Payload-Oxum: 1");
        mustBeRefused(bag, "Payload-Oxum");
    }

    void aFolderThatIsNoBagIsNotFound()
    {
        fs::create_directories(path("none"));
        const Result<BagReport> verified = verifyBag(path("none"));
        QVERIFY(!verified && verified.error().code == ErrorCode::NotFound);
    }

    void sameProjectSameBytes()
    {
        const BagExtras extras = {{"reports/residuals.csv", "drawing,peg\r\n"},
                                  {"notes/100% done.txt", "abc"}};
        QVERIFY(writeBag(*m_project, path("again"), {}, extras));
        QCOMPARE(slurp(path("again/manifest-sha512.txt")), slurp(path("bag/manifest-sha512.txt")));
        QCOMPARE(slurp(path("again/tagmanifest-sha512.txt")), slurp(path("bag/tagmanifest-sha512.txt")));
    }

    void aScanThatIsNotTheRegisteredOneIsRefused()
    {
        spill(path("other/film/F1.tif"), "another scan");
        spill(path("other/film/F2.tif"), "the scan of F2");
        Project project = yard::make(path("other/yard.gpkg"));
        Sheet sheet = project.byKey<Sheet>("F1").value();
        sheet.scanSha256 = digestOf("the scan of F1");
        QVERIFY(project.act("register the scan", [&](Editor& editor) { return editor.put(sheet); }));
        const Result<BagReport> made = writeBag(project, path("other/bag"));
        QVERIFY(!made && made.error().code == ErrorCode::Conflict);
        QVERIFY(!fs::exists(path("other/bag")));
    }

    void extrasStayInside()
    {
        const Result<BagReport> made = writeBag(*m_project, path("escape"), {}, {{"../escape.txt", "x"}});
        QVERIFY(!made && made.error().code == ErrorCode::BadInput);
        QVERIFY(!fs::exists(path("escape")) && !fs::exists(path("escape.txt")));
    }

    // Every record and geometry, in every format, and against the project.
    void everythingReadsBackEqual()
    {
        GeodataSettings all;
        all.gml = all.shapefile = true;
        const Result<BagReport> made = writeBag(*m_project, path("all"), {.geodata = all});
        QVERIFY2(made, made ? "" : made.error().message.c_str());
        for (const Project* project : std::initializer_list<const Project*>{nullptr, &*m_project}) {
            const Result<ReadBackReport> held = verifyBagContent(path("all"), project);
            QVERIFY2(held, held ? "" : held.error().message.c_str());
            QCOMPARE(held->formats,
                     (std::vector<std::string>{"GeoPackage", "CSV", "GeoJSON", "GML", "shapefile"}));
            QVERIFY(held->records > 40);
            QVERIFY(held->remarks.empty());
        }
        // reading left no file behind
        const Result<BagReport> verified = verifyBag(path("all"));
        QVERIFY2(verified, verified ? "" : verified.error().message.c_str());
    }

    // A bag whose digests are right and whose formats contradict each other: somebody edited one and bagged
    // again. hand-over.json is told the new digest too.
    void formatsThatContradictEachOtherAreFound()
    {
        struct Tampering {
            const char *file, *from, *to, *found;
        };
        for (const Tampering& one :
             {Tampering{"csv/contexts.csv", ",cut,", ",pit,",
                        "contexts, record 1, kind: \"pit\" instead of \"cut\""},
              {"csv/outlines.csv", "MULTIPOLYGON (((553", "MULTIPOLYGON (((554",
               "outlines, record 1, geometry: place 1"},
              {"csv/levels.csv", "51.204", "51.205", "levels, record 1"},
              {"geojson/finds.geojson", "\"SF8\"", "\"SF9\"", "finds, record 2, number"},
              {"geojson/outlines.geojson", "[[[[", "[[[[9.5,50.1],[", "outlines, record 1, geometry"}}) {
            const fs::path bag =
                path(std::string("contradiction-") + fs::path(one.file).filename().string());
            fs::copy(path("bag"), bag, fs::copy_options::recursive);
            const fs::path geodata = bag / "data/geodata";
            const std::string before = digestOf(slurp(geodata / one.file));
            edit(geodata / one.file, one.from, one.to);
            edit(geodata / "hand-over.json", before, digestOf(slurp(geodata / one.file)));
            const Result<ReadBackReport> held = verifyBagContent(bag);
            QVERIFY2(!held, one.file);
            QCOMPARE(held.error().code, ErrorCode::BadInput);
            QVERIFY2(held.error().message.find(one.found) != std::string::npos,
                     held.error().message.c_str());
        }
    }

    void aBagOfAnotherStateOfTheProjectIsTold()
    {
        Project later = yard::make(path("later.gpkg"));
        Context kiln = later.byKey<Context>("1032").value();
        kiln.description = "changed since";
        QVERIFY(later.act("describe", [&](Editor& editor) { return editor.put(kiln); }));
        const Result<ReadBackReport> held = verifyBagContent(path("bag"), &later);
        QVERIFY(!held);
        QVERIFY2(held.error().message.find("differs from the project: contexts, record 1, description") ==
                     0,
                 held.error().message.c_str());
    }

    void whatTheBagSaysItHoldsMustBeThere()
    {
        const fs::path bag = copyOfBag("without");
        fs::remove_all(bag / "data/reports");
        const Result<ReadBackReport> held = verifyBagContent(bag);
        QVERIFY(!held && held.error().message.find("data/reports is not there") != std::string::npos);
    }

    void aBagWithoutRightsOrDepositorIsNotMade()
    {
        fs::create_directories(path("bare"));
        Project project = yard::make(path("bare/yard.gpkg"));
        ProjectFacts facts = project.facts();
        facts.rights.clear();
        QVERIFY(
            project.act("take the rights away", [&](Editor& editor) { return editor.putFacts(facts); }));
        const Result<BagReport> made = writeBag(project, path("bare/bag"), {.scans = false});
        QVERIFY(!made && made.error().code == ErrorCode::BadInput);
        QVERIFY2(made.error().message.find("the rights") != std::string::npos,
                 made.error().message.c_str());
        QVERIFY(!fs::exists(path("bare/bag")));
    }

    // No schema of ISO/TS 19139 is packaged by Debian or npm: well-formed (xmllint) and the elements that
    // ISO 19115:2003 makes mandatory, in the order of its schema.
    void theIsoRecordHasWhatTheStandardAsksFor()
    {
        const QString file = m_folder.filePath("bag/data/metadata/iso-19139.xml");
        QProcess lint;
        lint.start("xmllint", {"--noout", "--nonet", file});
        QVERIFY(lint.waitForFinished());
        QVERIFY2(lint.exitCode() == 0, lint.readAllStandardError().constData());
        QXmlStreamReader xml(QByteArray::fromStdString(slurp(file.toStdString())));
        QStringList children, all;
        int depth = 0;
        while (!xml.atEnd()) {
            const auto token = xml.readNext();
            depth += token == QXmlStreamReader::StartElement ? 1
                     : token == QXmlStreamReader::EndElement ? -1
                                                             : 0;
            if (token != QXmlStreamReader::StartElement)
                continue;
            all << xml.name().toString();
            if (depth == 2)
                children << xml.name().toString();
        }
        QVERIFY2(!xml.hasError(), qPrintable(xml.errorString()));
        QCOMPARE(children, (QStringList{"fileIdentifier", "language", "characterSet", "hierarchyLevel",
                                        "contact", "dateStamp", "metadataStandardName",
                                        "metadataStandardVersion", "referenceSystemInfo",
                                        "identificationInfo", "distributionInfo", "dataQualityInfo"}));
        for (const char* name :
             {"title", "date", "dateType", "abstract", "topicCategory", "westBoundLongitude",
              "northBoundLatitude", "otherConstraints", "DQ_AbsoluteExternalPositionalAccuracy",
              "statement", "processStep", "denominator", "organisationName"})
            QVERIFY2(all.contains(name), name);
        const QString text = QString::fromStdString(slurp(file.toStdString()));
        QVERIFY(text.contains("root mean square error, east") &&
                text.contains("NSSDA asks for 20 or more"));
        QVERIFY(text.contains("kiln &amp; malting yard") && text.contains("CC BY 4.0"));
    }

    void theDublinCoreRecordIsWellFormed()
    {
        QXmlStreamReader xml(QByteArray::fromStdString(slurp(path("bag/data/metadata/dublin-core.xml"))));
        QStringList met;
        while (!xml.atEnd())
            if (xml.readNext() == QXmlStreamReader::StartElement)
                met << xml.name().toString();
        QVERIFY2(!xml.hasError(), qPrintable(xml.errorString()));
        for (const char* name : {"title", "identifier", "creator", "date", "type", "format", "rights"})
            QVERIFY2(met.contains(name), name);
    }
};

QTEST_GUILESS_MAIN(BagTest)
#include "BagTest.moc"
