// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/PlanPreview.h"

#include <algorithm>
#include <cmath>

#include <QHBoxLayout>
#include <QKeyEvent>
#include <QLabel>
#include <QMouseEvent>
#include <QPainter>
#include <QPushButton>
#include <QScreen>
#include <QShortcut>
#include <QVBoxLayout>
#include <QWheelEvent>

#include "app/window/Words.h"

namespace inkpeg {

namespace {

constexpr double Step = 1.4142135623730951; ///< two steps are twice as near
constexpr double Nearest = 32;

} // namespace

PageView::PageView(QWidget* parent) : QWidget(parent)
{
    setFocusPolicy(Qt::StrongFocus);
    setMinimumSize(480, 340);
}

void PageView::lay(const PageArt& page)
{
    m_page = page;
    moveBy({}); // this one may be of another shape
}

double PageView::pxPerMm() const
{
    return std::min(width() / m_page.widthMm, height() / m_page.heightMm) * m_nearness;
}

QPointF PageView::upperLeft() const
{
    const double perMm = pxPerMm();
    return {width() / 2.0 - m_middle.x() * m_page.widthMm * perMm,
            height() / 2.0 - m_middle.y() * m_page.heightMm * perMm};
}

QPointF PageView::shareAt(QPointF px) const
{
    const QPointF from = px - upperLeft();
    const double perMm = pxPerMm();
    return {from.x() / (m_page.widthMm * perMm), from.y() / (m_page.heightMm * perMm)};
}

void PageView::comeNearer(double times, QPointF fixed)
{
    const double before = m_nearness;
    m_nearness = std::clamp(m_nearness * times, 1.0, Nearest);
    const double grown = m_nearness / before;
    // The place under `fixed` moves away from it as everything grows about the widget's middle: take it back.
    moveBy((QPointF(width() / 2.0, height() / 2.0) - fixed) * (grown - 1));
    emit nearnessChanged();
}

void PageView::showWhole()
{
    m_nearness = 1;
    moveBy({});
    emit nearnessChanged();
}

void PageView::moveBy(QPointF px)
{
    const double perMm = pxPerMm();
    m_middle -= QPointF(px.x() / (m_page.widthMm * perMm), px.y() / (m_page.heightMm * perMm));
    // The page cannot be lost: its part that is shown stays within it, and all of it stays in the middle.
    const auto within = [](double middle, double shown) {
        return shown >= 1 ? 0.5 : std::clamp(middle, shown / 2, 1 - shown / 2);
    };
    m_middle = {within(m_middle.x(), width() / (m_page.widthMm * perMm)),
                within(m_middle.y(), height() / (m_page.heightMm * perMm))};
    update();
}

void PageView::paintEvent(QPaintEvent*)
{
    if (m_page.pieces.empty())
        return;
    QPainter painter(this);
    painter.setRenderHint(QPainter::Antialiasing);
    const double perMm = pxPerMm();
    painter.translate(upperLeft());
    // Paper is white in the dark as well: this is how it comes out of the printer.
    painter.fillRect(QRectF(0, 0, m_page.widthMm * perMm, m_page.heightMm * perMm), Qt::white);
    paintArt(painter, m_page, perMm);
}

void PageView::wheelEvent(QWheelEvent* event)
{
    comeNearer(std::pow(Step, event->angleDelta().y() / 120.0), event->position());
}

void PageView::resizeEvent(QResizeEvent*)
{
    moveBy({});
}

void PageView::mousePressEvent(QMouseEvent* event)
{
    m_grip = event->position();
}

void PageView::mouseMoveEvent(QMouseEvent* event)
{
    if (!event->buttons().testFlag(Qt::LeftButton))
        return;
    moveBy(event->position() - m_grip);
    m_grip = event->position();
}

void PageView::keyPressEvent(QKeyEvent* event)
{
    const double step = 0.2 * std::min(width(), height());
    switch (event->key()) {
    case Qt::Key_Left:
        return moveBy({step, 0});
    case Qt::Key_Right:
        return moveBy({-step, 0});
    case Qt::Key_Up:
        return moveBy({0, step});
    case Qt::Key_Down:
        return moveBy({0, -step});
    default:
        QWidget::keyPressEvent(event);
    }
}

PlanPreview::PlanPreview(std::vector<PageArt> pages, QWidget* parent)
    : QDialog(parent), m_pages(std::move(pages)), m_view(new PageView(this)), m_caption(new QLabel(this))
{
    setWindowTitle(tr("Plans and sections, as they will be printed"));
    m_caption->setObjectName("previewCaption");
    m_back = act(tr("Page &before"), tr("The page before (Page Up)"), {Qt::Key_PageUp});
    m_on = act(tr("Page &after"), tr("The page after (Page Down)"), {Qt::Key_PageDown});
    m_nearer = act(tr("&Nearer"),
                   tr("Closer to the paper (+ or wheel; − goes back). Drag or use the arrows to move"),
                   {Qt::Key_Plus, Qt::Key_Equal});
    m_whole = act(tr("&Whole page"), tr("The whole page (0)"), {Qt::Key_0});
    auto* close = act(tr("&Close"), tr("Back to the hand-over (Esc)"), {});
    auto* acts = new QHBoxLayout;
    acts->addWidget(m_caption, 1);
    for (QPushButton* each : {m_nearer, m_whole, m_back, m_on, close})
        acts->addWidget(each);
    auto* layout = new QVBoxLayout(this);
    layout->addWidget(m_view, 1);
    layout->addLayout(acts);
    const auto nearer = [this](double times) {
        m_view->comeNearer(times, QPointF(m_view->width() / 2.0, m_view->height() / 2.0));
    };
    connect(m_back, &QPushButton::clicked, this, [this] { turnTo(m_at - 1); });
    connect(m_on, &QPushButton::clicked, this, [this] { turnTo(m_at + 1); });
    connect(m_nearer, &QPushButton::clicked, this, [nearer] { nearer(Step); });
    connect(new QShortcut(Qt::Key_Minus, this), &QShortcut::activated, this,
            [nearer] { nearer(1 / Step); });
    connect(m_whole, &QPushButton::clicked, m_view, &PageView::showWhole);
    connect(close, &QPushButton::clicked, this, &QDialog::accept);
    connect(m_view, &PageView::nearnessChanged, this, &PlanPreview::tell);
    const QSize room = screen() ? screen()->availableSize() : QSize(1280, 800);
    resize(QSize(1100, 820).boundedTo(room * 0.95));
    turnTo(0);
    m_view->setFocus();
}

QPushButton* PlanPreview::act(const QString& text, const QString& tip, const QList<QKeySequence>& keys)
{
    auto* button = new QPushButton(text, this);
    button->setToolTip(tip);
    button->setAutoDefault(false);
    for (const QKeySequence& key : keys)
        connect(new QShortcut(key, this), &QShortcut::activated, button, &QPushButton::click);
    return button;
}

void PlanPreview::turnTo(int page)
{
    const int last = static_cast<int>(m_pages.size()) - 1;
    if (last < 0)
        return;
    m_at = std::clamp(page, 0, last);
    const PageArt& art = m_pages[static_cast<std::size_t>(m_at)];
    m_view->lay(art);
    m_view->setAccessibleName(words(art.title));
    tell();
}

void PlanPreview::tell()
{
    const int last = static_cast<int>(m_pages.size()) - 1;
    m_caption->setText(tr("%1 of %2 · %3")
                           .arg(m_at + 1)
                           .arg(last + 1)
                           .arg(words(m_pages[static_cast<std::size_t>(m_at)].title)));
    m_back->setEnabled(m_at > 0);
    m_on->setEnabled(m_at < last);
    m_whole->setEnabled(m_view->nearness() > 1);
}

} // namespace inkpeg
