// SPDX-License-Identifier: GPL-3.0-or-later
// Print-ready pages on the screen, drawn from the same pieces as the files.
#pragma once

#include <vector>

#include <QDialog>

#include "app/print/PageArt.h"

class QLabel;
class QPushButton;

namespace inkpeg {

/// One page: whole, or nearer by wheel and keys, and then moved by dragging and arrows.
class PageView final : public QWidget {
    Q_OBJECT
public:
    explicit PageView(QWidget* parent = nullptr);

    void lay(const PageArt& page); ///< keeps how near it is
    /// 1 shows the whole page. The place under `fixed` stays where it is.
    void comeNearer(double times, QPointF fixed);
    void showWhole();
    double nearness() const { return m_nearness; }
    /// The place of the page, in shares of its width and height, that lies at a place of the widget.
    QPointF shareAt(QPointF px) const;

signals:
    void nearnessChanged();

protected:
    void paintEvent(QPaintEvent* event) override;
    void wheelEvent(QWheelEvent* event) override;
    void resizeEvent(QResizeEvent* event) override;
    void mousePressEvent(QMouseEvent* event) override;
    void mouseMoveEvent(QMouseEvent* event) override;
    void keyPressEvent(QKeyEvent* event) override;

private:
    double pxPerMm() const;
    QPointF upperLeft() const; ///< of the page, in the widget
    void moveBy(QPointF px);

    PageArt m_page;
    double m_nearness = 1;
    QPointF m_middle{0.5, 0.5}; ///< shares of the page that lie in the middle of the widget
    QPointF m_grip;
};

class PlanPreview final : public QDialog {
    Q_OBJECT
public:
    explicit PlanPreview(std::vector<PageArt> pages, QWidget* parent = nullptr);

    int page() const { return m_at; }
    void turnTo(int page);

private:
    QPushButton* act(const QString& text, const QString& tip, const QList<QKeySequence>& keys);
    void tell();

    std::vector<PageArt> m_pages;
    int m_at = 0;
    PageView* m_view;
    QLabel* m_caption;
    QPushButton *m_back, *m_on, *m_nearer, *m_whole;
};

} // namespace inkpeg
