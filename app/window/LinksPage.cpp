// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/LinksPage.h"

#include <algorithm>
#include <unordered_map>

#include <QComboBox>
#include <QFont>
#include <QHBoxLayout>
#include <QHeaderView>
#include <QInputDialog>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QTabWidget>
#include <QTableView>
#include <QVBoxLayout>

#include "app/board/Palette.h"
#include "app/window/Present.h"
#include "app/window/TextTableModel.h"
#include "app/window/Words.h"
#include "core/base/Text.h"
#include "core/store/LoadRecords.h"

namespace inkpeg {

/// Everything that was linked; the pieces lend from the records beside them.
struct LinkedPieces {
    ProjectRecords records;
    std::vector<Placed> placed;
    std::vector<Link> links;
    std::vector<Proposal> proposals;
    std::unordered_map<std::string, std::size_t> proposalOf;       ///< by "find SF-093"
    std::unordered_map<std::string, std::string> drawingOfContext; ///< a plan that shows it
};

namespace {

std::string nameOfPiece(PointKind kind, std::string_view number)
{
    return pointKindName(kind) + " " + std::string(number);
}

Result<std::shared_ptr<const LinkedPieces>> linkAll(const std::filesystem::path& file,
                                                    const Progress& progress)
{
    const Result<Project> project = Project::open(file, Access::Read);
    if (!project)
        return project.error();
    Result<ProjectRecords> records = loadRecords(*project, progress);
    if (!records)
        return records.error();
    const auto pieces = std::make_shared<LinkedPieces>();
    pieces->records = std::move(*records);
    pieces->placed = placedOf(pieces->records);
    Result<std::vector<Link>> links = linkToOutlines(pieces->records, pieces->placed, progress);
    if (!links)
        return links.error();
    pieces->links = std::move(*links);
    pieces->proposals = proposalsOf(pieces->placed, pieces->links);
    for (std::size_t i = 0; i < pieces->proposals.size(); ++i)
        pieces->proposalOf.emplace(nameOfPiece(pieces->proposals[i].kind, pieces->proposals[i].number), i);
    std::unordered_map<std::int64_t, const Drawing*> plans;
    for (const Drawing& drawing : pieces->records.drawings)
        if (drawing.kind == DrawingKind::Plan)
            plans.emplace(drawing.id, &drawing);
    for (const Outline& outline : pieces->records.outlines)
        if (const auto plan = plans.find(outline.drawing); plan != plans.end())
            pieces->drawingOfContext.emplace(outline.context, plan->second->number);
    return std::shared_ptr<const LinkedPieces>(pieces);
}

std::string joined(const std::vector<std::string>& words)
{
    std::string all;
    for (const std::string& word : words)
        all += (all.empty() ? "" : " ") + word;
    return all;
}

/// With a sign before the word: hue is not needed, and "agree" is not found in "disagree".
std::string verdictShown(LinkVerdict verdict)
{
    return (verdict == LinkVerdict::Disagree ? "✕ "
            : verdict == LinkVerdict::Agree  ? "✓ "
                                             : "· ") +
           verdictName(verdict);
}

/// The other context it more probably came from, with the probability, or how far off it is.
std::string rather(const Link& link)
{
    if (!link.alternative)
        return {};
    const Alternative& other = *link.alternative;
    return other.context + (other.probability >= 0.0005 ? " (" + fixed(other.probability, 3) + ")"
                                                        : ", " + fixed(other.distanceM, 2) + " m off");
}

RegisterTable tableOf(const LinkedPieces& pieces)
{
    RegisterTable table(
        {"piece", "context", "verdict", "probability", "off", "inside", "rather", "level", "proposal"});
    for (std::size_t i = 0; i < pieces.placed.size(); ++i) {
        const Placed& placed = pieces.placed[i];
        const Link& link = pieces.links[i];
        const bool judged = link.verdict != LinkVerdict::NoPlace && link.verdict != LinkVerdict::NoOutline;
        const std::string name = nameOfPiece(placed.kind, placed.number);
        table.add({name, std::string(placed.context), verdictShown(link.verdict),
                   judged ? fixed(link.probability, 3) : std::string(),
                   judged ? fixed(link.distanceM, 3) : std::string(), joined(link.inside), rather(link),
                   link.levelDifferenceM == 0 ? std::string() : fixed(link.levelDifferenceM, 3),
                   pieces.proposalOf.contains(name) ? "correction proposed" : ""});
    }
    return table;
}

RegisterTable summaryOf(const LinkedPieces& pieces)
{
    RegisterTable table({"context", "what", "count"});
    for (const auto& [context, counts] : countByContext(pieces.placed))
        for (const auto& [what, count] : counts)
            table.add({context, what, std::to_string(count)});
    return table;
}

void dress(QTableView* table, const QString& name)
{
    table->verticalHeader()->hide();
    table->verticalHeader()->setDefaultSectionSize(table->fontMetrics().height() + 8);
    table->setSelectionBehavior(QAbstractItemView::SelectRows);
    table->setAlternatingRowColors(true);
    table->setShowGrid(false);
    table->setAccessibleName(name);
    table->horizontalHeader()->setStretchLastSection(true);
    table->setSortingEnabled(true);
    table->sortByColumn(-1, Qt::AscendingOrder);
}

} // namespace

class LinksModel final : public TextTableModel {
public:
    using TextTableModel::TextTableModel;
    static constexpr int Verdict = 2;

