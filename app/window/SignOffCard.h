// SPDX-License-Identifier: GPL-3.0-or-later
// The card of the stage Check: which drawings and contexts are at which stage, who checked and signed them,
// and whether the seal holds; checking and signing what is chosen.
#pragma once

#include <vector>

#include <QWidget>

#include "app/window/Session.h"
#include "core/checks/Tally.h"

class QComboBox;
class QLabel;
class QLineEdit;
class QPushButton;
class QTreeWidget;
class QTreeWidgetItem;

namespace inkpeg {

class SignOffCard final : public QWidget {
    Q_OBJECT
public:
    explicit SignOffCard(Session& session, QWidget* parent = nullptr);

    QTreeWidget* list() const { return m_list; }
    QLineEdit* reason() const { return m_reason; }

    /// What the tally holds, to be told beside the drawing at hand.
    void setTally(const Tally& tally);
    /// Chooses a context's line, showing all contexts if need be.
    void chooseContext(const QString& number);

public slots:
    void markChecked() { sign(Stage::Checked); }
    void signOff() { sign(Stage::SignedOff); }
    void takeBack();

private:
    enum class Shows { DrawingAndContexts, TrenchContexts, AllDrawings, AllContexts };
    void refresh();
    void sign(Stage stage);
    std::vector<Subject> chosen() const;
    std::vector<Subject> subjects() const;
    void addLine(const Subject& subject, Stage stage, const SignOff* last);
    void showSelection();
    void showOpen();

    Session& m_session;
    QLabel* m_heading;
    QLabel* m_open;
    QComboBox* m_shows;
    QTreeWidget* m_list;
    QLabel* m_history;
    QLineEdit* m_reason;
    QPushButton* m_check;
    QPushButton* m_sign;
    QPushButton* m_back;
    std::vector<Matter> m_matters;
};

} // namespace inkpeg
