// SPDX-License-Identifier: GPL-3.0-or-later
// Print-ready pages on the screen, drawn from the same pieces as the files.
#pragma once

#include <vector>

#include <QDialog>

#include "app/print/PageArt.h"

class QLabel;
class QPushButton;

namespace inkpeg {

/// One page, as large as its room.
class PageView final : public QWidget {
    Q_OBJECT
public:
    using QWidget::QWidget;
    void lay(const PageArt& page);

protected:
    void paintEvent(QPaintEvent* event) override;

private:
    PageArt m_page;
};

class PlanPreview final : public QDialog {
    Q_OBJECT
public:
    explicit PlanPreview(std::vector<PageArt> pages, QWidget* parent = nullptr);

    int page() const { return m_at; }
    void turnTo(int page);

private:
    std::vector<PageArt> m_pages;
    int m_at = 0;
    PageView* m_view;
    QLabel* m_caption;
    QPushButton *m_back, *m_on;
};

} // namespace inkpeg
