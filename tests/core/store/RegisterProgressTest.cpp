// SPDX-License-Identifier: GPL-3.0-or-later
// A long register tells how far it is while its lines are looked at and taken, and can be stopped at any of
// them.
#include <fstream>

#include <QTemporaryDir>
#include <QTest>

#include "core/store/RegisterImport.h"

using namespace inkpeg;

class RegisterProgressTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;
    static constexpr int Lines = 2000;

    std::filesystem::path finds() const
    {
        const std::filesystem::path file = m_folder.filePath("finds.csv").toStdString();
        std::ofstream out(file, std::ios::binary);
        out << "number,material\n";
        for (int i = 1; i <= Lines; ++i)
            out << i << ",pottery\n";
        return file;
    }
    Project project(const char* name) const
    {
        return Project::create(m_folder.filePath(name).toStdString(), {}).value();
    }

private slots:
    void theShareRisesWithTheLinesToTheEnd()
    {
        Project made = project("whole.gpkg");
        std::vector<double> shares;
        ImportSettings settings;
        settings.progress = [&](double share) {
            shares.push_back(share);
            return true;
        };
        const Result<ImportReport> report = importRegister(made, finds(), settings);
        QVERIFY2(report, report ? "" : report.error().message.c_str());
        QVERIFY(shares.size() >= std::size_t(2 * Lines));
        QVERIFY(std::is_sorted(shares.begin(), shares.end()));
        QVERIFY(shares.front() >= 0 && shares.back() == 1);
    }

    void stoppedAnywhereItLeavesNothing()
    {
        for (const double at : {0.0, 0.2, 0.5, 0.999}) {
            Project made = project(QByteArray("stop" + QByteArray::number(at) + ".gpkg").constData());
            ImportSettings settings;
            settings.progress = [&](double share) { return share < at; };
            const Result<ImportReport> report = importRegister(made, finds(), settings);
            QVERIFY(!report);
            QCOMPARE(report.error().code, ErrorCode::Cancelled);
            QVERIFY(report.error().message.find("was stopped; nothing of it was taken") !=
                    std::string::npos);
            QVERIFY(made.all<Find>().empty());
            QVERIFY(made.journal().empty());
        }
    }
};

QTEST_GUILESS_MAIN(RegisterProgressTest)
#include "RegisterProgressTest.moc"
