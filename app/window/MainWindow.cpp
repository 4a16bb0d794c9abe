// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/MainWindow.h"

#include <QApplication>
#include <QComboBox>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QScrollArea>
#include <QSplitter>
#include <QStackedWidget>
#include <QStatusBar>
#include <QVBoxLayout>

#include "app/board/Palette.h"
#include "app/window/PageStack.h"
#include "app/window/PathField.h"
#include "app/window/SignOffCard.h"
#include "app/window/Words.h"

namespace inkpeg {

MainWindow::MainWindow(QWidget* parent)
    : QMainWindow(parent), m_session(new Session(this)), m_rail(new StageRail(this)),
      m_people(new QComboBox(this)), m_saidLabel(new QLabel(this)), m_preparingLabel(new QLabel(this)),
      m_pointerLabel(new QLabel(this)), m_pages(new PageStack(this))
{
    setWindowTitle(tr("Inkpeg"));
    resize(1280, 800);
    m_chest = new PlanChest(*m_session, this);
    m_boardPane = makeBoardPane();
    m_startPage = new StartPage(*m_session, this);
    m_registerPage = new RegisterPage(*m_session, this);
    m_handOverPage = new HandOverPage(*m_session, this);
    for (QWidget* page :
         std::initializer_list<QWidget*>{m_startPage, m_registerPage, m_boardPane, m_handOverPage})
        m_pages->addWidget(page);
    m_tally = new TallyPanel(*m_session, this);

    auto* across = new QSplitter(Qt::Horizontal, this);
    across->setChildrenCollapsible(false);
    across->setHandleWidth(1);
    across->addWidget(m_chest);
    across->addWidget(m_pages);
    m_cardColumn = makeCards();
    across->addWidget(m_cardColumn);
    across->setStretchFactor(1, 1);
    across->setSizes({286, 650, 344});
    m_chest->setMinimumWidth(250);
    m_cardColumn->setMinimumWidth(330);

    m_people->setAccessibleName(tr("Who is at the keyboard"));
    m_people->setToolTip(tr("Who is at the keyboard: the initials written beside each act"));
    m_people->setMinimumWidth(150);
    m_rail->addAtEnd(m_people);

    auto* middle = new QWidget(this);
    auto* layout = new QVBoxLayout(middle);
    layout->setContentsMargins(0, 0, 0, 0);
    layout->setSpacing(0);
    layout->addWidget(m_rail);
    layout->addWidget(across, 1);
    layout->addWidget(m_tally);
    setCentralWidget(middle);
    m_saidLabel->setObjectName("said");
    m_saidLabel->setMinimumWidth(80); // a long sentence must not widen the window: its tooltip has it
    statusBar()->addWidget(m_saidLabel, 1);
    statusBar()->addPermanentWidget(m_preparingLabel);
    statusBar()->addPermanentWidget(m_pointerLabel);
    statusBar()->setSizeGripEnabled(false);

    makeCheckPages();
    connectView();
    makeMenus();
    connectSession();
    connectTools();
    setStation(Station::Register);
}

QWidget* MainWindow::makeBoardPane()
{
    auto* pane = new QWidget(this);
    pane->setObjectName("page");
    m_board = new Board(pane);
    m_pegTool = new PegTool(*m_board);
    m_traceTool = new TraceTool(*m_board);
    m_lineTool = new LineTool(*m_board);
    m_pointTool = new PointTool(*m_board);
    m_measureTool = new MeasureTool(*m_board);
    m_field = new BoardField(m_board);
    m_pegGuide = new PegGuide(*m_session, *m_board, *m_pegTool, *m_field, this);
    m_boardTitle = new QLabel(pane);
    m_boardTitle->setObjectName("subheading");
    m_boardHint = new QLabel(pane);
    m_boardHint->setObjectName("faint");
    m_boardHint->setWordWrap(true);
    m_sideButton = new QPushButton(pane);
    m_sideButton->setFocusPolicy(Qt::TabFocus);
    m_sideButton->setToolTip(tr("Shows the drawing as scanned, or on the ground among its neighbours (G)"));
    connect(m_sideButton, &QPushButton::clicked, this, &MainWindow::toggleSide);
    auto* strip = new QHBoxLayout;
    strip->setContentsMargins(12, 6, 8, 6);
    strip->addWidget(m_boardTitle);
    strip->addSpacing(8);
    strip->addWidget(m_boardHint, 1);
    strip->addSpacing(10);
    strip->addWidget(m_sideButton);
    auto* layout = new QVBoxLayout(pane);
    layout->setContentsMargins(0, 0, 0, 0);
    layout->setSpacing(0);
    layout->addLayout(strip);
    layout->addWidget(m_board, 1);
    return pane;
}

QWidget* MainWindow::makeCards()
{
    m_cards = new QStackedWidget(this);
    m_drawingCard = new DrawingCard(*m_session, this);
    m_pegCard = new PegCard(*m_session, this);
    m_traceCard = new TraceCard(*m_session, *m_traceTool, this);
    m_signOffCard = new SignOffCard(*m_session, this);
    for (QWidget* card :
         std::initializer_list<QWidget*>{m_drawingCard, m_pegCard, m_traceCard, m_signOffCard})
        m_cards->addWidget(card);
    auto* column = new QWidget(this);
    column->setObjectName("card");
    column->setAttribute(Qt::WA_StyledBackground);
    auto* layout = new QVBoxLayout(column);
    layout->setContentsMargins(6, 2, 6, 6);
    layout->addWidget(m_cards);
    return column;
}

void MainWindow::connectSession()
{
    connect(m_rail, &StageRail::chosen, this, &MainWindow::setStation);
    connect(m_session, &Session::said, this, &MainWindow::say);
    connect(m_session, &Session::projectChanged, this, [this] {
        m_viewOf.clear(); // the next project may have a drawing of the same number
        refreshPeople();
        if (m_session->isOpen()) {
            StartPage::remember(QString::fromStdString(m_session->project().file().string()));
            const ProjectFacts facts = m_session->project().facts();
            setWindowTitle(tr("%1 %2 · Inkpeg").arg(words(facts.siteCode), words(facts.title)));
            setStation(m_session->project().all<Drawing>().empty() ? Station::Register : Station::Peg);
            askWhoAtStart();
        } else {
            setWindowTitle(tr("Inkpeg"));
            setStation(Station::Register);
        }
    });
    connect(m_session, &Session::recordsChanged, this, [this] {
        refreshPeople();
        refreshBoard();
        updateActs();
    });
    connect(m_session, &Session::drawingChosen, this, [this] {
        giveUpTracing();
        refreshBoard();
        updateActs();
    });
    // Queued: the list of people may be what told of it.
    connect(m_session, &Session::personChanged, this, &MainWindow::refreshPeople, Qt::QueuedConnection);
    connect(m_people, &QComboBox::activated, this, [this](int index) {
        const QString initials = m_people->itemData(index).toString();
        if (initials.isEmpty())
            addPerson();
        else
            m_session->setPerson(initials);
    });
    connect(m_startPage, &StartPage::newAsked, this, &MainWindow::newProject);
    connect(m_registerPage, &RegisterPage::taken, this, &MainWindow::refreshPeople);
    connect(m_tally, &TallyPanel::chosen, this, &MainWindow::leadTo);
}

void MainWindow::connectTools()
{
    connect(m_board, &Board::hintChanged, this, &MainWindow::refreshBoardStrip);
    connect(m_board, &Board::sideChanged, this, [this] {
        m_session->setSurroundingsShown(m_board->side() == BoardSide::Ground);
        refreshBoard();
    });
    connect(m_board, &Board::pointerMoved, this, &MainWindow::showPointer);
    connect(m_board, &Board::scanFailed, this, [this](const QString& trouble) { say(trouble, true); });

    connect(m_pegGuide, &PegGuide::said, this, &MainWindow::say);
    connect(m_pegTool, &PegTool::pinMoved, this,
            [this](qint64 pin, ScanPx mark) { m_session->movePin(pin, mark); });
    connect(m_pegTool, &PegTool::pinRemoved, this, [this](qint64 pin) { m_session->removePin(pin); });
    connect(m_pegTool, &PegTool::pinSelected, m_pegCard, &PegCard::selectPin);
    connect(m_pegCard, &PegCard::pinChosen, this, [this](qint64 pin) { m_pegTool->selectPin(pin); });

    connectTracing();
    connect(m_field->field(), &QLineEdit::textChanged, m_traceCard, &TraceCard::showRecordOf);
    connect(m_traceCard, &TraceCard::nextAsked, this, &MainWindow::askContext);
}

void MainWindow::setStation(Station station)
{
    m_rail->setStation(station);
    const bool open = m_session->isOpen();
    m_chest->setVisible(open);
    // What goes makes room before the page comes, and what comes waits for the page that goes: together
    // they would push a small window wider.
    const bool cards = open && station != Station::HandOver;
    if (!cards)
        m_cardColumn->hide();
    if (open && station != Station::Check)
        m_tally->setUnfolded(false);
    m_tally->setVisible(open);
    m_rail->setEnabled(open);
    giveUpTracing();
    if (!open) {
        m_pages->setCurrentWidget(m_startPage);
    } else if (station == Station::Register) {
        m_pages->setCurrentWidget(m_registerPage);
        m_cards->setCurrentWidget(m_drawingCard);
        m_registerPage->files()->setFocus();
    } else if (station == Station::HandOver) {
        m_pages->setCurrentWidget(m_handOverPage);
        m_handOverPage->setFocus();
    } else {
        m_pages->setCurrentWidget(m_boardPane);
        m_cards->setCurrentWidget(station == Station::Peg     ? static_cast<QWidget*>(m_pegCard)
                                  : station == Station::Trace ? static_cast<QWidget*>(m_traceCard)
                                                              : m_signOffCard);
        BoardTool* const tools[] = {m_pegTool, m_traceTool};
        m_board->setTool(station == Station::Check ? nullptr : tools[station == Station::Trace ? 1 : 0]);
        m_board->setFocus();
    }
    m_cardColumn->setVisible(cards);
    if (open && station == Station::Check)
        m_tally->setUnfolded(true);
    refreshBoard();
    updateActs();
}

void MainWindow::refreshBoard()
{
    recallView();
    BoardScene scene = m_session->scene();
    if (scene.drawing)
        scene.drawing->view = m_view;
    m_board->setScene(std::move(scene));
    if (m_rail->station() == Station::Trace)
        m_traceTool->readInk();
    refreshBoardStrip();
}

void MainWindow::refreshBoardStrip()
{
    const auto& drawing = m_session->scene().drawing;
    const bool ground = m_board->side() == BoardSide::Ground;
    m_sideButton->setText(ground ? tr("Show on film (G)") : tr("Show on the ground (G)"));
    if (!drawing) {
        m_boardTitle->setText(tr("No drawing"));
        m_boardHint->setText(
            tr("Take the registers in at the first stage, or choose a drawing in the plan chest"));
        return;
    }
    m_boardTitle->setText(words(drawing->record.number) + viewWords());
    QString hint = m_board->tool() ? m_board->tool()->hint()
                                   : tr("Drag to move about · the wheel zooms · 0 shows all");
    if (drawing->widthPx == 0)
        hint = drawing->scanFile.empty()
                   ? tr("This drawing has no scan yet: give it one on its card, at the first stage")
                   : tr("The scan is missing: %1").arg(words(drawing->scanFile.string()));
    m_boardHint->setText(hint);
}

void MainWindow::say(const QString& words, bool trouble)
{
    const Palette& colours = inkpeg::palette();
    m_saidLabel->setText(trouble && !words.isEmpty() ? QString("<span style='color:%1'><b>! %2</b></span>")
                                                           .arg(colours.bad.name(), words.toHtmlEscaped())
                                                     : words.toHtmlEscaped());
    m_saidLabel->setToolTip(words);
}

void MainWindow::showPointer(const std::optional<ScanPx>& scan, const QPointF& widget)
{
    const auto& drawing = m_session->scene().drawing;
    QString text;
    if (scan && drawing) {
        const FilmMm film = drawing->film.toFilm(*scan);
        text = tr("film %1, %2 mm").arg(film.x, 0, 'f', 1).arg(film.y, 0, 'f', 1);
        if (drawing->ground) {
            const GroundM ground = drawing->ground->toGround(*scan);
            const double errorM = drawing->ground->fit.covarianceAt(film).standardErrorM();
            text += drawing->ground->section
                        ? tr("  ·  along %1 m, level %2 m")
                              .arg(ground.east, 0, 'f', 2)
                              .arg(ground.north, 0, 'f', 2)
                        : tr("  ·  E %1  N %2 m").arg(ground.east, 0, 'f', 2).arg(ground.north, 0, 'f', 2);
            text += tr("  ·  fit ± %1 mm").arg(errorM * 1000, 0, 'f', errorM < 0.01 ? 1 : 0);
        }
    } else if (!drawing && m_board->side() == BoardSide::Ground && !widget.isNull()) {
        const GroundM ground = m_board->frame().groundOfScene(m_board->view().toScene(widget));
        text = tr("E %1  N %2 m").arg(ground.east, 0, 'f', 2).arg(ground.north, 0, 'f', 2);
    }
    m_pointerLabel->setText(text);
}

void MainWindow::refreshPeople()
{
    m_people->clear();
    m_people->setEnabled(m_session->isOpen());
    if (!m_session->isOpen())
        return;
    for (const Person& person : m_session->project().all<Person>()) {
        const QString initials = words(person.initials);
        m_people->addItem(person.name.empty() ? initials : tr("%1 · %2").arg(initials, words(person.name)),
                          initials);
    }
    m_people->addItem(tr("Somebody else…"), QString());
    m_people->setCurrentIndex(m_people->findData(words(m_session->project().person())));
}

void MainWindow::applyTheme()
{
    const Palette& colours = inkpeg::palette();
    qApp->setPalette(widgetPalette(colours));
    qApp->setStyleSheet(inkpeg::styleSheet(colours));
    update();
}

} // namespace inkpeg