    QVariant data(const QModelIndex& index, int role) const override
    {
        if (index.column() == Verdict && role == Qt::ForegroundRole &&
            TextTableModel::data(index, Qt::DisplayRole).toString() ==
                words(verdictShown(LinkVerdict::Disagree)))
            return inkpeg::palette().bad;
        return TextTableModel::data(index, role);
    }
};

LinksPage::LinksPage(Session& session, QWidget* parent)
    : QWidget(parent), m_session(session), m_words(new QLabel(this)), m_verdict(new QComboBox(this)),
      m_filter(new QLineEdit(this)), m_take(new QPushButton(tr("&Take the correction…"), this)),
      m_tabs(new QTabWidget(this)), m_model(new LinksModel(this)), m_table(new QTableView(this)),
      m_summary(new TextTableModel(this))
{
    setObjectName("page");
    auto* heading = new QLabel(tr("Finds against outlines"), this);
    heading->setObjectName("heading");
    m_words->setWordWrap(true);
    m_verdict->addItem(tr("every verdict"), QString());
    for (const LinkVerdict verdict : {LinkVerdict::Disagree, LinkVerdict::OnTheEdge, LinkVerdict::Agree,
                                      LinkVerdict::NoOutline, LinkVerdict::NoPlace})
        m_verdict->addItem(words(verdictName(verdict)), words(verdictShown(verdict)));
    m_verdict->setAccessibleName(tr("Verdicts shown"));
    m_verdict->setToolTip(tr("Only pieces with this verdict"));
    m_filter->setPlaceholderText(tr("narrow down: words, or context:1012"));
    m_filter->setAccessibleName(tr("Narrow the pieces down"));
    m_filter->setClearButtonEnabled(true);
    m_take->setToolTip(tr(
        "Put the context that the place speaks for on the chosen records; one act, which can be undone"));
    m_table->setModel(m_model);
    dress(m_table, tr("Finds, samples and timbers"));
    m_table->setToolTip(tr("Enter or a double click leads to the place"));
    auto* summary = new QTableView(this);
    for (QTableView* table : {summary, m_table})
        table->setTabKeyNavigation(false); // Tab leads out of it
    summary->setModel(m_summary);
    dress(summary, tr("What was found in each context"));
    m_tabs->addTab(m_table, tr("By &piece"));
    m_tabs->addTab(summary, tr("By &context"));
    auto* strip = new QHBoxLayout;
    strip->addWidget(m_verdict);
    strip->addWidget(m_filter, 1);
    strip->addWidget(m_take);
    auto* layout = new QVBoxLayout(this);
    layout->setContentsMargins(28, 22, 28, 18);
    layout->setSpacing(10);
    layout->addWidget(heading);
    layout->addWidget(m_words);
    layout->addLayout(strip);
    layout->addWidget(m_tabs, 1);
    setFocusProxy(m_filter);
    m_pool.setMaxThreadCount(1);

    connect(m_filter, &QLineEdit::textChanged, this, &LinksPage::applyFilter);
    connect(m_verdict, &QComboBox::activated, this, &LinksPage::applyFilter);
    connect(m_take, &QPushButton::clicked, this, &LinksPage::askTake);
    connect(m_table, &QTableView::activated, this,
            [this](const QModelIndex& index) { activate(index.row()); });
    connect(m_table->selectionModel(), &QItemSelectionModel::selectionChanged, this,
            &LinksPage::showSelection);
    connect(m_model, &QAbstractItemModel::modelReset, this, &LinksPage::showSelection);
    connect(&session, &Session::recordsChanged, this, [this] {
        if (isVisible())
            link();
    });
    connect(&session, &Session::projectChanged, this, [this] {
        ++m_generation;
        m_pieces.reset();
        m_model->setTable(RegisterTable({}));
        m_summary->setTable(RegisterTable({}));
    });
    showSelection();
}

LinksPage::~LinksPage()
{
    ++m_generation;
    m_pool.waitForDone();
}

void LinksPage::showEvent(QShowEvent*)
{
    link();
}

void LinksPage::link()
{
    if (!m_session.isOpen())
        return;
    m_running = true;
    m_words->setText(tr("Holding finds, samples and timbers against the outlines…"));
    const int generation = ++m_generation;
    m_pool.clear();
    m_pool.start([this, generation, file = m_session.project().file()] {
        const auto linked = linkAll(file, {});
        QMetaObject::invokeMethod(
            this,
            [this, generation, pieces = linked ? *linked : nullptr,
             trouble = linked ? QString() : words(linked.error().message)] {
                arrived(generation, pieces, trouble);
            },
            Qt::QueuedConnection);
    });
}

void LinksPage::arrived(int generation, std::shared_ptr<const LinkedPieces> pieces, const QString& trouble)
{
    if (generation != m_generation)
        return;
    m_running = false;
    m_pieces = std::move(pieces);
    if (!m_pieces) {
        m_words->setText(trouble);
        return;
    }
    const auto count = [&](LinkVerdict verdict) {
        return std::ranges::count(m_pieces->links, verdict, &Link::verdict);
    };
    m_words->setText(
        tr("<b>%1</b> disagree, %2 on the edge, %3 agree, %4 without an outline to hold against, "
           "%5 without a place; %6 corrections are proposed.")
            .arg(count(LinkVerdict::Disagree))
            .arg(count(LinkVerdict::OnTheEdge))
            .arg(count(LinkVerdict::Agree))
            .arg(count(LinkVerdict::NoOutline))
            .arg(count(LinkVerdict::NoPlace))
            .arg(m_pieces->proposals.size()));
    m_model->setTable(inkpeg::tableOf(*m_pieces),
                      {tr("Piece"), tr("Context"), tr("Verdict"), tr("Probability"), tr("Off by m"),
                       tr("Lies inside"), tr("Rather"), tr("Level off m"), tr("Correction")});
    m_summary->setTable(summaryOf(*m_pieces), {tr("Context"), tr("What"), tr("Count")});
    for (const auto& [column, widthEm] :
         {std::pair{0, 15}, {1, 11}, {2, 15}, {3, 15}, {4, 12}, {5, 18}, {6, 17}, {7, 16}})
        m_table->setColumnWidth(column, m_table->fontMetrics().averageCharWidth() * widthEm);
    applyFilter();
}

void LinksPage::applyFilter()
{
    QString query = m_filter->text();
    if (const QString verdict = m_verdict->currentData().toString(); !verdict.isEmpty())
        query = QStringLiteral("verdict:\"%1\" %2").arg(verdict, query);
    m_model->setQuery(query);
}

void LinksPage::showSelection()
{
    const std::vector<Proposal> proposals = chosenProposals();
    m_take->setEnabled(m_session.canWrite() && !proposals.empty());
    m_take->setText(proposals.size() > 1 ? tr("&Take %1 corrections…").arg(proposals.size())
                                         : tr("&Take the correction…"));
}

std::vector<Proposal> LinksPage::chosenProposals() const
{
    std::vector<Proposal> proposals;
    if (!m_pieces)
        return proposals;
    for (const QModelIndex& index : m_table->selectionModel()->selectedRows()) {
        const Placed& placed = m_pieces->placed[m_model->rowAt(index.row())];
        const auto found = m_pieces->proposalOf.find(nameOfPiece(placed.kind, placed.number));
        if (found != m_pieces->proposalOf.end())
            proposals.push_back(m_pieces->proposals[found->second]);
    }
    return proposals;
}

void LinksPage::askTake()
{
    const std::vector<Proposal> proposals = chosenProposals();
    if (proposals.empty())
        return;
    QStringList lines;
    for (const Proposal& proposal : proposals)
        lines << words(proposal.words);
    if (lines.size() > 8)
        lines = lines.mid(0, 8) << tr("and %1 more").arg(proposals.size() - 8);
    auto* dialog = new QInputDialog(this);
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    dialog->setWindowTitle(tr("Take the correction"));
    dialog->setLabelText(lines.join('\n') + tr("\n\nWhy is the place right and the record wrong?"));
    connect(dialog, &QInputDialog::textValueSelected, this,
            [this, proposals](const QString& why) { m_session.takeProposals(proposals, why); });
    present(dialog);
}

void LinksPage::activate(int row)
{
    if (!m_pieces || row < 0 || row >= m_model->rowCount())
        return;
    const std::size_t index = m_model->rowAt(row);
    const Placed& placed = m_pieces->placed[index];
    const Link& link = m_pieces->links[index];
    Matter place;
    place.subjectKind = pointKindName(placed.kind);
    place.subject = std::string(placed.number);
    place.ground = link.position;
    place.words = nameOfPiece(placed.kind, placed.number) + ": " + verdictName(link.verdict);
    const std::string& shownContext =
        link.inside.empty() ? std::string(placed.context) : link.inside.front();
    if (const auto drawing = m_pieces->drawingOfContext.find(shownContext);
        drawing != m_pieces->drawingOfContext.end())
        place.drawing = drawing->second;
    emit placeChosen(place);
}

} // namespace inkpeg
