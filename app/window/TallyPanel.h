// SPDX-License-Identifier: GPL-3.0-or-later
// The tally: what is outstanding. Folded, it is one line at the foot of the window; unfolded, a list in
// which each line leads to its place. The checks run on a thread of their own, on their own reading access.
#pragma once

#include <vector>

#include <QThreadPool>
#include <QTimer>
#include <QWidget>

#include "app/window/Session.h"
#include "core/checks/Tally.h"

class QComboBox;
class QLabel;
class QPushButton;
class QTreeWidget;
class QTreeWidgetItem;

namespace inkpeg {

class TallyPanel final : public QWidget {
    Q_OBJECT
public:
    explicit TallyPanel(Session& session, QWidget* parent = nullptr);
    ~TallyPanel() override;

    bool unfolded() const;
    void setUnfolded(bool unfolded);
    void focusList();
    const Tally& tally() const { return m_tally; }
    bool running() const { return m_running; }

    /// Asks why the chosen line may stay as it is, and sets it aside.
    void waiveChosen();

signals:
    void chosen(const inkpeg::Matter& matter);
    void counted();

private:
    void run();
    void arrived(int generation, const Tally& tally, const QString& trouble);
    void list();
    void showCount();
    const Matter* matterOf(const QTreeWidgetItem* item) const;

    Session& m_session;
    Tally m_tally;
    QString m_trouble;
    QPushButton* m_fold;
    QLabel* m_count;
    QComboBox* m_group;
    QPushButton* m_waive;
    QTreeWidget* m_list;
    QTimer m_soon; ///< after the last of several acts
    int m_generation = 0;
    bool m_running = false;
    bool m_again = false;
    QThreadPool m_pool;
};

} // namespace inkpeg
