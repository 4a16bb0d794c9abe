// SPDX-License-Identifier: GPL-3.0-or-later
// "check", "links" and "report" on the sound site, run as the real program.
#include <QFile>
#include <QProcess>
#include <QTemporaryDir>
#include <QTest>

#include <nlohmann/json.hpp>

#include "core/store/SignOffs.h"
#include "tests/app/cli/Program.h"
#include "tests/core/store/SoundProject.h"

using namespace inkpeg;
using nlohmann::json;

namespace {

#define COMPARE_EXIT(ran, code) QVERIFY2((ran).exitCode == (code), qPrintable((ran).out + (ran).err))

} // namespace

class CheckVerbsTest final : public QObject {
    Q_OBJECT

    std::unique_ptr<QTemporaryDir> m_folder;

    QString path(const QString& name) const { return m_folder->filePath(name); }
    QString file() const { return path("site.gpkg"); }
    Project reopened() const { return Project::open(file().toStdString(), Access::Read).value(); }
    static QByteArray bytes(const QString& name)
    {
        QFile opened(name);
        return opened.open(QIODevice::ReadOnly) ? opened.readAll() : QByteArray();
    }

private slots:
    void init()
    {
        m_folder = std::make_unique<QTemporaryDir>();
        SoundSite site;
        // One planted fault: a find far from its context, well inside another.
        site.records.finds.push_back(site.records.finds[0]);
        site.records.finds[1].number = "2";
        site.records.finds[1].position = GroundM{105.5, 52}; // in 1003 alone
        site.records.finds[1].levelM.reset();
        soundProject(file().toStdString(), site.records);
    }

    void checkListsWhatIsOutstandingAndExitsWithOneWhileSomethingMustBeDone()
    {
        const Ran ran = run({"check", file()});
        COMPARE_EXIT(ran, 1);
        QVERIFY2(ran.out.contains("must  out of place: find 2"), qPrintable(ran.out));
        const json list = json::parse(run({"check", file(), "--json"}).out.toStdString());
        QCOMPARE(list["count"]["must"].get<int>(), 1);
        QCOMPARE(list["open"][0]["subject"].get<std::string>(), std::string("2"));
        QVERIFY(list["open"][0].contains("ground"));
    }

    void aMatterIsSetAsideWithAReasonAndAName()
    {
        Ran ran = run({"check", file(), "--set-aside", "out of place: find 2"});
        COMPARE_EXIT(ran, 2);
        QVERIFY(ran.err.contains("--person"));
        ran = run({"check", file(), "--set-aside", "out of place: find 2", "--person", "CD"});
        COMPARE_EXIT(ran, 2);
        QVERIFY2(ran.err.contains("needs a reason"), qPrintable(ran.err));
        ran = run({"check", file(), "--set-aside", "out of place: find 9", "--person", "CD", "--why", "x"});
        COMPARE_EXIT(ran, 2);
        QVERIFY2(ran.err.contains("nothing of that name is open"), qPrintable(ran.err));
        ran = run({"check", file(), "--set-aside", "out of place: find 2", "--person", "CD", "--why",
                   "a mole carried it"});
        COMPARE_EXIT(ran, 0); // nothing else must be done
        const Waiver waiver = reopened().all<Waiver>().at(0);
        QCOMPARE(waiver.reason, std::string("a mole carried it"));
        QCOMPARE(waiver.person, std::string("CD"));
        QCOMPARE(reopened().journal().back().why, std::string("a mole carried it"));
    }

