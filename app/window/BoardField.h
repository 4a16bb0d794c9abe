// SPDX-License-Identifier: GPL-3.0-or-later
// A small field on the board, where the hand is: asks for a peg's name or a context's number.
#pragma once

#include <functional>

#include <QFrame>
#include <QStringList>

class QLabel;
class QLineEdit;

namespace inkpeg {

class BoardField final : public QFrame {
    Q_OBJECT
public:
    explicit BoardField(QWidget* board);

    /// Opens at a place on the board. Enter hands `accept` what is written and closes if it returns true;
    /// Esc, or a click elsewhere, closes and calls `dismiss`.
    void ask(QPointF at, const QString& question, const QString& proposal, const QStringList& known,
             std::function<bool(const QString&)> accept, std::function<void()> dismiss);
    void setQuestion(const QString& question);
    /// As Enter does.
    void accept() { finish(true); }
    /// As Esc does; nothing if it is not open.
    void dismiss() { finish(false); }
    QLineEdit* field() const { return m_field; }

protected:
    bool eventFilter(QObject* watched, QEvent* event) override;

private:
    void finish(bool accepted);

    QLabel* m_question;
    QLineEdit* m_field;
    std::function<bool(const QString&)> m_accept;
    std::function<void()> m_dismiss;
};

} // namespace inkpeg
