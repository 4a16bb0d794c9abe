// SPDX-License-Identifier: GPL-3.0-or-later
// On the ground the drawing at hand is never its own neighbour, whichever way it came to hand, and a
// neighbour lies where its pins put it now.
#include <memory>
#include <set>

#include <QSettings>
#include <QTemporaryDir>
#include <QTest>

#include "tests/app/window/DemoWindow.h"

using namespace inkpeg;

class NeighboursTest final : public QObject {
    Q_OBJECT

    QTemporaryDir m_folder;
    std::unique_ptr<MainWindow> m_window;

    /// A plan at 1:20 beside the others, tied to four pegs of its own.
    static Result<void> putPlan(Editor& edit, int which)
    {
        const std::string number = "P-0" + std::to_string(which);
        Sheet sheet;
        sheet.number = "S" + std::to_string(which);
        sheet.frame = {4000, 3000, 400, 400, false};
        if (auto put = edit.put(sheet); !put)
            return put;
        Drawing drawing;
        drawing.number = number;
        drawing.sheet = sheet.number;
        drawing.stage = Stage::Pinned;
        if (auto put = edit.put(drawing); !put)
            return put;
        int index = 0;
        for (const ScanPx mark :
             {ScanPx{100, 100}, ScanPx{3900, 120}, ScanPx{3880, 2900}, ScanPx{90, 2880}}) {
            const FilmMm film = sheet.frame.toFilm(mark);
            Peg peg;
            peg.name = number + "/" + std::to_string(++index);
            peg.position = {565000 + 6.0 * which + film.x * 0.02, 5932000 + film.y * 0.02};
            if (auto put = edit.put(peg); !put)
                return put;
            Pin pin;
            pin.drawing = drawing.id;
            pin.peg = peg.name;
            pin.mark = mark;
            pin.placedBy = "hand";
            if (auto put = edit.put(pin); !put)
                return put;
        }
        return {};
    }

    std::set<std::string> neighbours()
    {
        std::set<std::string> names;
        for (const Neighbour& neighbour : m_window->board().scene().neighbours)
            names.insert(neighbour.sheet.name);
        return names;
    }

private slots:
    void initTestCase()
    {
        QApplication::setOrganizationName("Inkpeg");
        QApplication::setApplicationName("NeighboursTest");
        QSettings::setPath(QSettings::NativeFormat, QSettings::UserScope, m_folder.path());
        m_window = shownWindow();
        QVERIFY(m_window);
        ProjectFacts facts;
        facts.siteCode = "SKR26";
        Person first;
        first.initials = "MH";
        QVERIFY(m_window->session().create(m_folder.filePath("site.gpkg").toStdString(), facts, first));
        QVERIFY(m_window->session().project().act("three plans", [](Editor& edit) -> Result<void> {
            for (const int which : {1, 2, 3})
                if (auto put = putPlan(edit, which); !put)
                    return put;
            return {};
        }));
        m_window->session().refresh();
    }
    void theDrawingAtHandIsNeverItsOwnNeighbour()
    {
        QTest::keyClick(m_window.get(), Qt::Key_2, Qt::AltModifier);
        QCOMPARE(m_window->session().drawing()->number, std::string("P-01"));
        QTest::keyClick(m_window.get(), Qt::Key_G);
        QCOMPARE(m_window->board().side(), BoardSide::Ground);
        QCOMPARE(neighbours(), (std::set<std::string>{"P-02", "P-03"}));
        QTest::keyClick(m_window.get(), Qt::Key_Down, Qt::ControlModifier);
        QCOMPARE(m_window->session().drawing()->number, std::string("P-02"));
        QCOMPARE(neighbours(), (std::set<std::string>{"P-01", "P-03"}));
        QTest::keyClick(m_window.get(), Qt::Key_Down, Qt::ControlModifier);
        QCOMPARE(neighbours(), (std::set<std::string>{"P-01", "P-02"}));
        QTest::keyClick(m_window.get(), Qt::Key_Up, Qt::ControlModifier);
        QCOMPARE(neighbours(), (std::set<std::string>{"P-01", "P-03"}));
    }
    void aNeighbourThatMovesIsSeenWhereItIsNow()
    {
        const auto corner = [&](const char* number) {
            for (const Neighbour& neighbour : m_window->board().scene().neighbours)
                if (neighbour.sheet.name == number)
                    return neighbour.sheet.ring.front();
            return GroundM{};
        };
        const GroundM before = corner("P-03");
        m_window->session().chooseDrawing(m_window->session().project().byKey<Drawing>("P-03")->id);
        std::vector<Pin> pins = m_window->session().scene().drawing->pins;
        QVERIFY(m_window->session().movePin(pins.front().id, {180, 100}));
        QTest::keyClick(m_window.get(), Qt::Key_Up, Qt::ControlModifier);
        QCOMPARE(m_window->session().drawing()->number, std::string("P-02"));
        QVERIFY(distance(corner("P-03"), before) > 0.02);
    }
};

QTEST_MAIN(NeighboursTest)
#include "NeighboursTest.moc"