    void aDrawingIsCheckedSignedAndTakenBack()
    {
        Ran ran = run({"check", file(), "--sign-off", "drawing S-1", "--person", "CD"});
        COMPARE_EXIT(ran, 2);
        QVERIFY2(ran.err.contains("has to be checked before"), qPrintable(ran.err));
        ran = run({"check", file(), "--mark-checked", "drawing S-1", "--person", "AB"});
        COMPARE_EXIT(ran, 2);
        QVERIFY2(ran.err.contains("somebody else has to check it"), qPrintable(ran.err));
        ran = run({"check", file(), "--mark-checked", "S-1", "--person", "CD"});
        COMPARE_EXIT(ran, 2);
        QVERIFY2(ran.err.contains("\"drawing P-01\""), qPrintable(ran.err));
        ran = run({"check", file(), "--mark-checked", "drawing S-1", "--sign-off", "drawing S-1",
                   "--person", "CD", "--why", "held against the film"});
        COMPARE_EXIT(ran, 1); // done; the find is still out of place
        QVERIFY(isSealed(reopened(), "drawing", "S-1"));
        QCOMPARE(signOffsOf(reopened(), {"drawing", "S-1"}).back().reason,
                 std::string("held against the film"));
        ran = run({"check", file(), "--take-back", "drawing S-1", "--person", "CD"});
        COMPARE_EXIT(ran, 2);
        ran = run({"check", file(), "--take-back", "drawing S-1", "--person", "CD", "--why", "wrong film"});
        QCOMPARE(reopened().byKey<Drawing>("S-1")->stage, Stage::Traced);
    }

    void whatIsSealedIsChangedByTheCommandLineWithAReasonAlone()
    {
        COMPARE_EXIT(run({"check", file(), "--mark-checked", "drawing S-1", "--sign-off", "drawing S-1",
                          "--person", "CD"}),
                     1);
        const Project project = reopened();
        const Peg peg =
            *project.byKey<Peg>(project.ofDrawing<Pin>(project.byKey<Drawing>("S-1")->id).front().peg);
        QFile csv(path("pegs.csv"));
        QVERIFY(csv.open(QIODevice::WriteOnly));
        csv.write(QStringLiteral("name,east,north\n%1,%2,%3\n")
                      .arg(QString::fromStdString(peg.name))
                      .arg(peg.position.east + 0.001, 0, 'f', 3)
                      .arg(peg.position.north, 0, 'f', 3)
                      .toUtf8());
        csv.close();
        const QByteArray before = bytes(file());
        Ran ran = run({"register", file(), csv.fileName()});
        COMPARE_EXIT(ran, 2);
        QVERIFY2(ran.err.contains("drawing S-1 is signed off by CD; changing it needs a reason"),
                 qPrintable(ran.err));
        QVERIFY(isSealed(reopened(), "drawing", "S-1"));
        ran = run({"register", file(), csv.fileName(), "--why", "surveyed again"});
        COMPARE_EXIT(ran, 0);
        QVERIFY(!isSealed(reopened(), "drawing", "S-1"));
        QCOMPARE(reopened().byKey<Drawing>("S-1")->stage, Stage::Traced);
    }

    void linksListProposalsCountsAndVerdicts()
    {
        Ran ran = run({"links", file()});
        COMPARE_EXIT(ran, 1);
        QVERIFY2(ran.out.contains("find,2,1002,disagree,0.000"), qPrintable(ran.out));
        ran = run({"links", file(), "--verdict", "agree", "--json"});
        const json agree = json::parse(ran.out.toStdString());
        QCOMPARE(agree["links"].size(), std::size_t{3}); // find, sample and timber of the sound site
        ran = run({"links", file(), "--by-context"});
        QVERIFY2(ran.out.contains("1002,find: pottery,2"), qPrintable(ran.out));
        ran = run({"links", file(), "--proposals"});
        COMPARE_EXIT(ran, 1);
        QVERIFY2(ran.out.contains("find 2 lies in 1003"), qPrintable(ran.out));
        QCOMPARE(ran.out.trimmed().split('\n').size(), 1);
    }

