// SPDX-License-Identifier: GPL-3.0-or-later
// A drawn sheet is scanned in two halves whose places on it are known; put together again it must be that
// sheet.
#include "core/film/Stitch.h"

#include <cmath>
#include <filesystem>
#include <numbers>
#include <random>

#include <sys/mount.h>

#include <QTemporaryDir>
#include <QTest>

#include "tests/core/film/DrawnFilm.h"
#include "tests/core/film/TiffForTests.h"

using namespace inkpeg;
using namespace inkpeg::test;

namespace {

constexpr double WidthMm = 200, HeightMm = 120;

/// Freehand loops and lines all over a sheet.
DrawnFilm drawnSheet(unsigned seed, bool grid)
{
    DrawnFilm film(WidthMm, HeightMm, seed);
    if (grid)
        film.grid(35, 0.004);
    std::mt19937 random(seed);
    std::uniform_real_distribution<> x(15, WidthMm - 15), y(15, HeightMm - 15), size(4, 22), phase(0, 6.28);
    for (int i = 0; i < 26; ++i) {
        const double cx = x(random), cy = y(random), a = size(random), b = size(random), p = phase(random);
        film.stroke(
            [=](double t) {
                return DrawnFilm::Mm{cx + a * std::cos(t) + 1.5 * std::sin(3 * t + p),
                                     cy + b * std::sin(t) + 1.2 * std::cos(2 * t + p)};
            },
            0, 6.0, 0.4, 110);
    }
    return film;
}

/// A part of the sheet as a scanner gives it: `corner` of the sheet (mm) is its upper left corner, turned
/// by `turnRad` clockwise on screen, at `scale` times the sheet's resolution; noise of its own.
struct HalfScan {
    DrawnFilm::Mm corner;
    double widthMm = 0, heightMm = 0, turnRad = 0, scale = 1;

    /// Where a pixel of the half lies on the sheet, in the sheet's pixels.
    ScanPx onSheet(ScanPx p) const
    {
        const double c = std::cos(turnRad) / scale, s = std::sin(turnRad) / scale;
        const ScanPx at = DrawnFilm::px(corner);
        return {at.column + c * p.column - s * p.row, at.row + s * p.column + c * p.row};
    }
    ScanPx onHalf(ScanPx p) const
    {
        const ScanPx at = DrawnFilm::px(corner);
        const double x = p.column - at.column, y = p.row - at.row;
        return {scale * (std::cos(turnRad) * x + std::sin(turnRad) * y),
                scale * (-std::sin(turnRad) * x + std::cos(turnRad) * y)};
    }
    double dpi() const { return DrawnFilm::Dpi * scale; }
};

bool writeHalf(const std::filesystem::path& file, const GreyImage& sheet, const HalfScan& half, bool tiled,
               unsigned seed)
{
    TiffPicture picture;
    picture.width = static_cast<int>(half.widthMm * DrawnFilm::PxPerMm * half.scale);
    picture.height = static_cast<int>(half.heightMm * DrawnFilm::PxPerMm * half.scale);
    picture.options.SetNameValue("TILED", tiled ? "YES" : "NO");
    picture.options.SetNameValue("COMPRESS", "DEFLATE");
    std::mt19937 random(seed);
    std::normal_distribution<> grain(0, 3);
    for (int row = 0; row < picture.height; ++row)
        for (int column = 0; column < picture.width; ++column) {
            const ScanPx at = half.onSheet({column + 0.5, row + 0.5});
            const double x = at.column - 0.5, y = at.row - 0.5;
            double grey = 20; // the scanner's dark lid beside the sheet
            if (x >= 0 && y >= 0 && x < sheet.width - 1 && y < sheet.height - 1) {
                const int c = static_cast<int>(x), r = static_cast<int>(y);
                const double fx = x - c, fy = y - r;
                grey = (sheet.at(c, r) * (1 - fx) + sheet.at(c + 1, r) * fx) * (1 - fy) +
                       (sheet.at(c, r + 1) * (1 - fx) + sheet.at(c + 1, r + 1) * fx) * fy;
            }
            picture.samples.push_back(
                static_cast<std::uint16_t>(std::clamp(std::lround(grey + grain(random)), 0L, 255L)));
        }
    return writeTiff(file, picture);
}

} // namespace

class StitchTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;

    std::filesystem::path at(const std::string& name) const
    {
        return m_folder.filePath(QString::fromStdString(name)).toStdString();
    }

