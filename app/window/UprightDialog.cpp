// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/UprightDialog.h"

#include <cmath>

#include <QLabel>
#include <QPushButton>
#include <QVBoxLayout>

#include "app/window/Present.h"
#include "app/window/SheetPreview.h"
#include "app/window/Words.h"
#include "core/film/Skew.h"

namespace inkpeg {
namespace {

constexpr int PreviewPx = 1400;

/// What the other thread finds out.
struct Looked {
    QString trouble;
    QImage picture;
    double widthPx = 1, heightPx = 1;
    std::optional<Skew> skew;
};

Looked look(const std::filesystem::path& file, double dpi)
{
    Looked looked;
    const Result<Scan> scan = Scan::open(file);
    if (!scan) {
        looked.trouble = words(scan.error().message);
        return looked;
    }
    const int width = scan->facts().widthPx, height = scan->facts().heightPx;
    looked.widthPx = width;
    looked.heightPx = height;
    const double share = std::min(1.0, double(PreviewPx) / std::max(width, height));
    const Result<RgbImage> image =
        scan->readSoundRgb({0, 0, width, height}, std::max(1, static_cast<int>(width * share)),
                           std::max(1, static_cast<int>(height * share)));
    if (!image) {
        looked.trouble = words(image.error().message);
        return looked;
    }
    looked.picture =
        QImage(image->pixels.data(), image->width, image->height, 3 * image->width, QImage::Format_RGB888)
            .copy();
    if (const Result<Skew> skew = findSkew(*scan, dpi))
        looked.skew = *skew;
    else
        looked.trouble = words(skew.error().message);
    return looked;
}

} // namespace

UprightDialog::UprightDialog(Session& session, QWidget* parent)
    : QDialog(parent), m_session(session), m_work(new LongWork(this)), m_words(new QLabel(this)),
      m_preview(new SheetPreview(this)), m_take(new QPushButton(tr("&Keep this part"), this)),
      m_whole(new QPushButton(tr("&Whole sheet"), this))
{
    setWindowTitle(tr("Sheet upright"));
    resize(760, 620);
    m_words->setWordWrap(true);
    m_words->setObjectName("uprightWords");
    makeChief(m_take);
    m_whole->setObjectName("wholeSheet");
    m_take->setToolTip(
        tr("The bright part becomes the drawing's part of the sheet: what is laid ends there"));
    m_whole->setToolTip(tr("The drawing takes up all of the sheet"));
    auto* acts = new QHBoxLayout;
    acts->addWidget(m_take);
    acts->addWidget(m_whole);
    acts->addStretch(1);
    auto* layout = new QVBoxLayout(this);
    layout->setSpacing(12);
    layout->addWidget(m_words);
    layout->addWidget(m_preview, 1);
    layout->addLayout(acts);
    connect(m_preview, &SheetPreview::frameDrawn, this,
            [this] { m_take->setEnabled(m_session.canWrite()); });
    connect(m_take, &QPushButton::clicked, this, [this] { m_session.setFrame(m_preview->frame()); });
    connect(m_whole, &QPushButton::clicked, this, [this] { m_session.setFrame({}); });
    connect(&session, &Session::recordsChanged, this, &UprightDialog::showFrame);
    connect(&session, &Session::projectChanged, this, &QDialog::hide);
    connect(&session, &Session::drawingChosen, this, [this] {
        if (isVisible())
            read();
    });
}

void UprightDialog::open()
{
    if (!m_session.scene().drawing || m_session.scene().drawing->widthPx == 0) {
        emit m_session.said(tr("There is no drawing with a scan at hand"), true);
        return;
    }
    show();
    raise();
    activateWindow();
    read();
}

void UprightDialog::showFrame()
{
    if (const auto drawing = m_session.drawing(); drawing && drawing->id == m_drawing) {
        m_preview->setFrame(drawing->frame);
        m_take->setEnabled(false);
        m_whole->setEnabled(m_session.canWrite() && !drawing->frame.empty());
    }
}

void UprightDialog::read()
{
    const auto& drawing = m_session.scene().drawing;
    if (!drawing || drawing->widthPx == 0 || m_work->running())
        return;
    m_drawing = drawing->record.id;
    m_preview->setSheet({}, 1, 1, 0, false);
    m_words->setText(tr("Looking at the sheet of %1…").arg(words(drawing->record.number)));
    const auto looked = std::make_shared<Looked>();
    const double dpi = std::sqrt(drawing->film.dpiX * drawing->film.dpiY);
    m_work->start(
        [looked, file = drawing->scanFile, dpi](const Progress&) { *looked = look(file, dpi); },
        [this, looked, mirrored = drawing->film.faceDown] {
            const auto now = m_session.drawing();
            if (!now || now->id != m_drawing)
                return read(); // another drawing has come to hand meanwhile
            const double turn = looked->skew ? looked->skew->angleRad : 0;
            m_preview->setSheet(looked->picture, looked->widthPx, looked->heightPx, turn, mirrored);
            showFrame();
            if (!looked->skew) {
                m_words->setText("! " + looked->trouble);
                return;
            }
            const double degrees = turn * 180 / 3.14159265358979323846;
            m_words->setText(
                tr("Sheet of %1: its lines run %2° %3; shown upright. Drag over the drawing to mark "
                   "its part of the sheet.")
                    .arg(words(now->number))
                    .arg(std::abs(degrees), 0, 'f', 2)
                    .arg(degrees >= 0 ? tr("clockwise") : tr("anticlockwise")));
        });
}

} // namespace inkpeg