    void aProposalIsTakenWithAReason()
    {
        Ran ran = run({"links", file(), "--take", "find 2", "--person", "CD"});
        COMPARE_EXIT(ran, 2);
        QVERIFY2(ran.err.contains("needs a reason"), qPrintable(ran.err));
        ran = run({"links", file(), "--take", "find 1", "--person", "CD", "--why", "x"});
        COMPARE_EXIT(ran, 2);
        QVERIFY2(ran.err.contains("no correction is proposed"), qPrintable(ran.err));
        ran = run({"links", file(), "--take", "find 2", "--person", "CD", "--why", "slip on the bag"});
        COMPARE_EXIT(ran, 0); // nothing disagrees any more
        QCOMPARE(reopened().byKey<Find>("2")->context, std::string("1003"));
        QCOMPARE(reopened().journal().back().why, std::string("slip on the bag"));
        COMPARE_EXIT(run({"check", file()}), 0);
    }

    void theReportsAreWritten()
    {
        const QString to = path("reports");
        Ran ran = run({"report", file(), "--to", to, "--kind", "close-of-day", "--kind", "sequence",
                       "--kind", "journal", "--json"});
        COMPARE_EXIT(ran, 1); // something must be done
        const json said = json::parse(ran.out.toStdString());
        QCOMPARE(said["close-of-day"]["must"].get<int>(), 1);
        QCOMPARE(said["sequence"]["units"].get<int>(), 3);
        QVERIFY(bytes(to + "/close-of-day.pdf").startsWith("%PDF"));
        QVERIFY(bytes(to + "/sequence.pdf").startsWith("%PDF"));
        QVERIFY(bytes(to + "/sequence.svg").contains("[1001]"));
        QVERIFY(bytes(to + "/journal.csv").startsWith("entry,at,person,what,why,undoes\r\n"));
        ran = run({"report", file(), "--to", to, "--kind", "sequence"});
        COMPARE_EXIT(ran, 0);
    }

    void registersAreWrittenAndRecordsFound()
    {
        Ran ran = run({"register", file(), "--write", path("out"), "--kind", "contexts"});
        COMPARE_EXIT(ran, 0);
        QVERIFY(bytes(path("out/contexts.csv")).startsWith("number,"));
        QVERIFY(!QFile::exists(path("out/finds.csv")));
        COMPARE_EXIT(run({"register", file(), "--write", path("out")}), 0);
        QVERIFY(QFile::exists(path("out/finds.csv")));
        ran = run({"register", file(), path("out/contexts.csv"), "--dry-run"});
        QVERIFY2(ran.out.contains("0 added, 0 changed, 3 unchanged"), qPrintable(ran.out + ran.err));
        ran = run({"register", file(), "--kind", "contexts", "--find", "kind:cut", "--json"});
        COMPARE_EXIT(ran, 0);
        const json found = json::parse(ran.out.toStdString());
        QCOMPARE(found.size(), std::size_t{1});
        QCOMPARE(found[0]["number"].get<std::string>(), std::string("1001"));
        COMPARE_EXIT(run({"register", file(), "--find", "cut"}), 2);
        COMPARE_EXIT(run({"register", file()}), 2);
    }

    void badOptionsAreRefusedWithWords()
    {
        for (const auto& [arguments, says] :
             {std::pair{QStringList{"report", file(), "--to", path("x"), "--kind", "nosuch"},
                        "close-of-day"},
              {QStringList{"report", file(), "--to", path("x"), "--kind", "sequence", "--trench", "T9"},
               "the project has the trenches"},
              {QStringList{"report", file(), "--to", path("x"), "--kind", "close-of-day", "--by", "mood"},
               "use drawing, trench"},
              {QStringList{"links", file(), "--verdict", "perhaps"}, "on the edge"},
              {QStringList{"check", file(), "--least", "all"}, "must, should or note"},
              {QStringList{"check", file(), "--by", "mood"}, "use drawing, trench"},
              {QStringList{"check", path("nosuch.gpkg")}, "nosuch.gpkg"}}) {
            const Ran ran = run(arguments);
            COMPARE_EXIT(ran, 2);
            QVERIFY2(ran.err.contains(says), qPrintable(ran.err));
            QVERIFY(!QFile::exists(path("x")));
        }
    }
};

QTEST_GUILESS_MAIN(CheckVerbsTest)
#include "CheckVerbsTest.moc"
