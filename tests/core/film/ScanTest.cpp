// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/Scan.h"

#include <set>

#include <QImage>
#include <QTemporaryDir>
#include <QTest>

#include "tests/core/film/TiffForTests.h"

using namespace inkpeg;
using namespace inkpeg::test;

class ScanTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;

    std::filesystem::path at(const char* name) const { return m_folder.filePath(name).toStdString(); }

    /// The message of the error that opening `file` must give; empty when it opens.
    static std::string refusal(const std::filesystem::path& file, ErrorCode code = ErrorCode::BadInput)
    {
        const Result<Scan> scan = Scan::open(file);
        return !scan && scan.error().code == code ? scan.error().message : "";
    }

    static GreyImage greyOfAll(const Scan& scan)
    {
        const auto& facts = scan.facts();
        const auto image =
            scan.readGrey({0, 0, facts.widthPx, facts.heightPx}, facts.widthPx, facts.heightPx);
        return image ? *image : GreyImage{};
    }

    static std::vector<std::uint8_t> rgbOfAll(const Scan& scan)
    {
        const auto& facts = scan.facts();
        const auto image =
            scan.readRgb({0, 0, facts.widthPx, facts.heightPx}, facts.widthPx, facts.heightPx);
        return image ? image->pixels : std::vector<std::uint8_t>{};
    }

