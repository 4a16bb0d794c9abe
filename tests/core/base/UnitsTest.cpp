// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/Units.h"

#include <QTest>

using namespace inkpeg;

class UnitsTest final : public QObject {
    Q_OBJECT

private slots:
    void anInchOfScanIsAnInchOfFilm()
    {
        const FilmFrame frame{4000, 2000, 400, 200, false};
        const FilmMm film = frame.toFilm({400, 1800});
        QCOMPARE(film.x, 25.4);
        QCOMPARE(film.y, 25.4); // 200 rows up from the lower edge
    }

    void aFaceDownSheetReadsFromTheRight()
    {
        const FilmFrame frame{4000, 2000, 400, 400, true};
        QCOMPARE(frame.toFilm({4000, 2000}).x, 0.0);
        QCOMPARE(frame.toFilm({3600, 2000}).x, 25.4);
    }

    void scanToFilmAndBackIsTheSamePlace()
    {
        for (const bool faceDown : {false, true}) {
            const FilmFrame frame{4677, 6614, 400.3, 399.6, faceDown};
            const ScanPx there{123.25, 4567.75};
            QVERIFY(distance(frame.toScan(frame.toFilm(there)), there) < 1e-9); // rounding at 1e4 px
        }
    }

    void aMillimetreAtOneToTwentyIsTwentyMillimetres()
    {
        QCOMPARE(groundMFromFilmMm(1.0, 20), 0.020);
        QCOMPARE(filmMmFromGroundM(0.020, 20), 1.0);
    }
};

QTEST_GUILESS_MAIN(UnitsTest)
#include "UnitsTest.moc"
