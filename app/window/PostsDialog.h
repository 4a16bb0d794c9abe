// SPDX-License-Identifier: GPL-3.0-or-later
// Tests a supposed row or ring: posts are ticked, the best line or arc through them is told with residuals
// and spacing, and drawn.
#pragma once

#include <QDialog>

#include "app/window/Session.h"
#include "core/section/Alignment.h"

class QComboBox;
class QLabel;
class QListWidget;
class QTableWidget;

namespace inkpeg {

/// The posts and the line or arc, seen from above.
class PostsSketch final : public QWidget {
    Q_OBJECT
public:
    using QWidget::QWidget;
    void draw(std::vector<AlignedPost> posts, std::optional<LineAlignment> line,
              std::optional<CircleAlignment> circle);

protected:
    void paintEvent(QPaintEvent*) override;

private:
    std::vector<AlignedPost> m_posts;
    std::optional<LineAlignment> m_line;
    std::optional<CircleAlignment> m_circle;
};

class PostsDialog final : public QDialog {
    Q_OBJECT
public:
    PostsDialog(Session& session, QWidget* parent);

private:
    void refresh();
    void align();
    std::vector<std::string> ticked() const;
    void askWhere();

    Session& m_session;
    QListWidget* m_list;
    QComboBox* m_shape;
    QLabel* m_figures;
    QTableWidget* m_places;
    PostsSketch* m_sketch;
    bool m_filling = false;
};

} // namespace inkpeg
