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
