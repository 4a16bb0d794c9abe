// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/Digest.h"

#include <QFile>
#include <QTemporaryDir>
#include <QTest>

using namespace inkpeg;

class DigestTest final : public QObject {
    Q_OBJECT

private slots:
    // FIPS 180-4 example values (NIST); tests/published/sha2_vectors.csv, recalled from memory and recomputed there.
    void publishedVectorsAreReproduced()
    {
        QFile file(INKPEG_PUBLISHED_DIR "/sha2_vectors.csv");
        QVERIFY(file.open(QIODevice::ReadOnly));
        int checked = 0;
        for (const QByteArray& line : file.readAll().replace('"', "").split('\n')) {
            const QList<QByteArray> cells = line.trimmed().split(',');
            if (cells.size() != 4 || !cells[0].startsWith("SHA"))
                continue;
            const DigestKind kind = cells[0] == "SHA-256" ? DigestKind::Sha256 : DigestKind::Sha512;
            const std::string message = cells[1].repeated(cells[2].toInt()).toStdString();
            QCOMPARE(digestOf(message, kind), cells[3].toStdString());
            ++checked;
        }
        QCOMPARE(checked, 8);
    }

    void aFileHasTheDigestOfItsBytes()
    {
        const QTemporaryDir dir;
        const QString path = dir.filePath("three.bin");
        const std::string bytes(3'000'001, 'x'); // more than two read blocks
        QFile file(path);
        QVERIFY(file.open(QIODevice::WriteOnly));
        file.write(bytes.data(), static_cast<qint64>(bytes.size()));
        file.close();
        QCOMPARE(digestOfFile(path.toStdString()).value(), digestOf(bytes));
    }

    void aMissingFileIsNamed()
    {
        const auto digest = digestOfFile("/nowhere/at-all.tif");
        QVERIFY(!digest);
        QVERIFY(digest.error().code == ErrorCode::NotFound);
        QVERIFY(digest.error().message.find("/nowhere/at-all.tif") != std::string::npos);
    }
};

QTEST_GUILESS_MAIN(DigestTest)
#include "DigestTest.moc"
