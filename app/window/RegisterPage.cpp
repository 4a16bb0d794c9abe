// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/RegisterPage.h"

#include <algorithm>

#include <QApplication>
#include <QCheckBox>
#include <QHBoxLayout>
#include <QHeaderView>
#include <QInputDialog>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QTableView>
#include <QVBoxLayout>

#include "app/window/Away.h"
#include "app/window/MappingDialog.h"
#include "app/window/PathField.h"
#include "app/window/Present.h"
#include "app/window/Rehearsal.h"
#include "app/window/TextTableModel.h"
#include "app/window/Words.h"
#include "core/base/ProgressShare.h"

namespace inkpeg {
namespace {

QString outcomeWord(ImportOutcome outcome)
{
    switch (outcome) {
    case ImportOutcome::Added:
        return QObject::tr("+ added");
    case ImportOutcome::Changed:
        return QObject::tr("~ changed");
    case ImportOutcome::Unchanged:
        return QObject::tr("= as it is");
    case ImportOutcome::Refused:
        return QObject::tr("! refused");
    }
    return {};
}

} // namespace

/// Refused lines and files stand out in bold, beside their sign.
class ImportLinesModel final : public TextTableModel {
public:
    using TextTableModel::TextTableModel;

    QVariant data(const QModelIndex& index, int role) const override
    {
        if (role != Qt::FontRole)
            return TextTableModel::data(index, role);
        QFont font = QApplication::font();
        font.setBold(table().cell(rowAt(index.row()), 3).starts_with('!'));
        return font;
    }
};

RegisterPage::RegisterPage(Session& session, QWidget* parent)
    : QWidget(parent), m_session(session),
      m_files(new PathField(PathField::Chooses::FilesToOpen, tr("Register files"), tr("Registers (*.csv)"),
                            this)),
      m_try(new QPushButton(tr("Sho&w what would change"), this)),
      m_match(new QPushButton(tr("&Match the columns…"), this)),
      m_take(new QPushButton(tr("&Take them into the project"), this)),
      m_skipRefused(new QCheckBox(tr("Take the good &lines although others are refused"), this)),
      m_summary(new QLabel(this)), m_lines(new QTableView(this)), m_model(new ImportLinesModel(this))
{
    setObjectName("page");
    auto* heading = new QLabel(tr("Registers"), this);
    heading->setObjectName("heading");
    auto* explain =
        new QLabel(tr("Choose CSV files, or a folder that holds them: people, trenches, pegs, "
                      "sheets, drawings, contexts, finds, samples, "
                      "timbers, photographs, pins. What each line would change is shown first; "
                      "nothing is taken until you say so. Other names of columns are matched by "
                      "hand once, and remembered."),
                   this);
    explain->setWordWrap(true);
    m_files->field()->setObjectName("registerFiles");
    m_files->field()->setPlaceholderText(
        tr("paths of CSV files with semicolons between them, or a folder; then Enter"));
    m_take->setObjectName("chief");
    m_take->setEnabled(false);
    m_take->setToolTip(tr("Takes the lines shown; each file is one act that can be undone (Ctrl+Shift+I)"));
    m_try->setToolTip(tr("Tries the files on a copy of the project, line by line (Ctrl+Shift+W)"));
    m_summary->setWordWrap(true);
    m_match->setToolTip(
        tr("Say which column of the chosen file is which; remembered in the project (Ctrl+Shift+M)"));
    m_lines->setModel(m_model);
    m_lines->verticalHeader()->setDefaultSectionSize(m_lines->fontMetrics().height() + 8);
    m_lines->horizontalHeader()->setStretchLastSection(true);
    m_lines->verticalHeader()->hide();
    m_lines->setTabKeyNavigation(false); // Tab leads out of it
    m_lines->setSelectionBehavior(QAbstractItemView::SelectRows);
    m_lines->setShowGrid(false);
    m_lines->setAlternatingRowColors(true);
    m_lines->setAccessibleName(tr("What each line becomes"));

    auto* acts = new QHBoxLayout;
    acts->addWidget(m_try);
    acts->addWidget(m_match);
    acts->addWidget(m_take);
    acts->addStretch(1);
    auto* layout = new QVBoxLayout(this);
    layout->setContentsMargins(28, 22, 28, 18);
    layout->setSpacing(12);
    layout->addWidget(heading);
    layout->addWidget(explain);
    layout->addWidget(m_files);
    layout->addWidget(m_skipRefused);
    layout->addLayout(acts);
    layout->addWidget(m_summary);
    layout->addWidget(m_lines, 1);

    connect(m_files, &PathField::accepted, this, &RegisterPage::tryThem);
    connect(m_files, &PathField::changed, this, [this] {
        m_asShown = false;
        m_take->setEnabled(false);
    });
    connect(m_try, &QPushButton::clicked, this, &RegisterPage::tryThem);
    connect(m_match, &QPushButton::clicked, this, &RegisterPage::askMatch);
    connect(&session, &Session::projectChanged, this, [this] {
        m_matches.clear();
        m_tried.clear();
        m_asShown = false;
        m_model->setTable(RegisterTable({}));
        m_summary->clear();
        m_take->setEnabled(false);
    });
    connect(m_take, &QPushButton::clicked, this, &RegisterPage::takeThem);
    connect(m_skipRefused, &QCheckBox::toggled, this, [this] {
        if (!m_files->text().isEmpty())
            tryThem();
    });
}

/// The files named, those of a folder included, in the order in which registers lean on each other.
std::vector<std::filesystem::path> RegisterPage::chosen() const
{
    std::vector<std::filesystem::path> files;
    for (const QString& text : m_files->paths()) {
        const std::filesystem::path path(text.toStdString());
        std::error_code trouble;
        if (!std::filesystem::is_directory(path, trouble)) {
            files.push_back(path);
            continue;
        }
        for (const auto& entry : std::filesystem::directory_iterator(path, trouble))
            if (registerOfFileName(entry.path()))
                files.push_back(entry.path());
    }
    const auto rank = [](const std::filesystem::path& file) {
        const auto kind = registerOfFileName(file);
        return kind ? static_cast<int>(*kind) : 1000;
    };
    std::ranges::stable_sort(files, {}, rank);
    return files;
}

ImportSettings RegisterPage::settingsFor(const std::filesystem::path& file) const
{
    const auto match = m_matches.find(file);
    return match == m_matches.end() ? ImportSettings() : match->second;
}

bool RegisterPage::isMatchable(const std::filesystem::path& file)
{
    return static_cast<bool>(readCsvFile(file, UnevenRows::Kept));
}

/// Takes the files into a copy of the project, each with all its good lines, to hear of every line.
RegisterPage::Trial RegisterPage::trialOf(const std::filesystem::path& project,
                                          const std::vector<std::filesystem::path>& files,
                                          const Progress& progress) const
{
    Trial trial;
    Result<Rehearsal> rehearsal = Rehearsal::of(project);
    if (!rehearsal) {
        trial.trouble = words(rehearsal.error().message);
        return trial;
    }
    rehearsal->project().setReasonAsked([&](const std::vector<std::string>& sealed) {
        trial.seals.insert(trial.seals.end(), sealed.begin(), sealed.end());
        return std::string("rehearsed");
    });
    for (const std::filesystem::path& file : files) {
        ImportSettings settings = settingsFor(file);
        settings.skipRefused = true;
        const double size = double(files.size()), before = double(trial.tried.size());
        settings.progress = shareOf(progress, before / size, (before + 1) / size);
        Result<ImportReport> report = importRegister(rehearsal->project(), file, settings);
        if (report)
            trial.tried.push_back({file, std::move(report.value()), {}});
        else if (report.error().code == ErrorCode::Cancelled) {
            trial.trouble = tr("Stopped: not every register was tried, so none can be taken yet.");
            return trial;
        } else
            trial.tried.push_back({file, std::nullopt, words(report.error().message), isMatchable(file)});
    }
    return trial;
}

void RegisterPage::tryThem()
{
    if (!m_session.isOpen())
        return;
    Trial trial =
        answerFromAway<Trial>(this, tr("Trying the registers on a copy"),
                              [this, project = m_session.project().file(), files = chosen()](
                                  const Progress& progress) { return trialOf(project, files, progress); });
    if (!trial.trouble.isEmpty()) {
        m_tried.clear();
        m_asShown = false;
        m_take->setEnabled(false);
        m_model->setTable(RegisterTable({}));
        m_summary->setText(trial.trouble);
        return;
    }
    m_seals = std::move(trial.seals);
    m_tried = std::move(trial.tried);
    m_asShown = true;
    show(m_tried, false);
    m_take->setEnabled(whyNotTaken().isEmpty());
    if (m_take->isEnabled())
        m_take->setFocus();
    else if (std::ranges::any_of(m_tried, &Tried::matchable))
        m_match->setFocus();
}

QString RegisterPage::whyNotTaken() const
{
    if (!m_session.canWrite())
        return tr("This project is open for reading only");
    if (!m_asShown || m_tried.empty())
        return tr("Name the register files and press Enter first; then what they would change is shown");
    if (std::ranges::any_of(m_tried, [](const Tried& each) { return !each.report; }))
        return tr("A file could not be read: mend it, match its columns, or leave it out");
    if (!m_skipRefused->isChecked() &&
        std::ranges::any_of(m_tried, [](const Tried& each) { return each.report->refused > 0; }))
        return tr("Lines are refused: mend the file, or choose to take the good lines");
    return {};
}

/// Changing what is signed off needs a reason, asked before the work begins. False if none was given.
bool RegisterPage::askWhy(QString& why)
{
    if (m_seals.empty())
        return true;
    QStringList names;
    for (const std::string& name : m_seals)
        names << words(name);
    why = QInputDialog::getText(this, tr("Signed off"),
                                tr("Taking these registers in changes what is signed off: %1.\nThe seals "
                                   "are broken and it goes back to traced. Why?")
                                    .arg(names.join(", ")));
    return !why.trimmed().isEmpty();
}

void RegisterPage::takeThem()
{
    QString why;
    if (!askWhy(why))
        return;
    Result<Project> project = m_session.lend();
    if (!project) {
        m_summary->setText(words(project.error().message));
        return;
    }
    std::vector<Tried> taking = answerFromAway<std::vector<Tried>>(
        this, tr("Taking the registers in"),
        [this, &project, files = chosen(), why = why.toStdString(),
         skip = m_skipRefused->isChecked()](const Progress& progress) {
            std::vector<Tried> done;
            for (const std::filesystem::path& file : files) {
                ImportSettings settings = settingsFor(file);
                settings.skipRefused = skip;
                settings.why = why;
                const double size = double(files.size()), before = double(done.size());
                settings.progress = shareOf(progress, before / size, (before + 1) / size);
                Result<ImportReport> taken = importRegister(*project, file, settings);
                if (!taken) {
                    // Each file is an act of its own: those taken stay, and what follows may lean on this one.
                    done.push_back({file, std::nullopt, words(taken.error().message)});
                    done.back().stopped = taken.error().code == ErrorCode::Cancelled;
                    break;
                }
                done.push_back({file, std::move(taken.value()), {}});
            }
            return done;
        });
    m_session.takeBack(std::move(*project));
    for (const Tried& each : taking)
        if (each.report)
            m_matches.erase(each.file); // remembered in the project now
    show(taking, true);
    m_asShown = false;
    m_take->setEnabled(false);
    emit this->taken();
}

/// For the file of the line that is chosen, else for the first that does not fit, else for the first.
void RegisterPage::askMatch()
{
    if (!m_session.isOpen())
        return;
    const std::vector<std::filesystem::path> files = chosen();
    std::filesystem::path file = files.empty() ? std::filesystem::path() : files.front();
    for (const Tried& each : m_tried)
        if (each.matchable) {
            file = each.file;
            break;
        }
    if (const QModelIndex at = m_lines->currentIndex(); at.isValid())
        for (const Tried& each : m_tried)
            if (words(each.file.filename().string()) == at.siblingAtColumn(0).data().toString())
                file = each.file;
    if (file.empty()) {
        m_summary->setText(tr("Choose a file first."));
        return;
    }
    Result<CsvTable> table = answerFromAway<Result<CsvTable>>(
        this, tr("Reading the file"), [&](const Progress&) { return readCsvFile(file, UnevenRows::Kept); },
        MayStop::No);
    if (!table) {
        m_summary->setText(words(table.error().message));
        return;
    }
    const std::optional<RegisterKind> known = settingsFor(file).kind;
    auto* dialog = new MappingDialog(
        file, std::move(*table), known ? known : registerOfFileName(file),
        [this](RegisterKind kind) { return rememberedMapping(m_session.project(), kind); }, this);
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    connect(dialog, &QDialog::accepted, this, [this, dialog, file] {
        m_matches[file] = dialog->settings();
        // Not from within the dialog's own farewell: trying waits in an event loop, in which the dialog may
        // be deleted before it has said that it is finished.
        QMetaObject::invokeMethod(this, &RegisterPage::tryThem, Qt::QueuedConnection);
    });
    present(dialog);
}

void RegisterPage::show(const std::vector<Tried>& tried, bool applied)
{
    RegisterTable lines({"register", "line", "number", "becomes", "words"});
    int added = 0, changed = 0, unchanged = 0, refused = 0, broken = 0, stopped = 0;
    for (const Tried& each : tried) {
        const std::string file = each.file.filename().string();
        if (!each.report) {
            ++(each.stopped ? stopped : broken);
            const QString words_ =
                each.matchable ? each.trouble + tr(" (or match the columns)") : each.trouble;
            lines.add({file,
                       {},
                       {},
                       (each.stopped ? tr("! stopped") : tr("! not read")).toStdString(),
                       words_.toStdString()});
            continue;
        }
        added += each.report->added;
        changed += each.report->changed;
        unchanged += each.report->unchanged;
        refused += each.report->refused;
        lines.add({file, {}, {}, tr("read as").toStdString(), each.report->reading});
        for (const std::string& remark : each.report->remarks)
            lines.add({file, {}, {}, tr("remark").toStdString(), remark});
        // What was refused comes first: it must not be looked for among hundreds of good lines.
        for (const bool refusedOnes : {true, false})
            for (const ImportLine& line : each.report->lines)
                if ((line.outcome == ImportOutcome::Refused) == refusedOnes)
                    lines.add({file, std::to_string(line.line), line.number,
                               outcomeWord(line.outcome).toStdString(), line.message});
    }
    if (!applied)
        for (const std::string& sealed : m_seals)
            lines.add({{},
                       {},
                       {},
                       tr("! seal").toStdString(),
                       tr("%1 is signed off and would be changed: a reason will be asked for")
                           .arg(words(sealed))
                           .toStdString()});
    m_model->setTable(std::move(lines),
                      {tr("Register"), tr("Line"), tr("Number"), tr("Becomes"), tr("Words")});
    for (const auto& [column, letters] : {std::pair{0, 18}, {1, 7}, {2, 14}, {3, 12}})
        m_lines->setColumnWidth(column, m_lines->fontMetrics().averageCharWidth() * letters);
    if (tried.empty())
        m_summary->setText(
            tr("No register was found there. Registers are known by their file names, "
               "contexts.csv and the like; name another file to match its columns by hand."));
    else
        m_summary->setText(
            tr("<b>%1</b> %2 added, %3 changed, %4 as they are, %5 refused%6.")
                .arg(applied ? tr("Taken:") : tr("Would be:"))
                .arg(added)
                .arg(changed)
                .arg(unchanged)
                .arg(refused)
                .arg((broken ? tr("; %1 file(s) could not be read").arg(broken) : QString()) +
                     (stopped ? tr("; stopped, the files before are taken") : QString())));
}

} // namespace inkpeg