private slots:
    void aTextFileNamedTifIsRefusedByItsContent()
    {
        writeContent(at("notes.tif"), "P-014 drawn on the second day\n");
        const std::string words = refusal(at("notes.tif"));
        QVERIFY(words.find("notes.tif: its content is text; a scan must be a TIFF, JPEG or PNG file") !=
                std::string::npos);
    }

    void otherContentIsRefusedWhateverItsName()
    {
        writeContent(at("empty.tif"), "");
        QVERIFY(refusal(at("empty.tif")).find("empty") != std::string::npos);
        writeContent(at("paper.png"), "%PDF-1.7\n");
        QVERIFY(refusal(at("paper.png")).find("PDF") != std::string::npos);
        // A file that would make a virtual raster reader open another one.
        writeContent(at("virtual.tif"), "<VRTDataset rasterXSize=\"1\" rasterYSize=\"1\"></VRTDataset>");
        QVERIFY(!refusal(at("virtual.tif")).empty());
        QVERIFY(refusal(at("absent.tif"), ErrorCode::NotFound).find("absent.tif") != std::string::npos);
        QVERIFY(!refusal(at(".")).empty());
        QVERIFY(!refusal("/vsimem/x.tif", ErrorCode::NotFound).empty());
    }

    void aTruncatedFileIsRefusedWhereverItIsCut()
    {
        CPLStringList tiles;
        tiles.SetNameValue("TILED", "YES");
        QVERIFY(writeTiff(at("tiles.tif"), wavesPicture(600, 600, tiles)));
        QVERIFY(writeTiff(at("strips.tif"), wavesPicture(600, 600)));
        QImage picture(300, 200, QImage::Format_Grayscale8);
        for (int row = 0; row < picture.height(); ++row)
            for (int column = 0; column < picture.width(); ++column)
                picture.scanLine(row)[column] = static_cast<uchar>((column * 7 + row * 13) % 251);
        QVERIFY(picture.save(QString::fromStdString(at("whole.jpg").string())));
        QVERIFY(picture.save(QString::fromStdString(at("whole.png").string())));
        for (const char* name : {"tiles.tif", "strips.tif", "whole.jpg", "whole.png"}) {
            QVERIFY2(Scan::open(at(name)), name);
            const std::string content = contentOf(at(name));
            for (const double share : {0.02, 0.5, 0.9, 0.99}) {
                writeContent(at("cut"),
                             content.substr(0, static_cast<std::size_t>(share * double(content.size()))));
                QVERIFY2(refusal(at("cut")).find("cut short") != std::string::npos, name);
            }
        }
    }

    void filesBesideAScanAreNeitherReadNorWritten()
    {
        QVERIFY(writeTiff(at("alone.tif"), wavesPicture(512, 512)));
        const auto before = greyOfAll(*Scan::open(at("alone.tif")));
        QVERIFY(writeTiff(at("alone.tif.ovr"), wavesPicture(256, 256)));
        writeContent(at("alone.tif.aux.xml"),
                     "<PAMDataset><Metadata><MDI key=\"TIFFTAG_XRESOLUTION\">999</MDI>"
                     "<MDI key=\"TIFFTAG_RESOLUTIONUNIT\">2</MDI></Metadata></PAMDataset>");
        const std::string scanBytes = contentOf(at("alone.tif"));
        const auto list = [&] {
            std::set<std::string> names;
            for (const auto& entry : std::filesystem::directory_iterator(m_folder.path().toStdString()))
                names.insert(entry.path().filename());
            return names;
        };
        const auto namesBefore = list();
        {
            const auto scan = Scan::open(at("alone.tif"));
            QVERIFY(scan);
            QCOMPARE(scan->facts().dpiX, 0.0);
            QCOMPARE(greyOfAll(*scan).pixels, before.pixels);
            const auto half = scan->readGrey({0, 0, 512, 512}, 128, 128);
            QVERIFY(half);
            unsigned sum = 8;
            for (int row = 0; row < 4; ++row)
                for (int column = 0; column < 4; ++column)
                    sum += before.at(column, row);
            QCOMPARE(half->pixels[0],
                     static_cast<std::uint8_t>(sum / 16)); // the mean, not the planted overview
        }
        QCOMPARE(list(), namesBefore);
        QCOMPARE(contentOf(at("alone.tif")), scanBytes);
    }

    void everyKindOfGreyReadsTheSame()
    {
        const std::vector<std::uint8_t> expected{0, 255, 255, 0, 0, 255};
        const auto check = [&](const char* name, GDALDataType type, std::vector<std::uint16_t> samples,
                               const char* key = nullptr, const char* value = nullptr,
                               const char* key2 = nullptr, const char* value2 = nullptr) {
            TiffPicture picture{3, 2, 1, std::move(samples), type, {}, {}, {}};
            if (key)
                picture.options.SetNameValue(key, value);
            if (key2)
                picture.options.SetNameValue(key2, value2);
            if (!writeTiff(at(name), picture))
                return false;
            const auto scan = Scan::open(at(name));
            return scan && greyOfAll(*scan).pixels == expected && scan->channels() == 1;
        };
        QVERIFY(check("8.tif", GDT_Byte, {0, 255, 255, 0, 0, 255}));
        QVERIFY(check("16.tif", GDT_UInt16, {0, 65535, 65535, 0, 0, 65535}));
        QVERIFY(check("12.tif", GDT_UInt16, {0, 4095, 4095, 0, 0, 4095}, "NBITS", "12"));
        QVERIFY(check("1.tif", GDT_Byte, {0, 1, 1, 0, 0, 1}, "NBITS", "1"));
        QVERIFY(check("1w.tif", GDT_Byte, {1, 0, 0, 1, 1, 0}, "NBITS", "1", "PHOTOMETRIC", "MINISWHITE"));
        QVERIFY(check("8w.tif", GDT_Byte, {255, 0, 0, 255, 255, 0}, "PHOTOMETRIC", "MINISWHITE"));
        QCOMPARE(Scan::open(at("1.tif"))->facts().colour, std::string("bilevel"));
        QCOMPARE(Scan::open(at("1.tif"))->facts().bitsPerSample, 1);
        QCOMPARE(Scan::open(at("16.tif"))->facts().bitsPerSample, 16);
    }

    void coloursBecomeRedGreenBlueOverWhite()
    {
        const auto rgb = [&](TiffPicture picture) {
            return writeTiff(at("colour.tif"), picture) ? rgbOfAll(*Scan::open(at("colour.tif")))
                                                        : std::vector<std::uint8_t>{};
        };
        using Pixels = std::vector<std::uint8_t>;
        TiffPicture palette{2, 1, 1, {0, 1}, GDT_Byte, {}, {}, {{10, 20, 30, 255}, {40, 50, 60, 255}}};
        QCOMPARE(rgb(palette), (Pixels{10, 20, 30, 40, 50, 60}));
        TiffPicture plain{2, 1, 3, {1, 2, 3, 4, 5, 6}, GDT_Byte, {}, {}, {}};
        QCOMPARE(rgb(plain), (Pixels{1, 2, 3, 4, 5, 6}));
        plain.options.SetNameValue("INTERLEAVE", "BAND");
        QCOMPARE(rgb(plain), (Pixels{1, 2, 3, 4, 5, 6}));
        QCOMPARE(Scan::open(at("colour.tif"))->channels(), 3);

        // Ideal inks: cyan swallows red; black swallows everything.
        TiffPicture cmyk{3, 1, 4, {255, 0, 0, 0, 0, 0, 0, 255, 0, 0, 0, 0}, GDT_Byte, {}, {}, {}};
        cmyk.options.SetNameValue("PHOTOMETRIC", "CMYK");
        QCOMPARE(rgb(cmyk), (Pixels{0, 255, 255, 0, 0, 0, 255, 255, 255}));
        QCOMPARE(Scan::open(at("colour.tif"))->facts().colour, std::string("CMYK"));

        TiffPicture deep{2, 1, 4, {65535, 0, 0, 0, 0, 0, 0, 65535}, GDT_UInt16, {}, {}, {}};
        deep.options.SetNameValue("PHOTOMETRIC", "CMYK");
        QCOMPARE(rgb(deep), (Pixels{0, 255, 255, 0, 0, 0}));

        // Nothing drawn shows white film; half strength lies half way to white.
        TiffPicture alpha{3, 1, 4, {0, 0, 0, 0, 0, 0, 0, 128, 7, 8, 9, 255}, GDT_Byte, {}, {}, {}};
        alpha.options.SetNameValue("PHOTOMETRIC", "RGB");
        alpha.options.SetNameValue("ALPHA", "NON-PREMULTIPLIED");
        QCOMPARE(rgb(alpha), (Pixels{255, 255, 255, 127, 127, 127, 7, 8, 9}));
        TiffPicture greyAlpha{2, 1, 2, {0, 0, 9, 255}, GDT_Byte, {}, {}, {}};
        greyAlpha.options.SetNameValue("ALPHA", "YES");
        QCOMPARE(rgb(greyAlpha), (Pixels{255, 255, 255, 9, 9, 9}));
        QCOMPARE(Scan::open(at("colour.tif"))->facts().colour, std::string("grey + alpha"));
    }

    void samplesThatAreNoPictureAreRefused()
    {
        TiffPicture floats{2, 1, 1, {1, 2}, GDT_Float32, {}, {}, {}};
        QVERIFY(writeTiff(at("float.tif"), floats));
        QVERIFY(refusal(at("float.tif")).find("Float32") != std::string::npos);
        TiffPicture five{1, 1, 5, {1, 2, 3, 4, 5}, GDT_Byte, {}, {}, {}};
        QVERIFY(writeTiff(at("five.tif"), five));
        QVERIFY(refusal(at("five.tif")).find("5 samples a pixel") != std::string::npos);
    }

    void resolutionIsReadFromEveryFormat()
    {
        TiffPicture inch = wavesPicture(4, 4);
        for (const char* tag :
             {"TIFFTAG_XRESOLUTION=400", "TIFFTAG_YRESOLUTION=300", "TIFFTAG_RESOLUTIONUNIT=2"})
            inch.tags.AddString(tag);
        QVERIFY(writeTiff(at("inch.tif"), inch));
        QCOMPARE(Scan::open(at("inch.tif"))->facts().dpiX, 400.0);
        QCOMPARE(Scan::open(at("inch.tif"))->facts().dpiY, 300.0);
        TiffPicture centimetre = wavesPicture(4, 4);
        for (const char* tag :
             {"TIFFTAG_XRESOLUTION=200", "TIFFTAG_YRESOLUTION=200", "TIFFTAG_RESOLUTIONUNIT=3"})
            centimetre.tags.AddString(tag);
        QVERIFY(writeTiff(at("cm.tif"), centimetre));
        QCOMPARE(Scan::open(at("cm.tif"))->facts().dpiX, 508.0);

        QImage picture(20, 10, QImage::Format_Grayscale8);
        picture.fill(200);
        picture.setDotsPerMeterX(15748); // 400 dpi
        picture.setDotsPerMeterY(11811); // 300 dpi
        for (const char* name : {"dpi.png", "dpi.jpg"}) {
            QVERIFY(picture.save(QString::fromStdString(at(name).string())));
            const auto scan = Scan::open(at(name));
            QVERIFY(scan);
            QVERIFY(std::abs(scan->facts().dpiX - 400.0) < 0.5); // whole dots a metre or an inch
            QVERIFY(std::abs(scan->facts().dpiY - 300.0) < 0.5);
            QVERIFY(std::abs(greyOfAll(*scan).at(3, 3) - 200) <= 1);
        }
        QCOMPARE(Scan::open(at("dpi.png"))->facts().format, std::string("PNG"));
        QCOMPARE(Scan::open(at("dpi.jpg"))->facts().format, std::string("JPEG"));
    }

    void smallerPicturesAreAverages()
    {
        // Reference: GDAL's own averaging, which for whole factors is the plain mean of each box.
        CPLStringList tiles;
        tiles.SetNameValue("TILED", "YES");
        QVERIFY(writeTiff(at("mean.tif"), wavesPicture(800, 600, tiles)));
        std::vector<std::uint8_t> reference(200 * 150);
        GDALDatasetUniquePtr dataset(GDALDataset::Open(at("mean.tif").c_str(), GDAL_OF_RASTER));
        GDALRasterIOExtraArg how;
        INIT_RASTERIO_EXTRA_ARG(how);
        how.eResampleAlg = GRIORA_Average;
        QCOMPARE(dataset->GetRasterBand(1)->RasterIO(GF_Read, 0, 0, 800, 600, reference.data(), 200, 150,
                                                     GDT_Byte, 0, 0, &how),
                 CE_None);
        const auto image = Scan::open(at("mean.tif"))->readGrey({0, 0, 800, 600}, 200, 150);
        QVERIFY(image);
        for (std::size_t i = 0; i < reference.size(); ++i)
            QVERIFY(std::abs(int{image->pixels[i]} - int{reference[i]}) <= 1); // rounding of halves
    }

    void aPartOutsideTheScanIsRefused()
    {
        QVERIFY(writeTiff(at("small.tif"), wavesPicture(30, 20)));
        const auto scan = Scan::open(at("small.tif"));
        for (const PxRect& window : {PxRect{-1, 0, 5, 5}, PxRect{26, 0, 5, 5}, PxRect{0, 0, 0, 5},
                                     PxRect{2'000'000'000, 0, 2'000'000'000, 1}}) {
            const auto image = scan->readGrey(window, 5, 5);
            QVERIFY(!image);
            QCOMPARE(image.error().code, ErrorCode::BadInput);
        }
        QVERIFY(!scan->readGrey({0, 0, 5, 5}, 0, 5));
    }

    void aDamagedTileIsNamedAndTheRestReads()
    {
        CPLStringList options;
        options.SetNameValue("TILED", "YES");
        options.SetNameValue("COMPRESS", "DEFLATE");
        QVERIFY(writeTiff(at("hurt.tif"), wavesPicture(1024, 1024, options)));
        std::string content = contentOf(at("hurt.tif"));
        {
            GDALDatasetUniquePtr dataset(GDALDataset::Open(at("hurt.tif").c_str(), GDAL_OF_RASTER));
            const auto offset =
                std::stoul(dataset->GetRasterBand(1)->GetMetadataItem("BLOCK_OFFSET_2_1", "TIFF"));
            content.replace(offset, 200, 200, '\xee');
        }
        writeContent(at("hurt.tif"), content);
        const auto scan = Scan::open(at("hurt.tif"));
        QVERIFY(scan);
        QVERIFY(scan->readGrey({0, 0, 512, 1024}, 512, 1024));
        const auto damaged = scan->readGrey({0, 0, 1024, 1024}, 1024, 1024);
        QVERIFY(!damaged);
        QCOMPARE(damaged.error().code, ErrorCode::System);
        QVERIFY(damaged.error().message.find("rows 256 to 511, columns 512 to 767") != std::string::npos);
    }
};

QTEST_GUILESS_MAIN(ScanTest)
#include "ScanTest.moc"
