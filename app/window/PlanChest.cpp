// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/PlanChest.h"

#include <QKeyEvent>
#include <QLabel>
#include <QLineEdit>
#include <QListView>
#include <QVBoxLayout>

#include "app/window/ChestDelegate.h"
#include "app/window/ChestModel.h"
#include "app/window/Thumbnails.h"

namespace inkpeg {

PlanChest::PlanChest(Session& session, QWidget* parent)
    : QWidget(parent), m_session(session), m_thumbnails(new Thumbnails(this)),
      m_model(new ChestModel(*m_thumbnails, this)), m_filter(new QLineEdit(this)),
      m_list(new QListView(this))
{
    setObjectName("chest");
    setAttribute(Qt::WA_StyledBackground);
    m_filter->setPlaceholderText(tr("Find a drawing: number, title, trench, stage"));
    m_filter->setClearButtonEnabled(true);
    m_filter->setAccessibleName(tr("Find a drawing"));
    m_filter->setToolTip(tr(
        "Shows only the drawings whose number, title, trench or stage contain this (Ctrl+F); Down and Up "
        "choose among them, Enter goes to the list, Esc drops the search"));
    m_filter->installEventFilter(this);
    m_list->setModel(m_model);
    m_list->setItemDelegate(new ChestDelegate(m_list));
    m_list->setVerticalScrollMode(QAbstractItemView::ScrollPerPixel);
    m_list->setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    m_list->setAccessibleName(tr("Plan chest"));
    m_list->setFrameShape(QFrame::NoFrame);
    m_list->setMouseTracking(true);

    auto* heading = new QLabel(tr("Plan chest"), this);
    heading->setObjectName("subheading");
    auto* layout = new QVBoxLayout(this);
    layout->setContentsMargins(10, 10, 6, 6);
    layout->addWidget(heading);
    layout->addWidget(m_filter);
    layout->addWidget(m_list, 1);

    connect(m_filter, &QLineEdit::textChanged, this, [this](const QString& text) {
        m_model->setFilter(text);
        showChosen();
    });
    connect(m_list->selectionModel(), &QItemSelectionModel::currentChanged, this,
            [this](const QModelIndex& now) {
                if (const qint64 id = now.data(ChestModel::DrawingId).toLongLong(); id != 0)
                    m_session.chooseDrawing(id);
            });
    connect(&session, &Session::projectChanged, this, [this] {
        m_model->setProject(m_session.isOpen() ? &m_session.project() : nullptr);
        showChosen();
    });
    connect(&session, &Session::recordsChanged, this, [this] {
        m_model->reload();
        showChosen();
    });
    connect(&session, &Session::drawingChosen, this, &PlanChest::showChosen);
}

void PlanChest::focusFilter()
{
    m_filter->setFocus();
    m_filter->selectAll();
}

/// From the search a drawing is reached without leaving it for the list: Down and Up choose, Enter goes to
/// the list with a drawing chosen, Esc drops the search.
bool PlanChest::eventFilter(QObject* watched, QEvent* event)
{
    if (watched != m_filter || event->type() != QEvent::KeyPress)
        return QWidget::eventFilter(watched, event);
    switch (static_cast<QKeyEvent*>(event)->key()) {
    case Qt::Key_Down:
        step(+1);
        return true;
    case Qt::Key_Up:
        step(-1);
        return true;
    case Qt::Key_Return:
    case Qt::Key_Enter:
        if (!m_list->currentIndex().isValid())
            step(+1);
        m_list->setFocus();
        return true;
    case Qt::Key_Escape:
        m_filter->clear();
        m_list->setFocus();
        return true;
    default:
        return QWidget::eventFilter(watched, event);
    }
}

void PlanChest::step(int by)
{
    const std::optional<Drawing> at = m_session.drawing();
    if (const std::int64_t next = m_model->neighbourOf(at ? at->id : 0, by); next != 0)
        m_session.chooseDrawing(next);
}

void PlanChest::showChosen()
{
    const std::optional<Drawing> at = m_session.drawing();
    const int row = at ? m_model->rowOfDrawing(at->id) : -1;
    const QModelIndex index = row >= 0 ? m_model->index(row) : QModelIndex();
    if (m_list->currentIndex() != index)
        m_list->setCurrentIndex(index);
    if (index.isValid())
        m_list->scrollTo(index);
}

} // namespace inkpeg
