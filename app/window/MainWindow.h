// SPDX-License-Identifier: GPL-3.0-or-later
// The window: stage rail above, plan chest left, board in the middle, card right, tally below.
#pragma once

#include <functional>

#include <QMainWindow>

#include "app/board/Board.h"
#include "app/board/LineTool.h"
#include "app/board/MeasureTool.h"
#include "app/board/PegTool.h"
#include "app/board/PointTool.h"
#include "app/board/TraceTool.h"
#include "app/window/BoardField.h"
#include "app/window/DrawingCard.h"
#include "app/window/HandOverPage.h"
#include "app/window/PegCard.h"
#include "app/window/PegGuide.h"
#include "app/window/PlanChest.h"
#include "app/window/RegisterPage.h"
#include "app/window/Session.h"
#include "app/window/StageRail.h"
#include "app/window/StartPage.h"
#include "app/window/TallyPanel.h"
#include "app/window/TraceCard.h"

class QComboBox;
class QDialog;
class QLabel;
class QPushButton;
class QStackedWidget;

namespace inkpeg {

class JournalPage;
class LinksPage;
class RecordsPage;
class SequencePage;
class SignOffCard;
class ViewPanel;

class MainWindow final : public QMainWindow {
    Q_OBJECT
public:
    explicit MainWindow(QWidget* parent = nullptr);

    Session& session() { return *m_session; }
    Board& board() { return *m_board; }
    StageRail& rail() { return *m_rail; }
    BoardField& boardField() { return *m_field; }
    PegCard& pegCard() { return *m_pegCard; }
    PegTool& pegTool() { return *m_pegTool; }
    PegGuide& pegGuide() { return *m_pegGuide; }
    TraceTool& traceTool() { return *m_traceTool; }
    LineTool& lineTool() { return *m_lineTool; }
    MeasureTool& measureTool() { return *m_measureTool; }
    RegisterPage& registerPage() { return *m_registerPage; }
    HandOverPage& handOverPage() { return *m_handOverPage; }
    TallyPanel& tally() { return *m_tally; }
    SignOffCard& signOffCard() { return *m_signOffCard; }
    SequencePage& sequencePage() { return *m_sequencePage; }
    LinksPage& linksPage() { return *m_linksPage; }
    RecordsPage& recordsPage() { return *m_recordsPage; }
    JournalPage& journalPage() { return *m_journalPage; }

    /// The act with this name in code, for tests and for whoever wires a button to it.
    QAction* act(const char* name) const { return findChild<QAction*>(name); }

    /// Opens a project file; what is wrong with it is said on the start page.
    void openProject(const QString& file) { m_startPage->open(file); }
    void setStation(Station station);
    void applyTheme();

    ViewPanel& viewPanel() { return *m_viewPanel; }

private:
    /// Where an act can be done; an act with no stations can be done everywhere.
    struct Act {
        const char* name;
        QString text;
        QList<QKeySequence> keys;
        QString tip;
        std::function<void()> run;
        QList<Station> stations;
        bool onBoardOnly = false; ///< its keys count only while the board has the focus
        bool needsProject = true;
    };
    void add(QMenu* menu, const Act& act);
    void makeMenus();
    void makeProjectMenu();
    void makeRegisterActs(QMenu* menu);
    void makeEditMenu();
    void makeStageMenu();
    void makeDrawingMenu();
    void makeSheetMenu();
    void makePegMenu();
    void writeDrawingReport();
    void makeBoardMenu();
    void addViewActs(QMenu* menu);
    void makeTraceMenu();
    void makeInkActs(QMenu* menu);
    void makeCheckMenu();
    void makeSectionsMenu();
    void makeOutlineMenu();
    void makeMarksMenu();
    void makeHelpMenu();
    void updateActs();

    QWidget* makeBoardPane();
    QWidget* makeCards();
    void connectSession();
    void connectTools();
    void connectView();
    void setView(const ViewSettings& view);
    void recallView();
    QString viewWords() const;
    void focusCard();
    void connectTracing();
    void beginLine(LinePurpose purpose);
    void beginPoint(PointPurpose purpose);
    void beginMeasuring();
    void backToTracing();
    void showMending(const DrawnOutlines& outlines, const Mendings& mendings);
    void takeMending();
    void leaveMending();
    void giveUpTracing();
    void takeLine(LinePurpose purpose, qint64 outline, const std::vector<ScanPx>& vertices,
                  const std::vector<EdgeKind>& kinds);
    void askPoint(PointPurpose purpose, ScanPx at, QPointF widget);
    void askMark(const MarkHit& mark, QPointF widget);
    void askCopy();
    /// The chosen outline and the one under the pointer; says what is missing.
    bool twoOutlines(std::int64_t& chosen, std::int64_t& other);
    /// The chosen outline and the pointer in the scan; says what is missing.
    bool outlineAndPlace(std::int64_t& chosen, ScanPx& at);
    QPointF handOnBoard() const;
    bool mayWrite();
    void say(const QString& words, bool trouble);
    void press(QPushButton* button, const QString& whyNot);
    void refreshBoard();
    void refreshPeople();
    void refreshBoardStrip();
    void showPointer(const std::optional<ScanPx>& scan, const QPointF& widget);
    void toggleSide();
    void newProject();
    void addPerson();
    void askContext();
    void leadTo(const Matter& matter);
    // MainWindowCheck.cpp
    void makeCheckPages();
    void showCheckPage(QWidget* page);
    void askCloseOfDay();
    void showPeople();
    void askWho();
    void askWhoAtStart();
    std::string askReason(const std::vector<std::string>& sealed);
    void leadToBoard(const Matter& place);
    void leadToContext(const QString& number);
    void leadToRecord(RegisterKind kind, const QString& number);
    void showAbout();
    void showKeys();

    Session* m_session;
    StageRail* m_rail;
    QComboBox* m_people;
    PlanChest* m_chest = nullptr;
    Board* m_board = nullptr;
    QLabel* m_boardTitle = nullptr;
    QLabel* m_boardHint = nullptr;
    QPushButton* m_sideButton = nullptr;
    QLabel* m_saidLabel;
    QLabel* m_preparingLabel;
    QLabel* m_pointerLabel;
    ViewPanel* m_viewPanel = nullptr;
    ViewSettings m_view;  ///< of the drawing at hand
    std::string m_viewOf; ///< its number
    PegTool* m_pegTool = nullptr;
    TraceTool* m_traceTool = nullptr;
    LineTool* m_lineTool = nullptr;
    bool m_lineWaits = false; ///< for its mending to be taken or left
    PointTool* m_pointTool = nullptr;
    MeasureTool* m_measureTool = nullptr;
    BoardField* m_field = nullptr;
    PegGuide* m_pegGuide = nullptr;
    StartPage* m_startPage = nullptr;
    RegisterPage* m_registerPage = nullptr;
    HandOverPage* m_handOverPage = nullptr;
    QWidget* m_boardPane = nullptr;
    QStackedWidget* m_pages;
    QWidget* m_cardColumn = nullptr;
    QStackedWidget* m_cards = nullptr;
    DrawingCard* m_drawingCard = nullptr;
    PegCard* m_pegCard = nullptr;
    TraceCard* m_traceCard = nullptr;
    SignOffCard* m_signOffCard = nullptr;
    SequencePage* m_sequencePage = nullptr;
    LinksPage* m_linksPage = nullptr;
    RecordsPage* m_recordsPage = nullptr;
    JournalPage* m_journalPage = nullptr;
    TallyPanel* m_tally = nullptr;
    std::vector<std::pair<QAction*, Act>> m_acts;
};

} // namespace inkpeg