private slots:
    /// Halves of two sheets.
    void initTestCase()
    {
        const HalfScan half{{0, 0}, WidthMm / 2, HeightMm};
        QVERIFY(writeHalf(at("a.tif"), drawnSheet(3, true).scanned(0), half, true, 1));
        QVERIFY(writeHalf(at("b.tif"), drawnSheet(4, true).scanned(0), half, true, 2));
    }

    void theHalvesComeTogetherWhereTheyWere_data()
    {
        QTest::addColumn<double>("overlapMm");
        QTest::addColumn<double>("turnDegrees");
        QTest::addColumn<double>("scale");
        QTest::addColumn<bool>("grid");
        QTest::addColumn<bool>("below");
        QTest::newRow("side by side") << 40.0 << 0.0 << 1.0 << false << false;
        QTest::newRow("turned, strips") << 45.0 << 1.7 << 1.0 << false << false;
        QTest::newRow("one below the other, on a grid") << 40.0 << -0.9 << 1.0 << true << true;
        QTest::newRow("second half upside down") << 45.0 << 180.6 << 1.0 << false << false;
        QTest::newRow("other resolution, grid") << 50.0 << 0.5 << 0.75 << true << false;
    }
    void theHalvesComeTogetherWhereTheyWere()
    {
        QFETCH(double, overlapMm);
        QFETCH(double, turnDegrees);
        QFETCH(double, scale);
        QFETCH(bool, grid);
        QFETCH(bool, below);
        constexpr unsigned seed = 11;
        const GreyImage sheet = drawnSheet(seed, grid).scanned(0);
        const double turn = turnDegrees * std::numbers::pi / 180;
        HalfScan first{{0, 0},
                       below ? WidthMm : WidthMm / 2 + overlapMm / 2,
                       below ? HeightMm / 2 + overlapMm / 2 : HeightMm};
        HalfScan second{below ? DrawnFilm::Mm{0, HeightMm / 2 - overlapMm / 2}
                              : DrawnFilm::Mm{WidthMm / 2 - overlapMm / 2, 0},
                        first.widthMm, first.heightMm, turn, scale};
        if (std::abs(turnDegrees) > 90) { // its corner is the sheet's other one
            second.corner = {WidthMm + 0.4, HeightMm - 0.7};
        }
        QVERIFY(writeHalf(at("first.tif"), sheet, first, true, 1));
        QVERIFY(writeHalf(at("second.tif"), sheet, second, std::abs(turnDegrees) < 1, 2));
        const auto one = Scan::open(at("first.tif")), other = Scan::open(at("second.tif"));
        QVERIFY(one && other);
        const HalvesDpi dpi{first.dpi(), second.dpi()};
        const auto match = matchHalves(*one, *other, dpi, m_folder.path().toStdString());
        QVERIFY2(match, match ? "" : match.error().message.c_str());
        // Against the truth, at the corners of the overlap and in its middle.
        double worstPx = 0;
        for (const double x : {0.05, 0.5, 0.95})
            for (const double y : {0.05, 0.5, 0.95}) {
                const ScanPx onSheet =
                    below ? DrawnFilm::px({WidthMm * x, HeightMm / 2 + (y - 0.5) * overlapMm})
                          : DrawnFilm::px({WidthMm / 2 + (x - 0.5) * overlapMm, HeightMm * y});
                worstPx = std::max(
                    worstPx, distance(match->toSecond(first.onHalf(onSheet)), second.onHalf(onSheet)));
            }
        qInfo("%zu places, misfit %.3f mm, worst %.3f mm; off the truth by %.3f px at most",
              match->places.size(), match->misfitMm, match->worstMisfitMm, worstPx);
        QVERIFY(worstPx <= 0.25); // sub-pixel; 0.016 mm at 400 dpi, a sixth of the pointing error of a pin
        QVERIFY(match->misfitMm > 0 && match->misfitMm <= 0.05);
        QVERIFY(match->places.size() >= 6);

        const auto stitched = stitchHalves(*one, *other, *match, dpi, at("sheet.tif"));
        QVERIFY2(stitched, stitched ? "" : stitched.error().message.c_str());
        QVERIFY(stitched->damage.empty());
        const auto result = Scan::open(at("sheet.tif"));
        QVERIFY(result);
        QCOMPARE(result->facts().dpiX, dpi.first);
        const auto pixels = result->readGrey({0, 0, result->facts().widthPx, result->facts().heightPx},
                                             result->facts().widthPx, result->facts().heightPx);
        QVERIFY(pixels);
        double square = 0;
        std::size_t compared = 0, far = 0;
        for (int row = 40; row < sheet.height - 60; ++row)
            for (int column = 40; column < sheet.width - 60; ++column) {
                const int c = column + static_cast<int>(stitched->firstAt.column);
                const int r = row + static_cast<int>(stitched->firstAt.row);
                const int away = std::abs(int{pixels->at(c, r)} - int{sheet.at(column, row)});
                square += double(away) * away;
                far += away > 60; // a third of the contrast of a line
                ++compared;
            }
        const double rms = std::sqrt(square / double(compared));
        qInfo("%zu pixels, %.2f grey levels rms off the sheet, %.4f %% far off", compared, rms,
              100.0 * double(far) / double(compared));
        QVERIFY(rms < 6); // the noise of the scanner is 3; edges of lines blur by the lower resolution
        QVERIFY(double(far) / double(compared) < 1e-3);
    }

    void sheetsThatAreNotOneAreRefusedInWords()
    {
        TiffPicture blank = wavesPicture(1500, 1500);
        for (auto& sample : blank.samples)
            sample = 230;
        QVERIFY(writeTiff(at("blank.tif"), blank));
        const auto a = Scan::open(at("a.tif")), b = Scan::open(at("b.tif")),
                   c = Scan::open(at("blank.tif"));
        for (const Scan* other : {&*b, &*c}) {
            const auto match = matchHalves(*a, *other, {400, 400}, m_folder.path().toStdString());
            QVERIFY(!match);
            QCOMPARE(match.error().code, ErrorCode::Unsolvable);
            QVERIFY2(match.error().message.find("do not match") != std::string::npos,
                     match.error().message.c_str());
        }
        const auto match = matchHalves(*a, *b, {400, 0}, m_folder.path().toStdString());
        QVERIFY(!match && match.error().message.find("b.tif") != std::string::npos);
        const auto onto = stitchHalves(*a, *b, {}, {400, 400}, at("a.tif"));
        QVERIFY(!onto && onto.error().code == ErrorCode::Conflict);
    }

    void stoppingLeavesNothing()
    {
        const auto before = QDir(m_folder.path()).entryList(QDir::Files | QDir::Hidden);
        const auto a = Scan::open(at("a.tif")), b = Scan::open(at("b.tif"));
        Stitching side;
        side.c = -1000;
        for (const double until : {0.0, 0.5, 0.9}) {
            const auto stopped = stitchHalves(*a, *b, side, {400, 400}, at("none.tif"),
                                              [until](double share) { return share < until; });
            QVERIFY(!stopped && stopped.error().code == ErrorCode::Cancelled);
            const auto match = matchHalves(*a, *b, {400, 400}, m_folder.path().toStdString(),
                                           [until](double share) { return share < until; });
            QVERIFY(!match && match.error().code == ErrorCode::Cancelled);
        }
        QCOMPARE(QDir(m_folder.path()).entryList(QDir::Files | QDir::Hidden), before);
    }

    /// Disks that are really full, at once and half way: small file systems in memory.
    void aFullDiskIsToldAndLeavesNothing()
    {
        const auto a = Scan::open(at("a.tif")), b = Scan::open(at("b.tif"));
        Stitching side;
        side.c = -1000;
        const std::string disk = at("disk");
        std::filesystem::create_directory(disk);
        for (const char* size : {"size=8k", "size=2m"}) {
            if (::mount("tmpfs", disk.c_str(), "tmpfs", 0, size) != 0)
                QSKIP("this user may not mount a small disk");
            const auto stitched =
                stitchHalves(*a, *b, side, {400, 400}, std::filesystem::path(disk) / "sheet.tif");
            const bool empty = std::filesystem::is_empty(disk);
            QCOMPARE(::umount(disk.c_str()), 0); // before anything is judged, or the folder could not go
            QVERIFY(empty);
            QVERIFY(!stitched);
            QCOMPARE(stitched.error().code, ErrorCode::OutOfSpace);
            QVERIFY2(stitched.error().message.find("sheet.tif: there is no room") != std::string::npos,
                     stitched.error().message.c_str());
        }
    }
};

QTEST_GUILESS_MAIN(StitchTest)
#include "StitchTest.moc"
