// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/PlanPreview.h"

#include <algorithm>

#include <QHBoxLayout>
#include <QLabel>
#include <QPainter>
#include <QPushButton>
#include <QVBoxLayout>

#include "app/window/Words.h"

namespace inkpeg {

void PageView::lay(const PageArt& page)
{
    m_page = page;
    update();
}

void PageView::paintEvent(QPaintEvent*)
{
    if (m_page.pieces.empty())
        return;
    QPainter painter(this);
    painter.setRenderHint(QPainter::Antialiasing);
    const double perMm = std::min(width() / m_page.widthMm, height() / m_page.heightMm);
    painter.translate((width() - m_page.widthMm * perMm) / 2, (height() - m_page.heightMm * perMm) / 2);
    // Paper is white in the dark as well: this is how it comes out of the printer.
    painter.fillRect(QRectF(0, 0, m_page.widthMm * perMm, m_page.heightMm * perMm), Qt::white);
    paintArt(painter, m_page, perMm);
}

PlanPreview::PlanPreview(std::vector<PageArt> pages, QWidget* parent)
    : QDialog(parent), m_pages(std::move(pages)), m_view(new PageView(this)), m_caption(new QLabel(this)),
      m_back(new QPushButton(tr("Page &before"), this)), m_on(new QPushButton(tr("Page &after"), this))
{
    setWindowTitle(tr("Plans and sections, as they will be printed"));
    m_view->setMinimumSize(480, 340);
    m_back->setToolTip(tr("The page before (Page Up)"));
    m_back->setShortcut(QKeySequence(Qt::Key_PageUp));
    m_on->setToolTip(tr("The page after (Page Down)"));
    m_on->setShortcut(QKeySequence(Qt::Key_PageDown));
    auto* close = new QPushButton(tr("&Close"), this);
    close->setToolTip(tr("Back to the hand-over (Esc)"));
    auto* acts = new QHBoxLayout;
    acts->addWidget(m_caption, 1);
    acts->addWidget(m_back);
    acts->addWidget(m_on);
    acts->addWidget(close);
    auto* layout = new QVBoxLayout(this);
    layout->addWidget(m_view, 1);
    layout->addLayout(acts);
    connect(m_back, &QPushButton::clicked, this, [this] { turnTo(m_at - 1); });
    connect(m_on, &QPushButton::clicked, this, [this] { turnTo(m_at + 1); });
    connect(close, &QPushButton::clicked, this, &QDialog::accept);
    resize(1100, 820);
    turnTo(0);
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
    m_caption->setText(tr("%1 of %2 · %3").arg(m_at + 1).arg(last + 1).arg(words(art.title)));
    m_back->setEnabled(m_at > 0);
    m_on->setEnabled(m_at < last);
}

} // namespace inkpeg
