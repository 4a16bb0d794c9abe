// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/Palette.h"

#include <cmath>

#include <QTest>

using namespace inkpeg;

namespace {

/// Relative luminance and contrast ratio. Source: W3C, Web Content Accessibility Guidelines (WCAG) 2.1,
/// definitions.
double luminance(const QColor& colour)
{
    const auto linear = [](double c) {
        return c <= 0.03928 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4);
    };
    return 0.2126 * linear(colour.redF()) + 0.7152 * linear(colour.greenF()) +
           0.0722 * linear(colour.blueF());
}

double contrast(const QColor& a, const QColor& b)
{
    const double la = luminance(a), lb = luminance(b);
    return (std::max(la, lb) + 0.05) / (std::min(la, lb) + 0.05);
}

} // namespace

class PaletteTest : public QObject {
    Q_OBJECT
private slots:
    void everyColourIsThere_data()
    {
        QTest::addColumn<int>("theme");
        QTest::newRow("light") << static_cast<int>(Theme::Light);
        QTest::newRow("dark") << static_cast<int>(Theme::Dark);
    }
    void everyColourIsThere()
    {
        QFETCH(int, theme);
        QCOMPARE(faultsOfPalette(static_cast<Theme>(theme)), QStringList());
    }
    void writingCanBeRead_data() { everyColourIsThere_data(); }
    void writingCanBeRead()
    {
        QFETCH(int, theme);
        const Palette& colours = paletteOf(static_cast<Theme>(theme));
        // WCAG 2.1, success criterion 1.4.3: at least 4.5 : 1 for text.
        for (const QColor& ground : {colours.surface, colours.raised, colours.rail})
            for (const QColor& ink : {colours.ink, colours.faintInk, colours.accent, colours.good,
                                      colours.doubtful, colours.bad})
                QVERIFY2(
                    contrast(ink, ground) >= 4.5,
                    qPrintable(
                        QString("%1 on %2: %3").arg(ink.name(), ground.name()).arg(contrast(ink, ground))));
        QVERIFY(contrast(colours.onAccent, colours.accent) >= 4.5);
        QVERIFY(contrast(colours.ink, colours.accentWash) >= 4.5);
        // On film, which is nearly white, through a white halo.
        for (const QColor& ink : {colours.pinFit, colours.pinCheck, colours.pinLeftOut, colours.outline,
                                  colours.outlineSelected, colours.tracing, colours.snap})
            QVERIFY2(contrast(ink, colours.halo) >= 4.5, qPrintable(ink.name()));
        // Success criterion 1.4.11: at least 3 : 1 for marks.
        for (const QColor& mark : {colours.peg, colours.trench, colours.find, colours.neighbour})
            QVERIFY2(contrast(mark, colours.desk) >= 3, qPrintable(mark.name()));
        QVERIFY(contrast(colours.arrow, colours.halo) >= 3);
    }
    void theStyleSheetHasNoNameLeftToFill()
    {
        for (const Theme each : {Theme::Light, Theme::Dark})
            QVERIFY(!styleSheet(paletteOf(each)).contains('@'));
    }
};

QTEST_MAIN(PaletteTest)
#include "PaletteTest.moc"
