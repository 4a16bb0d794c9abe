// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/BoardField.h"

#include <algorithm>

#include <QAbstractItemView>
#include <QCompleter>
#include <QHBoxLayout>
#include <QKeyEvent>
#include <QLabel>
#include <QLineEdit>

namespace inkpeg {

BoardField::BoardField(QWidget* board)
    : QFrame(board), m_question(new QLabel(this)), m_field(new QLineEdit(this))
{
    setObjectName("card");
    setFrameShape(QFrame::StyledPanel);
    setAutoFillBackground(true);
    setAttribute(Qt::WA_StyledBackground);
    m_field->setMinimumWidth(110);
    m_field->installEventFilter(this);
    m_question->setBuddy(m_field);
    auto* layout = new QHBoxLayout(this);
    layout->setContentsMargins(10, 6, 8, 6);
    layout->addWidget(m_question);
    layout->addWidget(m_field);
    // Not by the filter below: while the list of completions is open, keys reach the field behind its back.
    connect(m_field, &QLineEdit::returnPressed, this, [this] { finish(true); });
    hide();
}

void BoardField::ask(QPointF at, const QString& question, const QString& proposal, const QStringList& known,
                     std::function<bool(const QString&)> accept, std::function<void()> dismiss)
{
    if (isVisible())
        finish(false);
    m_question->setText(question);
    m_field->setAccessibleName(question);
    auto* completer = new QCompleter(known, m_field);
    completer->setCaseSensitivity(Qt::CaseInsensitive);
    m_field->setCompleter(completer);
    m_field->setText(proposal);
    m_field->selectAll();
    m_accept = std::move(accept);
    m_dismiss = std::move(dismiss);
    adjustSize();
    // Beside the place, not on it, and within the board.
    const QPoint wished = at.toPoint() + QPoint(18, 14);
    const QSize room = parentWidget()->size() - size();
    move(std::clamp(wished.x(), 0, std::max(0, room.width())),
         std::clamp(wished.y(), 0, std::max(0, room.height())));
    show();
    raise();
    m_field->setFocus();
}

void BoardField::setQuestion(const QString& question)
{
    m_question->setText(question);
    m_field->setAccessibleName(question);
    adjustSize();
}

void BoardField::finish(bool accepted)
{
    if (!isVisible())
        return;
    if (accepted && m_accept && !m_accept(m_field->text())) {
        m_field->selectAll();
        return;
    }
    if (QCompleter* completer = m_field->completer())
        completer->popup()->hide();
    hide();
    parentWidget()->setFocus();
    if (!accepted && m_dismiss)
        m_dismiss();
}

bool BoardField::eventFilter(QObject* watched, QEvent* event)
{
    if (watched == m_field && event->type() == QEvent::KeyPress) {
        const int key = static_cast<QKeyEvent*>(event)->key();
        if (key == Qt::Key_Escape) {
            finish(false);
            return true;
        }
    }
    if (watched == m_field && event->type() == QEvent::FocusOut) {
        const auto reason = static_cast<QFocusEvent*>(event)->reason();
        if (reason == Qt::MouseFocusReason && isVisible())
            finish(false);
    }
    return QFrame::eventFilter(watched, event);
}

} // namespace inkpeg
