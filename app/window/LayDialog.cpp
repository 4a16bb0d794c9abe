// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/LayDialog.h"

#include <QCheckBox>
#include <QComboBox>
#include <QFormLayout>
#include <QLabel>
#include <QLineEdit>
#include <QLocale>
#include <QProgressBar>
#include <QPushButton>
#include <QRadioButton>
#include <QTextBrowser>
#include <QVBoxLayout>

#include "app/window/PathField.h"
#include "app/window/Present.h"
#include "app/window/Words.h"

namespace inkpeg {
namespace {

QCheckBox* choice(const QString& text, const QString& tip, QWidget* parent)
{
    auto* box = new QCheckBox(text, parent);
    box->setToolTip(tip);
    return box;
}

QString lineOf(const DrawingLaid& laid)
{
    const QString number = words(laid.drawing).toHtmlEscaped();
    QString line;
    switch (laid.outcome) {
    case LaidOutcome::Laid:
        line = QObject::tr("✓ <b>%1</b> laid: %2 × %3 px of %4 mm")
                   .arg(number)
                   .arg(laid.report.widthPx)
                   .arg(laid.report.heightPx)
                   .arg(laid.report.pixelM * 1000, 0, 'f', 2);
        break;
    case LaidOutcome::UpToDate:
        line = QObject::tr("= <b>%1</b> is up to date").arg(number);
        break;
    case LaidOutcome::Failed:
        line =
            QObject::tr("! <b>%1</b> not laid: %2").arg(number, words(laid.error.message).toHtmlEscaped());
        break;
    case LaidOutcome::Stopped:
        line = QObject::tr("– <b>%1</b> not laid: stopped").arg(number);
        break;
    }
    if (laid.outcome == LaidOutcome::Laid || laid.outcome == LaidOutcome::UpToDate) {
        if (!laid.pinsHold)
            line += QObject::tr("<br>! its pins do not hold: the picture lies no better than they do");
        for (const std::string& damage : laid.report.damage)
            line += "<br>! " + words(damage).toHtmlEscaped();
    }
    return line;
}

} // namespace

LayDialog::LayDialog(Session& session, QWidget* parent)
    : QDialog(parent), m_session(session), m_work(new LongWork(this)), m_one(new QRadioButton(this)),
      m_all(new QRadioButton(this)),
      m_folder(new PathField(PathField::Chooses::Folder, tr("Folder for laid films"), {}, this)),
      m_kernel(new QComboBox(this)), m_packing(new QComboBox(this)), m_pixelMm(new QLineEdit(this)),
      m_cloud(choice(tr("&Cloud-optimised layout"),
                     tr("Overviews first, so that a reader over a network fetches only what it shows"),
                     this)),
      m_worldFile(choice(tr("&World file beside it"), tr("For readers that know no GeoTIFF"), this)),
      m_again(choice(
          tr("Lay what is up to date &again"),
          tr("Otherwise a drawing is passed over whose scan, pins and settings have not changed"), this)),
      m_lay(new QPushButton(tr("&Lay"), this)), m_stop(new QPushButton(tr("&Stop"), this)),
      m_progress(new QProgressBar(this)), m_timeLeft(new QLabel(this)), m_outcome(new QTextBrowser(this))
{
    setWindowTitle(tr("Lay into the site grid"));
    resize(680, 560);
    m_folder->field()->setObjectName("layFolder");
    m_kernel->setObjectName("layKernel");
    m_packing->setObjectName("layPacking");
    m_pixelMm->setObjectName("layPixel");
    makeChief(m_lay);
    m_stop->setObjectName("layStop");
    m_one->setObjectName("layOne");
    m_all->setObjectName("layAll");
    m_kernel->addItem(tr("bilinear"), static_cast<int>(Kernel::Bilinear));
    m_kernel->addItem(tr("cubic: sharper"), static_cast<int>(Kernel::Cubic));
    m_kernel->addItem(tr("nearest: values as scanned"), static_cast<int>(Kernel::Nearest));
    m_packing->addItem(tr("DEFLATE: any reader"), static_cast<int>(Packing::Deflate));
    m_packing->addItem(tr("ZSTD: newer readers"), static_cast<int>(Packing::Zstd));
    m_packing->addItem(tr("none: fastest, largest"), static_cast<int>(Packing::None));
    m_pixelMm->setPlaceholderText(tr("as scanned"));
    m_lay->setToolTip(tr("Writes a GeoTIFF for each drawing; a file is whole or not there at all"));
    m_stop->setToolTip(tr("Stops; what is finished stays, nothing half written does"));
    m_outcome->setAccessibleName(tr("What was laid"));
    m_outcome->setPlaceholderText(tr("What was laid, and what could not be, is told here."));
    m_progress->setRange(0, 1000);
    makeLayout();
    connect(m_lay, &QPushButton::clicked, this, &LayDialog::start);
    connect(m_stop, &QPushButton::clicked, m_work, &LongWork::cancel);
    connect(m_work, &LongWork::progressed, this, [this](double share, const QString& timeLeft) {
        m_progress->setValue(static_cast<int>(share * 1000));
        m_timeLeft->setText(timeLeft.isEmpty() ? QString() : tr("%1 left").arg(timeLeft));
    });
    connect(&session, &Session::projectChanged, this, [this] {
        m_work->cancel();
        m_folder->setText({});
        m_lines.clear();
        m_outcome->clear();
        hide();
    });
}

void LayDialog::makeLayout()
{
    auto* form = new QFormLayout;
    form->setFieldGrowthPolicy(QFormLayout::AllNonFixedFieldsGrow);
    form->setVerticalSpacing(10);
    auto* which = new QVBoxLayout;
    which->addWidget(m_one);
    which->addWidget(m_all);
    form->addRow(tr("Which"), which);
    form->addRow(tr("&Folder"), m_folder);
    form->addRow(tr("&Kernel"), m_kernel);
    form->addRow(tr("&Packing"), m_packing);
    form->addRow(tr("Pi&xel on the ground, mm"), m_pixelMm);
    auto* choices = new QVBoxLayout;
    for (QCheckBox* box : {m_cloud, m_worldFile, m_again})
        choices->addWidget(box);
    form->addRow({}, choices);
    auto* acts = new QHBoxLayout;
    acts->addWidget(m_lay);
    acts->addWidget(m_stop);
    acts->addWidget(m_progress, 1);
    acts->addWidget(m_timeLeft);
    acts->addStretch(0);
    auto* layout = new QVBoxLayout(this);
    layout->setSpacing(12);
    layout->addLayout(form);
    layout->addLayout(acts);
    layout->addWidget(m_outcome, 1);
}

void LayDialog::open()
{
    if (!m_session.isOpen())
        return;
    refresh();
    // A run that ends leaves the choice as it was: only a window that is opened anew proposes one.
    if (!isVisible() && !m_work->running())
        (m_one->isEnabled() ? m_one : m_all)->setChecked(true);
    show();
    raise();
    activateWindow();
    (m_work->running() ? m_stop : m_lay)->setFocus();
}

void LayDialog::refresh()
{
    const auto drawing = m_session.drawing();
    const std::size_t plans = layableDrawings(m_session.project()).size();
    const bool one = drawing && !isUpright(drawing->kind);
    m_one->setEnabled(one);
    m_one->setText(
        !drawing ? tr("The &drawing at hand (there is none)")
        : one    ? tr("The &drawing at hand, %1").arg(words(drawing->number))
                 : tr("The drawing at hand, %1, shows a face and is not laid").arg(words(drawing->number)));
    if (!one && !m_work->running())
        m_all->setChecked(true);
    m_all->setText(tr("All p&lans, %1").arg(plans));
    if (m_folder->text().isEmpty())
        m_folder->setText(words((m_session.project().file().parent_path() / "laid").string()));
    const bool running = m_work->running();
    m_lay->setEnabled(!running);
    for (QWidget* part : std::initializer_list<QWidget*>{m_stop, m_progress, m_timeLeft})
        part->setVisible(running);
}

std::optional<LaySettings> LayDialog::settings()
{
    LaySettings settings;
    settings.kernel = static_cast<Kernel>(m_kernel->currentData().toInt());
    settings.packing = static_cast<Packing>(m_packing->currentData().toInt());
    settings.cloudOptimised = m_cloud->isChecked();
    settings.worldFile = m_worldFile->isChecked();
    if (const QString text = m_pixelMm->text().trimmed(); !text.isEmpty()) {
        bool number = false;
        const double mm = QString(text).replace(',', '.').toDouble(&number);
        if (!number || !(mm > 0)) {
            m_pixelMm->setFocus();
            refuse(tr("The pixel's size “%1” is no number above 0; leave it empty for the scan's own.")
                       .arg(text));
            return std::nullopt;
        }
        settings.pixelM = mm / 1000;
    }
    return settings;
}

void LayDialog::refuse(const QString& words)
{
    m_outcome->setHtml("<p><b>! " + words.toHtmlEscaped() + "</b></p>");
}

void LayDialog::start()
{
    if (!m_session.isOpen() || m_work->running())
        return;
    const auto chosen = settings();
    if (!chosen)
        return;
    if (m_folder->text().isEmpty()) {
        m_folder->setFocus();
        return refuse(tr("Name a folder first."));
    }
    std::vector<Drawing> drawings;
    if (m_one->isChecked()) {
        if (const auto drawing = m_session.drawing())
            drawings.push_back(*drawing);
    } else {
        drawings = layableDrawings(m_session.project());
    }
    if (drawings.empty())
        return refuse(tr("There is no plan to lay."));
    m_lines.clear();
    m_outcome->clear();
    m_progress->setValue(0);
    m_timeLeft->clear();
    const auto results = std::make_shared<Result<std::vector<DrawingLaid>>>(std::vector<DrawingLaid>());
    const auto job = [this, results, file = m_session.project().file(), drawings, folder = m_folder->path(),
                      chosen = *chosen, again = m_again->isChecked()](const Progress& progress) {
        // Through a reading access of its own: fitting many drawings takes its time as well.
        const Result<Project> project = Project::open(file, Access::Read);
        const Result<LayPlan> plan =
            project ? planLaying(*project, drawings, folder, chosen) : Result<LayPlan>(project.error());
        if (!plan) {
            *results = plan.error();
            return;
        }
        const LayWatch watch{
            progress, [this](const DrawingLaid& laid) { m_work->tell([this, laid] { addLine(laid); }); }};
        *results = layDrawings(*plan, 0, again, watch);
    };
    m_work->start(job, [this, results] {
        if (!*results)
            refuse(words(results->error().message));
        else
            finished(**results);
        refresh();
    });
    refresh();
    m_stop->setFocus();
}

void LayDialog::addLine(const DrawingLaid& laid)
{
    m_lines << lineOf(laid);
    m_outcome->setHtml("<p>" + m_lines.join("</p><p>") + "</p>");
}

void LayDialog::finished(const std::vector<DrawingLaid>& results)
{
    int counts[4] = {};
    QStringList lines;
    for (const DrawingLaid& laid : results) {
        ++counts[static_cast<int>(laid.outcome)];
        lines << lineOf(laid);
    }
    QString summary = tr("%1 laid, %2 up to date, %3 failed").arg(counts[0]).arg(counts[1]).arg(counts[2]);
    if (counts[3] > 0)
        summary += tr(", %1 stopped; lay once more to go on from here").arg(counts[3]);
    m_outcome->setHtml("<p><b>" + summary + "</b><br>" + m_folder->text().toHtmlEscaped() + "</p><p>" +
                       lines.join("</p><p>") + "</p>");
    m_lay->setFocus();
}

} // namespace inkpeg
