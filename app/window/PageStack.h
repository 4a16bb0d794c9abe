// SPDX-License-Identifier: GPL-3.0-or-later
// Pages one over another of which only the one that is shown asks for room: a wide or high page that nobody
// looks at must not keep the window from a small screen.
#pragma once

#include <QCoreApplication>
#include <QEvent>
#include <QStackedWidget>

namespace inkpeg {

class PageStack final : public QStackedWidget {
public:
    explicit PageStack(QWidget* parent = nullptr) : QStackedWidget(parent)
    {
        connect(this, &QStackedWidget::currentChanged, this, [this] {
            updateGeometry();
            // Now, not with the next event: what is shown beside the page meanwhile would add to the old
            // room.
            QCoreApplication::sendPostedEvents(parentWidget(), QEvent::LayoutRequest);
        });
    }

    QSize minimumSizeHint() const override
    {
        const QWidget* page = currentWidget();
        return page ? page->minimumSizeHint().expandedTo(page->minimumSize()) : QSize();
    }
};

} // namespace inkpeg
