// SPDX-License-Identifier: GPL-3.0-or-later
// The stratigraphic diagram of the site or of one trench, with what it cannot show in words, and its export.
#pragma once

#include <QThreadPool>
#include <QWidget>

#include "app/window/SequenceView.h"
#include "app/window/Session.h"

class QComboBox;
class QLabel;
class QPushButton;

namespace inkpeg {

class SequencePage final : public QWidget {
    Q_OBJECT
public:
    explicit SequencePage(Session& session, QWidget* parent = nullptr);
    ~SequencePage() override;

    SequenceView* view() const { return m_view; }
    bool running() const { return m_running; }

    /// Writes PDF or SVG, as the name's ending says. False after telling what was wrong.
    bool exportTo(const QString& file);

public slots:
    void askExport();

signals:
    void contextActivated(const QString& number);

protected:
    void showEvent(QShowEvent*) override;

private:
    void listTrenches();
    void draw();
    void arrived(int generation, SequenceDiagram diagram);
    QString trench() const;

    Session& m_session;
    QComboBox* m_trench;
    QLabel* m_words;
    QLabel* m_remarks;
    QPushButton* m_export;
    SequenceView* m_view;
    int m_generation = 0;
    bool m_running = false;
    bool m_fresh = true; ///< the next diagram is shown as a whole
    QThreadPool m_pool;
};

} // namespace inkpeg
