// SPDX-License-Identifier: GPL-3.0-or-later
// Runs the real program on two halves cut from one picture, so that the whole is known.
#include <cmath>
#include <random>

#include <QImage>
#include <QPainter>
#include <QPainterPath>
#include <QProcess>
#include <QTemporaryDir>
#include <QTest>

#include <nlohmann/json.hpp>

#include "tests/app/cli/Program.h"

using nlohmann::json;

class StitchVerbTest final : public QObject {
    Q_OBJECT

    static constexpr int WidthPx = 1600, HeightPx = 1100, OverlapPx = 340; // 200 dpi: 43 mm
    static constexpr int DotsPerMetre = 7874;

    QTemporaryDir m_folder;
    QImage m_sheet;

    QString path(const QString& name) const { return m_folder.filePath(name); }
    bool save(QImage picture, const QString& name, int dotsPerMetre = DotsPerMetre) const
    {
        picture.setDotsPerMeterX(dotsPerMetre);
        picture.setDotsPerMeterY(dotsPerMetre);
        return picture.save(path(name));
    }

private slots:
    void initTestCase()
    {
        m_sheet = QImage(WidthPx, HeightPx, QImage::Format_Grayscale8);
        m_sheet.fill(232);
        QPainter painter(&m_sheet);
        painter.setRenderHint(QPainter::Antialiasing);
        painter.setPen(QPen(QColor(70, 70, 70), 3));
        std::mt19937 random(2);
        std::uniform_real_distribution<> x(60, WidthPx - 60), y(60, HeightPx - 60), bend(-120, 120);
        for (int i = 0; i < 45; ++i) {
            const QPointF from(x(random), y(random));
            const auto near = [&] { return from + QPointF(bend(random), bend(random)); };
            QPainterPath stroke(from);
            stroke.cubicTo(near(), near(), near());
            painter.drawPath(stroke);
        }
        painter.end();
        const int left = (WidthPx + OverlapPx) / 2;
        QVERIFY(save(m_sheet.copy(0, 0, left, HeightPx), "left.png"));
        QVERIFY(save(m_sheet.copy(WidthPx - left, 0, left, HeightPx), "right.png"));
    }

    void twoHalvesMakeTheSheet()
    {
        const Ran ran =
            run({"stitch", path("left.png"), path("right.png"), "--to", path("sheet.tif"), "--json"});
        QVERIFY2(ran.exitCode == 0, qPrintable(ran.err));
        const json report = json::parse(ran.out.toStdString());
        QVERIFY(report["places"].get<int>() >= 6);
        QVERIFY(report["misfit_mm"].get<double>() <= 0.02);
        QVERIFY(std::abs(report["turn_degrees"].get<double>()) < 0.01);
        QVERIFY(std::abs(report["scale"].get<double>() - 1) < 1e-4);
        QVERIFY(std::abs(report["width_px"].get<int>() - WidthPx) <= 1); // whole pixels about a fraction
        QProcess info;                                                   // an independent reader
        info.start("gdalinfo", {path("sheet.tif")});
        QVERIFY(info.waitForFinished(30'000));
        const QByteArray said = info.readAllStandardOutput();
        QVERIFY2(said.contains("TIFFTAG_XRESOLUTION=199.99") && said.contains("DEFLATE"), said.constData());
        const Ran words =
            run({"stitch", path("left.png"), path("right.png"), "--to", path("sheet.tif"), "--replace"});
        QVERIFY2(words.exitCode == 0 && words.out.contains("misfit"), qPrintable(words.out + words.err));
    }

    void badInputIsRefusedInWords()
    {
        QVERIFY(save(QImage(900, 900, QImage::Format_Grayscale8), "noise.png"));
        QFile text(path("text.tif"));
        QVERIFY(text.open(QIODevice::WriteOnly));
        text.write("no picture");
        text.close();
        const std::pair<QStringList, QString> cases[] = {
            {{"stitch", path("left.png"), "--to", path("x.tif")}, "SCAN SCAN"},
            {{"stitch", path("left.png"), path("right.png")}, "--to"},
            {{"stitch", path("left.png"), path("right.png"), "--to", path("sheet.tif")}, "--replace"},
            {{"stitch", path("left.png"), path("missing.png"), "--to", path("x.tif")}, "missing.png"},
            {{"stitch", path("left.png"), path("text.tif"), "--to", path("x.tif")}, "text.tif"},
            {{"stitch", path("left.png"), path("right.png"), "--to", path("x.tif"), "--dpi", "0"}, "--dpi"},
            {{"stitch", path("left.png"), path("noise.png"), "--to", path("x.tif")}, "do not match"},
            {{"stitch", path("left.png"), path("right.png"), "--to", path("left.png"), "--replace"},
             "halves"},
        };
        for (const auto& [arguments, word] : cases) {
            const Ran refused = run(arguments);
            QVERIFY2(refused.exitCode == 2, qPrintable(arguments.join(' ') + ": " + refused.err));
            QVERIFY2(refused.err.contains(word), qPrintable(refused.err));
        }
        QVERIFY(!QFile::exists(path("x.tif")));
    }
};

QTEST_GUILESS_MAIN(StitchVerbTest)
#include "StitchVerbTest.moc"
