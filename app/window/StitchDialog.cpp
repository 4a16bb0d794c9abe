// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/StitchDialog.h"

#include <cmath>

#include <QFormLayout>
#include <QImage>
#include <QLabel>
#include <QLineEdit>
#include <QProgressBar>
#include <QPushButton>
#include <QVBoxLayout>

#include "app/window/PathField.h"
#include "app/window/Present.h"
#include "app/window/Words.h"
#include "core/base/ProgressShare.h"
#include "core/film/Stitch.h"

namespace inkpeg {
namespace {

constexpr int PicturePx = 520;

struct Stitched {
    QString trouble, words;
    QImage picture;
};

/// A small picture of a scan; null when it cannot be read.
QImage pictureOf(const std::filesystem::path& file)
{
    const Result<Scan> scan = Scan::open(file);
    if (!scan)
        return {};
    const int width = scan->facts().widthPx, height = scan->facts().heightPx;
    const double share = std::min(1.0, double(PicturePx) / std::max(width, height));
    const Result<RgbImage> image =
        scan->readSoundRgb({0, 0, width, height}, std::max(1, static_cast<int>(width * share)),
                           std::max(1, static_cast<int>(height * share)));
    if (!image)
        return {};
    return QImage(image->pixels.data(), image->width, image->height, 3 * image->width,
                  QImage::Format_RGB888)
        .copy();
}

Stitched stitch(const std::filesystem::path& one, const std::filesystem::path& other,
                const std::filesystem::path& output, const Progress& progress)
{
    const auto failed = [](const Error& error) { return Stitched{words(error.message), {}, {}}; };
    const Result<Scan> first = Scan::open(one), second = Scan::open(other);
    if (!first || !second)
        return failed(first ? second.error() : first.error());
    const auto dpiOf = [](const Scan& scan) { return std::sqrt(scan.facts().dpiX * scan.facts().dpiY); };
    const HalvesDpi dpi{dpiOf(*first), dpiOf(*second)};
    const Result<Stitching> match = matchHalves(
        *first, *second, dpi, std::filesystem::absolute(output).parent_path(), shareOf(progress, 0, 0.5));
    if (!match)
        return failed(match.error());
    const Result<StitchedScan> sheet =
        stitchHalves(*first, *second, *match, dpi, output, shareOf(progress, 0.5, 1));
    if (!sheet)
        return failed(sheet.error());
    Stitched done;
    done.words =
        QObject::tr("✓ %1 × %2 px. %3 places found on both halves; misfit %4 mm (root mean square), "
                    "%5 mm at worst. Give the sheet this scan on the drawing's card.")
            .arg(sheet->widthPx)
            .arg(sheet->heightPx)
            .arg(match->places.size())
            .arg(match->misfitMm, 0, 'f', 3)
            .arg(match->worstMisfitMm, 0, 'f', 3);
    for (const std::string& damage : sheet->damage)
        done.words += "\n! " + words(damage);
    done.picture = pictureOf(sheet->file);
    return done;
}

} // namespace

StitchDialog::StitchDialog(QWidget* parent)
    : QDialog(parent), m_work(new LongWork(this)),
      m_first(new PathField(PathField::Chooses::FileToOpen, tr("First half"),
                            tr("Scans (*.tif *.tiff *.jpg *.jpeg *.png)"), this)),
      m_second(new PathField(PathField::Chooses::FileToOpen, tr("Second half"),
                             tr("Scans (*.tif *.tiff *.jpg *.jpeg *.png)"), this)),
      m_output(new PathField(PathField::Chooses::FileToWrite, tr("Whole sheet"), tr("TIFF (*.tif)"), this)),
      m_stitch(new QPushButton(tr("&Stitch"), this)), m_stop(new QPushButton(tr("S&top"), this)),
      m_progress(new QProgressBar(this)), m_timeLeft(new QLabel(this)), m_outcome(new QLabel(this)),
      m_picture(new QLabel(this))
{
    setWindowTitle(tr("Stitch two halves"));
    setMinimumWidth(620);
    m_first->field()->setObjectName("stitchFirst");
    m_second->field()->setObjectName("stitchSecond");
    m_output->field()->setObjectName("stitchOutput");
    m_output->field()->setPlaceholderText(tr("a TIFF that is not there yet"));
    m_outcome->setObjectName("stitchOutcome");
    makeChief(m_stitch);
    m_stop->setObjectName("stitchStop");
    m_stitch->setToolTip(
        tr("Finds the strip that both show by its ink, and writes one scan; the halves stay"));
    m_stop->setToolTip(tr("Stops; nothing half written stays behind"));
    m_outcome->setWordWrap(true);
    m_outcome->setTextInteractionFlags(Qt::TextSelectableByMouse);
    m_outcome->setText(tr("Both halves must show the same strip of drawn film, some 3 cm wide or more."));
    m_picture->setAlignment(Qt::AlignCenter);
    m_picture->setAccessibleName(tr("The stitched sheet"));
    m_progress->setRange(0, 1000);
    auto* form = new QFormLayout;
    form->setFieldGrowthPolicy(QFormLayout::AllNonFixedFieldsGrow);
    form->setVerticalSpacing(10);
    form->addRow(tr("&First half"), m_first);
    form->addRow(tr("Se&cond half"), m_second);
    form->addRow(tr("&Whole sheet"), m_output);
    auto* acts = new QHBoxLayout;
    acts->addWidget(m_stitch);
    acts->addWidget(m_stop);
    acts->addWidget(m_progress, 1);
    acts->addWidget(m_timeLeft);
    acts->addStretch(0);
    auto* layout = new QVBoxLayout(this);
    layout->setSpacing(12);
    layout->addLayout(form);
    layout->addLayout(acts);
    layout->addWidget(m_outcome);
    layout->addWidget(m_picture, 1);
    connect(m_stitch, &QPushButton::clicked, this, &StitchDialog::start);
    connect(m_stop, &QPushButton::clicked, m_work, &LongWork::cancel);
    connect(m_work, &LongWork::progressed, this, [this](double share, const QString& timeLeft) {
        m_progress->setValue(static_cast<int>(share * 1000));
        m_timeLeft->setText(timeLeft.isEmpty() ? QString() : tr("%1 left").arg(timeLeft));
    });
    refresh();
}

void StitchDialog::open()
{
    show();
    raise();
    activateWindow();
    m_first->field()->setFocus();
}

void StitchDialog::refresh()
{
    const bool running = m_work->running();
    m_stitch->setEnabled(!running);
    for (QWidget* part : std::initializer_list<QWidget*>{m_stop, m_progress, m_timeLeft})
        part->setVisible(running);
}

void StitchDialog::start()
{
    if (m_work->running())
        return;
    m_picture->clear();
    for (PathField* field : {m_first, m_second, m_output})
        if (field->text().isEmpty()) {
            m_outcome->setText(tr("! Name both halves, and the file to write."));
            field->field()->setFocus();
            return;
        }
    QString name = m_output->text();
    if (!name.endsWith(".tif", Qt::CaseInsensitive) && !name.endsWith(".tiff", Qt::CaseInsensitive)) {
        name += ".tif";
        m_output->setText(name);
    }
    if (std::filesystem::exists(m_output->path())) {
        m_outcome->setText(tr("! There is a file %1; name one that is not there yet.").arg(name));
        m_output->field()->setFocus();
        return;
    }
    m_outcome->setText(tr("Looking for what both halves show…"));
    m_progress->setValue(0);
    m_timeLeft->clear();
    const auto stitched = std::make_shared<Stitched>();
    m_work->start([stitched, one = m_first->path(), other = m_second->path(), output = m_output->path()](
                      const Progress& progress) { *stitched = stitch(one, other, output, progress); },
                  [this, stitched] {
                      refresh();
                      m_outcome->setText(stitched->trouble.isEmpty() ? stitched->words
                                                                     : "! " + stitched->trouble);
                      if (!stitched->picture.isNull())
                          m_picture->setPixmap(QPixmap::fromImage(stitched->picture));
                      m_stitch->setFocus();
                  });
    refresh();
    m_stop->setFocus();
}

} // namespace inkpeg
