// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/PegGuide.h"

#include <algorithm>
#include <cmath>

#include <QLineEdit>

#include "app/board/Board.h"
#include "app/board/PegTool.h"
#include "app/window/BoardField.h"
#include "app/window/PegPlan.h"
#include "app/window/PegWork.h"
#include "app/window/Session.h"
#include "app/window/Words.h"
#include "core/store/PegProposals.h"

namespace inkpeg {
namespace {

constexpr int waitAtOnceMs = 300;   // a window of a scan is read and searched in less, but for large JPEGs
constexpr int waitAtLastMs = 10000; // when the name is there and only the cross is missing

double dpiOf(const FilmFrame& film)
{
    return std::sqrt(film.dpiX * film.dpiY);
}

} // namespace

PegGuide::PegGuide(Session& session, Board& board, PegTool& tool, BoardField& field, QObject* parent)
    : QObject(parent), m_session(session), m_board(board), m_tool(tool), m_field(field),
      m_work(new PegWork(this)), m_plan(new PegPlan(&board, field.field()))
{
    connect(&tool, &PegTool::pinAsked, this, &PegGuide::ask);
    connect(&tool, &PegTool::proposalChosen, this, &PegGuide::choose);
    connect(&tool, &PegTool::dropAsked, this, &PegGuide::stopAndDrop);
    connect(&tool, &PegTool::frameDrawn, this, &PegGuide::frameDrawn);
    connect(m_plan, &PegPlan::chosen, this, [this](const QString& peg) {
        m_field.field()->setText(peg);
        m_field.accept();
    });
    connect(field.field(), &QLineEdit::textChanged, m_plan, &PegPlan::setWritten);
    connect(m_work, &PegWork::centred, this, [this] {
        if (m_centring && m_asked)
            takeCentre(0);
    });
    connect(m_work, &PegWork::found, this, &PegGuide::found);
    connect(m_work, &PegWork::failed, this, [this](const QString& why) {
        if (!m_quietly)
            emit said(why, true);
        emit findingChanged();
    });
    connect(m_work, &PegWork::progressed, this, [this](double share) {
        emit said(tr("Looking for crosses: %1 % · Esc stops").arg(share * 100, 0, 'f', 0), false);
    });
    connect(&session, &Session::drawingChosen, this, [this] {
        m_work->cancel();
        m_lastPeg.clear();
        drop();
    });
    connect(&session, &Session::recordsChanged, this, &PegGuide::forgetPinned);
}

bool PegGuide::finding() const
{
    return m_work->finding();
}

void PegGuide::ask(const ScanPx& mark, const QPointF& widget, bool asClicked)
{
    m_field.dismiss();
    m_cross.reset();
    m_noCross.clear();
    m_centring = false;
    m_asked = mark;
    if (!asClicked)
        startCentring(mark);
    askAt(*m_asked, widget, {});
}

void PegGuide::startCentring(ScanPx mark)
{
    const auto& drawing = m_session.scene().drawing;
    if (!drawing || drawing->widthPx == 0)
        return;
    // As far as a hand may miss on the screen, but on film no further than another cross could lie.
    const double perMm = dpiOf(drawing->film) / MillimetresPerInch;
    const double screenPx = 8 / (m_board.view().scale() * m_board.frame().sceneUnitsPerScanPx());
    m_centring = true;
    m_work->centre(drawing->scanFile, mark, std::clamp(screenPx, 1.5 * perMm, 4 * perMm),
                   dpiOf(drawing->film));
    takeCentre(waitAtOnceMs);
}

void PegGuide::takeCentre(int mostMs)
{
    const std::optional<Result<CrossMark>> answer = m_work->answer(mostMs);
    if (!answer)
        return;
    m_centring = false;
    if (*answer) {
        m_cross = **answer;
        m_asked = m_cross->centre;
    } else {
        m_noCross = words(answer->error().message);
    }
    if (!m_field.isVisible())
        return;
    // The answer came late: what nobody has written into yet gets the proposal that now can be made.
    m_field.setQuestion(question());
    m_tool.setAsked(m_asked);
    if (m_cross && m_field.field()->text().isEmpty()) {
        m_field.field()->setText(m_session.proposedPeg(*m_asked, m_cross->directionRad));
        m_field.field()->selectAll();
        m_plan->setVisible(m_field.field()->text().isEmpty());
    }
}

QString PegGuide::question() const
{
    if (m_cross && m_cross->doubtful)
        return tr("Peg · on a doubtful cross: %1").arg(words(m_cross->doubt));
    if (m_cross)
        return tr("Peg · on the cross, ± %1 px").arg(m_cross->standardErrorPx, 0, 'f', 2);
    return m_centring ? tr("Peg · looking for the cross") : tr("Peg · where clicked");
}

void PegGuide::askAt(ScanPx mark, QPointF widget, const QString& peg)
{
    if (!m_session.canWrite()) {
        emit said(tr("This project is open for reading only"), true);
        return;
    }
    if (!m_noCross.isEmpty())
        emit said(m_noCross, false);
    const std::optional<double> direction =
        m_cross ? std::optional(m_cross->directionRad) : std::optional<double>();
    const QString proposal = peg.isEmpty() ? m_session.proposedPeg(mark, direction) : peg;
    m_tool.setAsked(mark);
    m_field.ask(
        widget, question(), proposal, m_session.pegNames(),
        [this](const QString& name) { return place(name); }, [this] { endAsking(); });
    // Names come by themselves once the pins tell where the film lies; until then the plan is at hand.
    if (proposal.isEmpty())
        m_plan->showFor(m_session, m_field.geometry());
}

bool PegGuide::place(const QString& name)
{
    if (m_centring)
        takeCentre(waitAtLastMs);
    if (!m_asked || !m_session.placePin(*m_asked, name, m_cross))
        return false;
    const bool onCross = m_cross.has_value();
    endAsking();
    const auto& drawing = m_session.scene().drawing;
    if (onCross && drawing && drawing->pins.size() == 2 && !isUpright(drawing->record.kind) &&
        m_proposals.empty()) {
        m_quietly = true;
        m_work->findGrid(m_session.project().file(), drawing->record.id);
        emit findingChanged();
    }
    return true;
}

void PegGuide::endAsking()
{
    m_asked.reset();
    m_cross.reset();
    m_centring = false;
    m_tool.setAsked(std::nullopt);
    m_plan->hide();
}

void PegGuide::findGrid()
{
    const auto& drawing = m_session.scene().drawing;
    if (!drawing)
        return;
    m_quietly = false;
    drop();
    m_work->findGrid(m_session.project().file(), drawing->record.id);
    emit said(tr("Looking for crosses · Esc stops"), false);
    emit findingChanged();
}

void PegGuide::stopAndDrop()
{
    m_work->cancel();
    drop();
}

void PegGuide::found(qint64 drawing, const GridProposal& grid)
{
    emit findingChanged();
    if (!m_session.scene().drawing || m_session.scene().drawing->record.id != drawing)
        return;
    m_proposals = grid.pins;
    m_atHand = m_proposals.empty() ? -1 : 0;
    forgetPinned();
    const auto doubtful = std::ranges::count_if(m_proposals, &ProposedPin::doubtful);
    emit said(m_proposals.empty()
                  ? tr("No further cross of the grid is on this drawing")
                  : tr("%1 crosses of a grid of %2 m found from %3 and %4, %5 of them doubtful")
                        .arg(m_proposals.size())
                        .arg(grid.stepM, 0, 'f', 2)
                        .arg(words(grid.first), words(grid.second))
                        .arg(doubtful),
              false);
}

void PegGuide::showProposals()
{
    std::vector<ProposedMark> marks;
    for (const ProposedPin& pin : m_proposals)
        marks.push_back({pin.cross.centre, words(pin.peg), pin.doubtful, words(pin.doubt)});
    m_tool.setProposals(std::move(marks), m_atHand);
}

void PegGuide::forgetPinned()
{
    const auto& drawing = m_session.scene().drawing;
    const double nearPx = drawing ? 1.5 * dpiOf(drawing->film) / MillimetresPerInch : 0;
    std::erase_if(m_proposals, [&](const ProposedPin& proposed) {
        return !drawing || std::ranges::any_of(drawing->pins, [&](const Pin& pin) {
            return pin.peg == proposed.peg || distance(pin.mark, proposed.cross.centre) < nearPx;
        });
    });
    m_atHand = std::min(m_atHand, static_cast<int>(m_proposals.size()) - 1);
    showProposals();
}

void PegGuide::choose(int proposal)
{
    if (proposal < 0 || proposal >= static_cast<int>(m_proposals.size()))
        return;
    m_field.dismiss();
    m_atHand = proposal;
    showProposals();
    const ProposedPin& chosen = m_proposals[static_cast<std::size_t>(proposal)];
    m_cross = chosen.cross;
    m_noCross.clear();
    m_centring = false;
    m_asked = chosen.cross.centre;
    if (chosen.doubtful)
        emit said(words(chosen.doubt), false);
    askAt(chosen.cross.centre, m_board.widgetOfScan(chosen.cross.centre), words(chosen.peg));
}

void PegGuide::next()
{
    if (!m_proposals.empty()) {
        m_atHand = (m_atHand + 1) % static_cast<int>(m_proposals.size());
        m_board.goTo(m_proposals[static_cast<std::size_t>(m_atHand)].cross.centre);
        showProposals();
        return;
    }
    const auto& drawing = m_session.scene().drawing;
    if (!drawing)
        return;
    const Result<GroundGuess> guess = GroundGuess::of(m_session.project(), drawing->record, drawing->pins);
    if (!guess) {
        emit said(tr("Pin two pegs first: where the others lie follows from them"), true);
        return;
    }
    const std::vector<PegToPin> wanted =
        pegsToPin(m_session.project(), drawing->record, *guess, drawing->pins);
    if (wanted.empty()) {
        emit said(tr("Every peg that lies on this drawing is pinned"), false);
        return;
    }
    auto at = std::ranges::find(wanted, m_lastPeg.toStdString(), &PegToPin::peg);
    at = at == wanted.end() || at + 1 == wanted.end() ? wanted.begin() : at + 1;
    m_lastPeg = words(at->peg);
    m_board.goTo(at->mark);
    m_cross.reset();
    m_noCross.clear();
    m_asked = at->mark;
    startCentring(at->mark);
    askAt(*m_asked, m_board.widgetOfScan(*m_asked), m_lastPeg);
}

void PegGuide::acceptAtHand()
{
    if (m_atHand < 0) {
        emit said(tr("No cross is proposed; L finds the grid from two pins"), true);
        return;
    }
    const ProposedPin proposed = m_proposals[static_cast<std::size_t>(m_atHand)];
    if (proposed.peg.empty())
        choose(m_atHand); // its peg has to be asked for
    else
        m_session.acceptCrosses({proposed});
}

void PegGuide::acceptAll()
{
    std::vector<ProposedPin> sure;
    std::ranges::copy_if(m_proposals, std::back_inserter(sure),
                         [](const ProposedPin& each) { return !each.doubtful && !each.peg.empty(); });
    if (sure.empty())
        emit said(m_proposals.empty() ? tr("No cross is proposed; L finds the grid from two pins")
                                      : tr("Only doubtful crosses are left; N goes to each, A accepts it"),
                  true);
    else
        m_session.acceptCrosses(sure);
}

void PegGuide::drop()
{
    m_proposals.clear();
    m_atHand = -1;
    showProposals();
}

void PegGuide::toggleUse(PinUse use)
{
    const auto& drawing = m_session.scene().drawing;
    const std::int64_t id = m_tool.selectedPin();
    if (!drawing || id == 0) {
        emit said(tr("Choose a pin first, on the board or in the table"), true);
        return;
    }
    const auto pin = std::ranges::find(drawing->pins, id, &Pin::id);
    if (pin != drawing->pins.end())
        m_session.setPinUse(id, pin->use == use ? PinUse::Fit : use);
}

void PegGuide::toggleCheck()
{
    toggleUse(PinUse::Check);
}
void PegGuide::toggleLeftOut()
{
    toggleUse(PinUse::LeftOut);
}

void PegGuide::takeRemedy()
{
    m_session.takeRemedy(0);
}

void PegGuide::takeAdvisedModel()
{
    const ModelComparison* models = m_session.comparison();
    if (!models || !models->recommended) {
        emit said(tr("No model can be advised: the pins allow none"), true);
        return;
    }
    if (!m_session.setModel(*models->recommended, {}))
        emit said(tr("The advised model is taken already: %1").arg(words(models->reason)), false);
}

void PegGuide::share()
{
    m_session.sharePins();
}

void PegGuide::frameDrawn(const ScanPx& a, const ScanPx& b)
{
    const double left = std::min(a.column, b.column), right = std::max(a.column, b.column);
    const double top = std::min(a.row, b.row), bottom = std::max(a.row, b.row);
    m_session.setFrame({{left, top}, {right, top}, {right, bottom}, {left, bottom}});
}

void PegGuide::wholeSheet()
{
    m_session.setFrame({});
}

} // namespace inkpeg
