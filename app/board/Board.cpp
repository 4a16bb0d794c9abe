// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/Board.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <QGuiApplication>
#include <QKeyEvent>
#include <QMouseEvent>
#include <QPainter>
#include <QWheelEvent>

#include "app/board/DrawnPainting.h"
#include "app/board/Palette.h"

namespace inkpeg {
namespace {

constexpr double keyPanPx = 80;
constexpr double zoomStep = 1.25;

/// An index of the outlines where the scene came without one.
void indexOutlines(BoardDrawing& drawing)
{
    if (drawing.index)
        return;
    auto index = std::make_shared<OutlineIndex>();
    for (const Outline& outline : drawing.outlines)
        index->put(outline.id, outline.parts);
    drawing.index = std::move(index);
}

} // namespace

Board::Board(QWidget* parent) : QWidget(parent)
{
    setObjectName("board");
    setAccessibleName(tr("Board"));
    setFocusPolicy(Qt::StrongFocus);
    setMouseTracking(true);
    setMinimumSize(320, 240);
    setAttribute(Qt::WA_OpaquePaintEvent);
    connect(&m_film, &FilmPicture::updated, this, qOverload<>(&QWidget::update));
    connect(&m_drawn, &DrawnPicture::updated, this, qOverload<>(&QWidget::update));
    connect(&m_film.shelf(), &ScanShelf::failed, this, &Board::scanFailed);
    connect(&m_film.shelf(), &ScanShelf::damaged, this, &Board::scanFailed);
}

void Board::setScene(BoardScene scene)
{
    const auto idOf = [](const BoardScene& of) { return of.drawing ? of.drawing->record.id : 0; };
    const auto scanOf = [](const BoardScene& of) {
        return of.drawing && of.drawing->widthPx > 0 ? of.drawing->scanFile : std::filesystem::path();
    };
    const bool sameDrawing = idOf(scene) == idOf(m_scene) && scanOf(scene) == scanOf(m_scene);
    // The ground view is hung on the fit: when that changes, the middle of the screen stays on its ground.
    const QPointF middle(width() / 2.0, height() / 2.0);
    const GroundM held = m_frame.groundOfScene(m_view.toScene(middle));
    const BoardSide oldSide = side();
    const BoardFrame oldFrame = m_frame;
    const ViewTransform oldView = m_view;
    m_drawn.setScene(m_scene, scene);
    m_scene = std::move(scene);
    if (m_scene.drawing)
        indexOutlines(*m_scene.drawing);
    const bool groundless = m_scene.drawing && !m_scene.drawing->ground;
    const BoardSide newSide = groundless && sameDrawing ? BoardSide::Film : oldSide;
    m_frame = BoardFrame(m_scene, newSide);
    m_film.setScene(m_scene);
    updateLimits();
    if (!sameDrawing || newSide != oldSide)
        fitAll();
    else if (newSide == BoardSide::Ground)
        m_view.centreOn(m_frame.sceneOfGround(held), size());
    if (newSide != oldSide)
        emit sideChanged();
    if (m_tool)
        m_tool->sceneChanged();
    if (!sameDrawing || !(m_frame == oldFrame) || !(m_view == oldView))
        viewMoved();
    update();
}

void Board::setSide(BoardSide side)
{
    if (side == m_frame.side())
        return;
    if (side == BoardSide::Ground && m_scene.drawing && !m_scene.drawing->ground)
        return; // the window says why
    const QPointF middle(width() / 2.0, height() / 2.0);
    const std::optional<ScanPx> held = scanOfWidget(middle);
    const double screenPerScanPx = m_view.scale() * m_frame.sceneUnitsPerScanPx();
    m_frame = BoardFrame(m_scene, side);
    updateLimits();
    if (held && m_scene.drawing) {
        m_view.setScaleAt(middle, screenPerScanPx / m_frame.sceneUnitsPerScanPx());
        m_view.centreOn(m_frame.sceneOfScan(*held), size());
    } else {
        fitAll();
    }
    emit sideChanged();
    viewMoved();
}

void Board::setTool(BoardTool* tool)
{
    m_tool = tool;
    if (m_tool)
        m_tool->sceneChanged();
    updateCursor();
    emit hintChanged();
    update();
}

void Board::setViewSettings(const ViewSettings& settings)
{
    if (!m_scene.drawing || m_scene.drawing->view == settings)
        return;
    const QPointF middle(width() / 2.0, height() / 2.0);
    const std::optional<ScanPx> held = scanOfWidget(middle);
    const bool whole = m_view == m_shownWhole;
    m_scene.drawing->view = settings;
    m_frame = BoardFrame(m_scene, side());
    if (whole)
        fitAll();
    else if (held)
        m_view.centreOn(m_frame.sceneOfScan(*held), size());
    viewMoved();
}

void Board::setFilmFaded(bool faded)
{
    m_filmFaded = faded;
    update();
}

/// From a whole site on the screen to sixteen screen pixels for one of the scan.
void Board::updateLimits()
{
    const double unitsPerPx = std::max(m_frame.sceneUnitsPerScanPx(), 1e-9);
    m_view.setLimits(0.0008 / unitsPerPx, 16 / unitsPerPx);
}

void Board::fitAll()
{
    m_view.fit(m_frame.extent(m_scene), size());
    m_shownWhole = m_view;
}

/// The pointer stands still, but what lies under it has changed: else the next key would act on what lay
/// there before.
void Board::viewMoved()
{
    emit viewChanged();
    if (m_pointer) {
        const BoardPointer pointer = pointerAt(*m_pointer, QGuiApplication::keyboardModifiers());
        if (m_tool)
            m_tool->move(pointer, m_pressed);
        emit pointerMoved(pointer.scan, pointer.widget);
    }
    update();
}

void Board::showAll()
{
    fitAll();
    viewMoved();
}

void Board::showOneToOne()
{
    m_view.setScaleAt(QPointF(width() / 2.0, height() / 2.0),
                      1 / (m_frame.sceneUnitsPerScanPx() * devicePixelRatioF()));
    viewMoved();
}

void Board::zoomIn()
{
    m_view.zoomAt(QPointF(width() / 2.0, height() / 2.0), zoomStep);
    viewMoved();
}

void Board::zoomOut()
{
    m_view.zoomAt(QPointF(width() / 2.0, height() / 2.0), 1 / zoomStep);
    viewMoved();
}

void Board::panBy(QPointF widgetDelta)
{
    m_view.panBy(widgetDelta);
    viewMoved();
}

void Board::goTo(ScanPx position)
{
    const double least = 0.5 / (m_frame.sceneUnitsPerScanPx() * devicePixelRatioF());
    if (m_view.scale() < least)
        m_view.setScaleAt({}, least);
    m_view.centreOn(m_frame.sceneOfScan(position), size());
    viewMoved();
}

void Board::goTo(GroundM ground)
{
    setSide(BoardSide::Ground);
    m_view.centreOn(m_frame.sceneOfGround(ground), size());
    viewMoved();
}

void Board::paintEvent(QPaintEvent*)
{
    QPainter painter(this);
    painter.fillRect(rect(), inkpeg::palette().desk);
    const BoardPicture picture{m_scene, m_frame, m_view, QRectF(rect()), inkpeg::palette(), font()};
    m_film.paint(painter,
                 {m_scene, m_frame, m_view, size(), devicePixelRatioF(), picture.colours, m_filmFaded});
    painter.setRenderHint(QPainter::Antialiasing);
    if (m_tool) {
        m_tool->paint(painter);
    } else {
        paintTraced(painter, {});
        if (hasPlace(picture))
            paintPins(painter, picture, 0);
    }
    paintScaleBar(painter, picture);
    if (const ShelvedScan* scan = m_film.atHand(); scan && !scan->trouble.isEmpty())
        paintDamage(painter, picture, {}, {scan->trouble});
    else if (scan && !scan->damage.isEmpty())
        paintDamage(painter, picture, scan->damagedParts, scan->damage);
    if (hasFocus() && m_byKeys) {
        painter.setBrush(Qt::NoBrush);
        painter.setPen(QPen(picture.colours.accent, 2));
        painter.drawRect(QRectF(rect()).adjusted(1, 1, -1, -1));
    }
}

void Board::focusInEvent(QFocusEvent* event)
{
    // Who came by the mouse knows where they are; to who came by a key it is shown.
    const Qt::FocusReason why = event->reason();
    m_byKeys = why == Qt::TabFocusReason || why == Qt::BacktabFocusReason || why == Qt::ShortcutFocusReason;
    update();
    QWidget::focusInEvent(event);
}

void Board::paintTraced(QPainter& painter, const DrawnLook& look)
{
    const BoardPicture picture{m_scene, m_frame, m_view, QRectF(rect()), inkpeg::palette(), font()};
    m_drawn.paint(painter, picture, devicePixelRatioF(), look);
}

void Board::resizeEvent(QResizeEvent* event)
{
    // Whoever saw all of it goes on seeing all of it.
    if (m_view == m_shownWhole) {
        showAll();
        return;
    }
    const QSize old = event->oldSize();
    if (old.isValid())
        m_view.panBy(QPointF(width() - old.width(), height() - old.height()) / 2);
    viewMoved();
}

BoardPointer Board::pointerAt(QPointF widget, Qt::KeyboardModifiers modifiers) const
{
    return {widget, m_scene.drawing ? scanOfWidget(widget) : std::nullopt, modifiers};
}

void Board::updateCursor()
{
    if (m_panFrom)
        setCursor(Qt::ClosedHandCursor);
    else if (m_spaceHeld)
        setCursor(Qt::OpenHandCursor);
    else
        setCursor(m_tool ? Qt::CrossCursor : Qt::ArrowCursor);
}

void Board::mousePressEvent(QMouseEvent* event)
{
    m_byKeys = false;
    setFocus(Qt::MouseFocusReason);
    m_pointer = event->position();
    const bool pan = event->button() == Qt::MiddleButton ||
                     (event->button() == Qt::LeftButton && (m_spaceHeld || !m_tool));
    if (pan) {
        m_panFrom = event->position();
        m_panButton = event->button();
        updateCursor();
    } else if (event->button() == Qt::LeftButton && m_tool) {
        m_pressed = true;
        m_tool->press(pointerAt(event->position(), event->modifiers()));
        update();
    }
}

void Board::mouseMoveEvent(QMouseEvent* event)
{
    m_pointer = event->position();
    if (m_panFrom) {
        const QPointF from = std::exchange(m_panFrom, event->position()).value();
        panBy(event->position() - from);
        return;
    }
    const BoardPointer pointer = pointerAt(event->position(), event->modifiers());
    if (m_tool) {
        m_tool->move(pointer, event->buttons() & Qt::LeftButton);
        update();
    }
    emit pointerMoved(pointer.scan, pointer.widget);
}

void Board::mouseReleaseEvent(QMouseEvent* event)
{
    if (m_panFrom && event->button() == m_panButton) {
        m_panFrom.reset();
        updateCursor();
    } else if (event->button() == Qt::LeftButton && m_tool) {
        m_pressed = false;
        m_tool->release(pointerAt(event->position(), event->modifiers()));
        update();
    }
}

void Board::mouseDoubleClickEvent(QMouseEvent* event)
{
    if (event->button() != Qt::LeftButton || m_spaceHeld || !m_tool) {
        mousePressEvent(event);
        return;
    }
    m_tool->doubleClick(pointerAt(event->position(), event->modifiers()));
    update();
}

void Board::wheelEvent(QWheelEvent* event)
{
    // A notch is 120 eighths of a degree; touchpads send parts of one.
    const double notches = event->angleDelta().y() / 120.0;
    m_view.zoomAt(event->position(), std::pow(zoomStep, notches));
    viewMoved();
    event->accept();
}

void Board::keyPressEvent(QKeyEvent* event)
{
    if (m_tool && m_tool->key(*event)) {
        update();
        return;
    }
    switch (event->key()) {
    case Qt::Key_Left:
        panBy({keyPanPx, 0});
        break;
    case Qt::Key_Right:
        panBy({-keyPanPx, 0});
        break;
    case Qt::Key_Up:
        panBy({0, keyPanPx});
        break;
    case Qt::Key_Down:
        panBy({0, -keyPanPx});
        break;
    case Qt::Key_Space:
        m_spaceHeld = true;
        updateCursor();
        break;
    default:
        QWidget::keyPressEvent(event);
    }
}

void Board::keyReleaseEvent(QKeyEvent* event)
{
    if (event->key() == Qt::Key_Space && !event->isAutoRepeat()) {
        m_spaceHeld = false;
        updateCursor();
    }
    QWidget::keyReleaseEvent(event);
}

void Board::focusOutEvent(QFocusEvent* event)
{
    m_spaceHeld = false;
    m_panFrom.reset();
    m_pressed = false;
    updateCursor();
    update();
    QWidget::focusOutEvent(event);
}

void Board::leaveEvent(QEvent*)
{
    m_pointer.reset();
    emit pointerMoved(std::nullopt, {});
}

} // namespace inkpeg
