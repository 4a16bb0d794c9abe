// SPDX-License-Identifier: GPL-3.0-or-later
// The central view: a drawing on film or on the ground. Shows a BoardScene and passes the pointer to the
// tool of the stage; knows nothing of projects.
//
// Moving about: middle drag, or space and drag; arrow keys; the wheel zooms at the cursor; + and - zoom; 0
// shows all; Ctrl+1 shows the scan at one pixel to one.
#pragma once

#include <optional>

#include <QWidget>

#include "app/board/BoardFrame.h"
#include "app/board/BoardScene.h"
#include "app/board/BoardTool.h"
#include "app/board/DrawnPicture.h"
#include "app/board/FilmPicture.h"
#include "app/board/ViewTransform.h"

namespace inkpeg {

class Board final : public QWidget {
    Q_OBJECT
public:
    explicit Board(QWidget* parent = nullptr);

    /// Keeps the view when the drawing is the same as before; shows all of a new one.
    void setScene(BoardScene scene);
    const BoardScene& scene() const { return m_scene; }

    void setSide(BoardSide side);
    BoardSide side() const { return m_frame.side(); }
    const BoardFrame& frame() const { return m_frame; }

    /// What lies drawn upon the film, for tools to draw upon.
    void paintTraced(QPainter& painter, const DrawnLook& look);

    /// The tool is not owned; null for looking only.
    void setTool(BoardTool* tool);
    BoardTool* tool() const { return m_tool; }

    /// The middle of the screen stays where it is, or all stays in view.
    void setViewSettings(const ViewSettings& settings);

    void setFilmFaded(bool faded);
    bool filmFaded() const { return m_filmFaded; }

    const ViewTransform& view() const { return m_view; }
    QPointF widgetOfScan(ScanPx position) const { return m_view.toWidget(m_frame.sceneOfScan(position)); }
    QPointF widgetOfGround(GroundM ground) const { return m_view.toWidget(m_frame.sceneOfGround(ground)); }
    std::optional<ScanPx> scanOfWidget(QPointF widget) const
    {
        return m_frame.scanOfScene(m_view.toScene(widget));
    }

    void showAll();
    void showOneToOne();
    void zoomIn();
    void zoomOut();
    void panBy(QPointF widgetDelta);
    /// Brings a place into the middle, at no less than half of one to one.
    void goTo(ScanPx position);
    void goTo(GroundM ground);

    /// True while film or drawing are going to be seen sharper than they are.
    bool stillLoading() const { return m_film.busy(isVisible()) || (isVisible() && drawingBusy()); }

    /// True while what is drawn is being painted in another thread.
    bool drawingBusy() const { return m_drawn.busy(); }

    bool filmShown() const { return m_film.anythingShown(); }
    /// The levels of the scans: whether they are to be built.
    ScanShelf& shelf() { return m_film.shelf(); }

    QSize sizeHint() const override { return {900, 640}; }

signals:
    void pointerMoved(const std::optional<inkpeg::ScanPx>& scan, const QPointF& widget);
    void viewChanged();
    void sideChanged();
    void hintChanged();
    void scanFailed(const QString& message);

protected:
    void paintEvent(QPaintEvent*) override;
    void resizeEvent(QResizeEvent*) override;
    void focusInEvent(QFocusEvent*) override;
    void mousePressEvent(QMouseEvent*) override;
    void mouseMoveEvent(QMouseEvent*) override;
    void mouseReleaseEvent(QMouseEvent*) override;
    void mouseDoubleClickEvent(QMouseEvent*) override;
    void wheelEvent(QWheelEvent*) override;
    void keyPressEvent(QKeyEvent*) override;
    void keyReleaseEvent(QKeyEvent*) override;
    void focusOutEvent(QFocusEvent*) override;
    void leaveEvent(QEvent*) override;

private:
    BoardPointer pointerAt(QPointF widget, Qt::KeyboardModifiers modifiers) const;
    void updateLimits();
    void updateCursor();
    void fitAll();
    void viewMoved();

    BoardScene m_scene;
    BoardFrame m_frame;
    ViewTransform m_view;
    FilmPicture m_film;
    DrawnPicture m_drawn;
    BoardTool* m_tool = nullptr;
    bool m_filmFaded = false;
    bool m_spaceHeld = false;
    bool m_byKeys = false;      ///< the focus came by a key
    ViewTransform m_shownWhole; ///< the view that showed all of it
    std::optional<QPointF> m_panFrom;
    Qt::MouseButton m_panButton = Qt::NoButton; ///< that began to pan
    std::optional<QPointF> m_pointer;           ///< on the widget, while it is over the board
    bool m_pressed = false;                     ///< the left button, for the tool
};

} // namespace inkpeg
