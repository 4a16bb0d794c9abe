// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/GridCrosses.h"

#include <algorithm>
#include <map>

#include <QTemporaryDir>
#include <QTest>

#include "core/store/PegProposals.h"
#include "tests/core/film/CrossFilm.h"
#include "tests/core/store/PinnedPlans.h"

using namespace inkpeg;
using namespace inkpeg::test;
using pinned::inCrs;
using pinned::pegName;
using pinned::sitePeg;

namespace {

constexpr int Columns = 5, Rows = 4;
constexpr double Dpi = 200, Scale = 50; // pegs 2 m apart lie 40 mm apart on the film

/// Film millimetres from the upper left corner, y down.
std::pair<double, double> drawnAt(int column, int row)
{
    return {20 + 40.0 * column, 140 - 40.0 * row};
}

} // namespace

class GridCrossesTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;
    std::map<std::pair<int, int>, ScanPx> m_truth;
    int m_projects = 0;

    std::string at(const char* name) const { return m_folder.filePath(name).toStdString(); }

    /// Registers 5 x 4 pegs but (4, 3); two digits of the east of (3, 0) are exchanged.
    Result<Project> newProject(bool faceDown)
    {
        ProjectFacts facts;
        facts.siteCode = "SKR26";
        facts.title = "Skelder Rigg";
        const QString file = m_folder.filePath(QString("grid-%1.gpkg").arg(++m_projects));
        Result<Project> project = Project::create(file.toStdString(), facts);
        if (!project)
            return project;
        const Result<Change> done = project->act("made", [&](Editor& edit) -> Result<void> {
            Sheet sheet;
            sheet.number = "F1";
            sheet.scanFile = faceDown ? "mirrored.tif" : "film.tif";
            sheet.frame = {double(m_widthPx), double(m_heightPx), Dpi, Dpi, faceDown};
            Drawing drawing;
            drawing.number = "P-01";
            drawing.sheet = "F1";
            drawing.scaleDenominator = Scale;
            for (const Result<void>& put : {edit.put(sheet), edit.put(drawing)})
                if (!put)
                    return put;
            for (int column = 0; column < Columns; ++column)
                for (int row = 0; row < Rows; ++row) {
                    if (column == 4 && row == 3)
                        continue;
                    Peg peg;
                    peg.name = pegName(column, row);
                    peg.position = inCrs(sitePeg(column, row));
                    if (column == 3 && row == 0)
                        peg.position.east += 45;
                    if (const Result<void> put = edit.put(peg); !put)
                        return put;
                }
            // The nail of a section stands near the peg whose coordinates are wrong: it is not that peg.
            Peg nail;
            nail.name = "S-04 M";
            nail.position = inCrs({sitePeg(3, 0).east + 0.3, sitePeg(3, 0).north + 0.25});
            return edit.put(nail);
        });
        return done ? std::move(project) : Result<Project>(done.error());
    }

    Pin pin(const Drawing& drawing, int column, int row, bool faceDown, double offPx = 4) const
    {
        Pin made;
        made.drawing = drawing.id;
        made.peg = pegName(column, row);
        made.mark = m_truth.at({column, row});
        if (faceDown)
            made.mark.column = m_widthPx - made.mark.column;
        made.mark.column += offPx;
        return made;
    }

    int m_widthPx = 0, m_heightPx = 0;

