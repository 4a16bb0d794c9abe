// SPDX-License-Identifier: GPL-3.0-or-later
// Random sequences of edits on a project: whatever is done or refused, outlines stay valid and shared edges
// shared, and undoing all of it brings every byte of the records back.
//
// INKPEG_SEQUENCES sets their number (10,000 when not set), INKPEG_SEED the seed.
#include "core/store/OutlineEdits.h"

#include <map>
#include <random>

#include <QFileInfo>
#include <QTemporaryDir>
#include <QTest>

#include "core/records/Schema.h"
#include "core/store/Database.h"
#include "tests/core/store/RandomEdits.h"

using namespace inkpeg;

namespace {

/// Every row of the record tables as SQL literals. The journal is append-only and numbers are not given
/// twice, so neither the journal nor the counters of ids are among them.
std::string allBytes(const Database& database)
{
    std::string bytes;
    for (const Table* table : allTables()) {
        std::string row;
        for (const Column& column : table->columns)
            row += (row.empty() ? "quote(" : " || ',' || quote(") + quoted(column.name) + ")";
        const auto rows = database.ask("SELECT group_concat(r, ';') FROM (SELECT " + row + " AS r FROM " +
                                       quoted(table->name) + " ORDER BY id)");
        bytes += table->name + ":" + (rows ? *rows : "?" + rows.error().message) + "\n";
    }
    return bytes;
}

struct Counts {
    int acts = 0, refused = 0;
    std::map<std::string, int> taken;
};

} // namespace

class EditSequencesTest final : public QObject {
    Q_OBJECT

    std::mt19937 m_random;

    /// Every act is a full sync: in memory where there is such a place, since nothing is killed here.
    static QString folderName()
    {
        return QFileInfo("/dev/shm").isWritable() ? QString("/dev/shm/inkpeg-XXXXXX") : QString();
    }

    /// A few edits, then all of them undone. What is wrong, or empty.
    std::string runSequence(Project& project, std::int64_t drawing, Counts& counts)
    {
        const int wanted = 2 + static_cast<int>(m_random() % 4);
        int done = 0;
        for (int i = 0; i < wanted; ++i) {
            const DrawnOutlines before = drawnOutlines(project, drawing);
            if (before.empty())
                break;
            TriedEdit tried{"", false, Result<void>()};
            const Result<Change> change = editOutlines(project, drawing, "edit", [&](DrawnOutlines& all) {
                tried = tryRandomEdit(all, m_random);
                return tried.done;
            });
            const DrawnOutlines now = drawnOutlines(project, drawing);
            ++counts.acts;
            if (!change) {
                ++counts.refused;
                if (!(now == before))
                    return tried.what + " was refused, but changed something";
                continue;
            }
            done += change->journalId != 0;
            ++counts.taken[tried.what];
            if (std::string fault = faultOfOutlines(now); !fault.empty())
                return "after " + tried.what + ": " + fault;
            if (tried.ofVertices)
                if (std::string torn = tornEdge(before, now); !torn.empty())
                    return "after " + tried.what + ": " + torn;
        }
        for (int i = 0; i < done; ++i)
            if (const Result<Change> undone = project.undo(); !undone)
                return "undo: " + undone.error().message;
        return {};
    }

private slots:
    void everySequenceKeepsOutlinesValidAndSharedAndIsUndone()
    {
        const int sequences = qEnvironmentVariableIsSet("INKPEG_SEQUENCES")
                                  ? qEnvironmentVariableIntValue("INKPEG_SEQUENCES")
                                  : 10'000;
        const unsigned seed = qEnvironmentVariableIsSet("INKPEG_SEED")
                                  ? static_cast<unsigned>(qEnvironmentVariableIntValue("INKPEG_SEED"))
                                  : std::random_device()();
        qInfo("seed %u", seed);
        m_random.seed(seed);
        QTemporaryDir folder(folderName());
        Counts counts;
        constexpr int perProject = 250;
        for (int first = 0; first < sequences; first += perProject) {
            const std::string file = folder.filePath(QString("%1.gpkg").arg(first)).toStdString();
            Result<Project> project = Project::create(file, ProjectFacts());
            QVERIFY2(project, project ? "" : project.error().message.c_str());
            Drawing drawing;
            drawing.number = "P-01";
            QVERIFY(project->act("drawing", [&](Editor& edit) { return edit.put(drawing); }));
            const DrawnOutlines yard = randomYard(m_random);
            QVERIFY(editOutlines(*project, drawing.id, "yard", [&](DrawnOutlines& all) -> Result<void> {
                all = yard;
                return {};
            }));
            QCOMPARE(faultOfOutlines(drawnOutlines(*project, drawing.id)), std::string());
            const Result<Database> database = Database::open(file, SQLITE_OPEN_READONLY);
            QVERIFY(database);
            const std::string before = allBytes(*database);
            QVERIFY(before.find("1001") != std::string::npos);
            for (int i = first; i < std::min(first + perProject, sequences); ++i) {
                const std::string wrong = runSequence(*project, drawing.id, counts);
                QVERIFY2(wrong.empty(), qPrintable(QString("seed %1, sequence %2: %3")
                                                       .arg(seed)
                                                       .arg(i)
                                                       .arg(QString::fromStdString(wrong))));
                QVERIFY2(allBytes(*database) == before,
                         qPrintable(QString("seed %1, sequence %2: undo left something").arg(seed).arg(i)));
            }
        }
        QString taken;
        for (const auto& [what, count] : counts.taken)
            taken += QString(" · %1 %2").arg(QString::fromStdString(what)).arg(count);
        qInfo("%d sequences, %d acts, %d refused%s", sequences, counts.acts, counts.refused,
              qPrintable(taken));
        QVERIFY2(counts.acts - counts.refused > counts.refused / 2, "too few edits were taken");
    }
};

QTEST_GUILESS_MAIN(EditSequencesTest)
#include "EditSequencesTest.moc"