private slots:
    void initTestCase()
    {
        CrossFilm film(200, 160, Dpi, CleanFilm, 12);
        for (int column = 0; column < Columns; ++column)
            for (int row = 0; row < Rows; ++row) {
                const auto [x, y] = drawnAt(column, row);
                m_truth[{column, row}] = film.toScan(x, y);
                if (column != 2 || row != 2) // one is not drawn
                    film.cross(x, y);
            }
        GreyImage image = film.image();
        m_widthPx = image.width;
        m_heightPx = image.height;
        QVERIFY(writeFilm(at("film.tif"), image));
        for (int row = 0; row < image.height; ++row)
            std::reverse(image.pixels.begin() + std::ptrdiff_t(row) * image.width,
                         image.pixels.begin() + std::ptrdiff_t(row + 1) * image.width);
        QVERIFY(writeFilm(at("mirrored.tif"), image));
    }

    void allCrossesAreNamedByTheirCoordinates_data()
    {
        QTest::addColumn<bool>("faceDown");
        QTest::addColumn<int>("from");
        QTest::addColumn<int>("steps");
        QTest::newRow("as drawn, from neighbours") << false << 1 << 1;
        QTest::newRow("beside the peg with wrong coordinates") << false << 2 << 1;
        QTest::newRow("scanned face down") << true << 1 << 1;
        QTest::newRow("from two that are three steps apart") << false << 1 << 3;
    }

    void allCrossesAreNamedByTheirCoordinates()
    {
        QFETCH(bool, faceDown);
        QFETCH(int, from);
        QFETCH(int, steps);
        const Result<Project> project = newProject(faceDown);
        QVERIFY2(project, project ? "" : project.error().message.c_str());
        const Drawing drawing = project->byKey<Drawing>("P-01").value();
        const std::vector<Pin> pins{pin(drawing, from, 1, faceDown),
                                    pin(drawing, from + steps, 1, faceDown)};
        const Result<GridProposal> grid = proposeGrid(*project, drawing, pins);
        QVERIFY2(grid, grid ? "" : grid.error().message.c_str());
        QVERIFY(std::abs(grid->stepM - 2) < 0.05);
        QCOMPARE(grid->pins.size(), std::size_t(Columns * Rows - 1 - 2));
        int sure = 0, doubtful = 0;
        for (const ProposedPin& each : grid->pins) {
            // The place is that of the peg it is named after.
            ScanPx mark = each.cross.centre;
            if (faceDown)
                mark.column = m_widthPx - mark.column;
            const auto there = std::ranges::find_if(
                m_truth, [&](const auto& truth) { return distance(truth.second, mark) < 0.5; });
            QVERIFY(there != m_truth.end());
            const auto [column, row] = there->first;
            if (column == 4 && row == 3) { // a peg that is not registered
                QVERIFY(each.doubtful && each.peg.empty());
                QVERIFY(each.doubt.find("no peg of the register") != std::string::npos);
                continue;
            }
            QCOMPARE(each.peg, pegName(column, row));
            QVERIFY(each.cross.standardErrorPx > 0 && each.cross.standardErrorPx < 0.1);
            if (column == 3 && row == 0) { // named by its neighbours' names: its coordinates are wrong
                QVERIFY(each.doubtful);
                QVERIFY2(each.doubt.find("45.0 m away") != std::string::npos, each.doubt.c_str());
                ++doubtful;
            } else {
                QVERIFY2(!each.doubtful, each.doubt.c_str());
                ++sure;
            }
        }
        QCOMPARE(sure, Columns * Rows - 1 - 2 - 2);
        QCOMPARE(doubtful, 1);
    }

    void pinnedCrossesAndOtherPartsOfTheSheetAreLeftAlone()
    {
        const Result<Project> project = newProject(false);
        Drawing drawing = project->byKey<Drawing>("P-01").value();
        // Its own part: the two lower rows.
        const double middle = (m_truth[{0, 1}].row + m_truth[{0, 2}].row) / 2;
        drawing.frame = {{0, middle},
                         {double(m_widthPx), middle},
                         {double(m_widthPx), double(m_heightPx)},
                         {0, double(m_heightPx)}};
        const std::vector<Pin> pins{pin(drawing, 0, 0, false), pin(drawing, 1, 0, false),
                                    pin(drawing, 2, 1, false)};
        const Result<GridProposal> grid = proposeGrid(*project, drawing, pins);
        QVERIFY2(grid, grid ? "" : grid.error().message.c_str());
        QCOMPARE(grid->pins.size(), std::size_t(2 * Columns - 3));
    }

    void aPinMadeOfAProposalRemembersHowItCameAbout()
    {
        const Result<Project> project = newProject(false);
        const Drawing drawing = project->byKey<Drawing>("P-01").value();
        const std::vector<Pin> pins{pin(drawing, 1, 1, false), pin(drawing, 2, 1, false)};
        const Result<GridProposal> grid = proposeGrid(*project, drawing, pins);
        QVERIFY(grid);
        const Pin made = pinOf(grid->pins.front(), drawing);
        QCOMPARE(made.placedBy, std::string("lattice"));
        QVERIFY(made.standardErrorPx == grid->pins.front().cross.standardErrorPx);
        QCOMPARE(made.drawing, drawing.id);
    }

    void whatHasNoGridSaysWhy()
    {
        const Result<Project> project = newProject(false);
        Drawing drawing = project->byKey<Drawing>("P-01").value();
        const auto why = [&](std::vector<Pin> pins) {
            const Result<GridProposal> grid = proposeGrid(*project, drawing, pins);
            return grid ? std::string("found") : grid.error().message;
        };
        QVERIFY(why({}).find("0 pins") != std::string::npos);
        QVERIFY(why({pin(drawing, 1, 1, false)}).find("pin two neighbouring crosses") != std::string::npos);
        // On the diagonal: on no line of crosses.
        QVERIFY(why({pin(drawing, 1, 1, false), pin(drawing, 2, 2, false)}).find("line of drawn crosses") !=
                    std::string::npos ||
                why({pin(drawing, 1, 1, false), pin(drawing, 2, 2, false)}).find("no drawn cross") !=
                    std::string::npos);
        QVERIFY(
            why({pin(drawing, 1, 1, false, 150), pin(drawing, 2, 1, false, 150)}).find("no drawn cross") !=
            std::string::npos);
        const Progress stop = [](double) { return false; };
        const std::vector<Pin> pins{pin(drawing, 1, 1, false), pin(drawing, 2, 1, false)};
        QCOMPARE(proposeGrid(*project, drawing, pins, stop).error().code, ErrorCode::Cancelled);
        drawing.kind = DrawingKind::Section;
        QVERIFY(why(pins).find("upright") != std::string::npos);
        drawing.kind = DrawingKind::Plan;
        drawing.sheet = "F9";
        QVERIFY(why(pins).find("has no scan") != std::string::npos);
    }

    void namesThatCountTheGridGoOn()
    {
        const int columns[] = {0, 1, 0, 2}, rows[] = {0, 0, 1, 1};
        const std::string metres[] = {"100/200", "102/200", "100/202", "104/202"};
        QCOMPARE(continuedName(columns, rows, metres, 3, -1), std::string("106/198"));
        const std::string numbered[] = {"G01", "G02", "G11", "G13"};
        QCOMPARE(continuedName(columns, rows, numbered, 3, 0), std::string("G04"));
        const std::string uneven[] = {"100/200", "102/200", "100/203", "104/202"};
        QCOMPARE(continuedName(columns, rows, uneven, 3, 0), std::string());
        const std::string words[] = {"north", "south", "east", "west"};
        QCOMPARE(continuedName(columns, rows, words, 3, 0), std::string());
        const int line[] = {0, 1, 2, 3}, flat[] = {0, 0, 0, 0};
        QCOMPARE(continuedName(line, flat, metres, 4, 0), std::string());
        QCOMPARE(continuedName(std::span(columns, 2), std::span(rows, 2), std::span(metres, 2), 1, 1),
                 std::string());
    }

    void onePinAndTheDirectionOfItsCrossProposeTheNext()
    {
        for (const bool faceDown : {false, true}) {
            const Result<Project> project = newProject(faceDown);
            const Drawing drawing = project->byKey<Drawing>("P-01").value();
            const std::vector<Pin> pins{pin(drawing, 1, 1, faceDown, 0)};
            // The film is turned by 1.3 degrees; the CRS by 14 against the grid, which has no common points.
            const double skew = (faceDown ? -1 : 1) * (1.3 + 14) * 3.14159265358979 / 180;
            const Result<GroundGuess> guess = GroundGuess::of(*project, drawing, pins, skew);
            QVERIFY2(guess, guess ? "" : guess.error().message.c_str());
            QVERIFY(guess->byOnePin());
            const std::vector<PegProposal> near =
                pegsNear(*project, drawing, *guess, pins, pin(drawing, 2, 1, faceDown, 0).mark);
            QVERIFY(!near.empty());
            QCOMPARE(near.front().peg, pegName(2, 1));
            const Result<ScanPx> back = guess->markOf(guess->at({700, 500}));
            QVERIFY(back && distance(*back, {700, 500}) < 1e-6);
        }
        const Result<Project> project = newProject(false);
        const Drawing drawing = project->byKey<Drawing>("P-01").value();
        QVERIFY(!GroundGuess::of(*project, drawing, std::vector<Pin>{pin(drawing, 1, 1, false)}));
    }

    void pegsStillToPinComeInReadingOrder()
    {
        const Result<Project> project = newProject(false);
        const Drawing drawing = project->byKey<Drawing>("P-01").value();
        const std::vector<Pin> pins{pin(drawing, 1, 1, false, 0), pin(drawing, 3, 2, false, 0)};
        const Result<GroundGuess> guess = GroundGuess::of(*project, drawing, pins);
        QVERIFY(guess);
        const std::vector<PegToPin> wanted = pegsToPin(*project, drawing, *guess, pins);
        // One is unregistered, one far off; the nail of a section lies on the sheet too.
        QCOMPARE(wanted.size(), std::size_t(Columns * Rows - 1 - 1 - 2 + 1));
        QCOMPARE(wanted.front().peg, pegName(1, 2)); // amid the pins
        QCOMPARE(wanted[4].peg, pegName(0, 3));
        QCOMPARE(wanted[wanted.size() - 2].peg, pegName(4, 0));
        QCOMPARE(wanted.back().peg, std::string("S-04 M"));      // named otherwise
        QVERIFY(distance(wanted[4].mark, m_truth[{0, 3}]) < 20); // pegs are up to 2 cm off the grid
    }

    void drawingsOfOneSheetShareMarksThatLieOnBoth()
    {
        Result<Project> project = newProject(false);
        const Drawing first = project->byKey<Drawing>("P-01").value();
        Drawing second = first, other = first;
        second.id = other.id = 0;
        second.number = "P-02";
        other.number = "P-03";
        other.scaleDenominator = 20;
        const double middle = (m_truth[{0, 1}].row + m_truth[{0, 2}].row) / 2;
        second.frame = {{0, middle},
                        {double(m_widthPx), middle},
                        {double(m_widthPx), double(m_heightPx)},
                        {0, double(m_heightPx)}};
        QVERIFY(project->act("drawings", [&](Editor& edit) -> Result<void> {
            if (auto put = edit.put(second); !put)
                return put;
            if (auto put = edit.put(other); !put)
                return put;
            for (Pin each : {pin(first, 0, 0, false), pin(first, 1, 0, false), pin(first, 1, 3, false)})
                if (auto put = edit.put(each); !put)
                    return put;
            return {};
        }));
        const std::vector<Pin> own{pin(second, 1, 0, false)};
        const std::vector<Pin> shared = pinsToShare(*project, second, own);
        QCOMPARE(shared.size(), std::size_t(1)); // (1, 0) it has, (1, 3) lies on the other's part
        QCOMPARE(shared[0].peg, pegName(0, 0));
        QCOMPARE(shared[0].drawing, second.id);
        QVERIFY(pinsToShare(*project, other, {}).empty()); // another scale: another place on the ground
    }
};

QTEST_GUILESS_MAIN(GridCrossesTest)
#include "GridCrossesTest.moc"
