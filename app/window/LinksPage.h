// SPDX-License-Identifier: GPL-3.0-or-later
// Finds, samples and timbers held against the outlines of their contexts: a line each with its verdict, the
// corrections that the places speak for, and what was found in each context.
#pragma once

#include <memory>

#include <QThreadPool>
#include <QWidget>

#include "app/window/Session.h"
#include "core/checks/Links.h"

class QComboBox;
class QLabel;
class QLineEdit;
class QPushButton;
class QTabWidget;
class QTableView;

namespace inkpeg {

class LinksModel;
class TextTableModel;
struct LinkedPieces;

class LinksPage final : public QWidget {
    Q_OBJECT
public:
    explicit LinksPage(Session& session, QWidget* parent = nullptr);
    ~LinksPage() override;

    QTableView* table() const { return m_table; }
    QLineEdit* filter() const { return m_filter; }
    QPushButton* takeButton() const { return m_take; }
    bool running() const { return m_running; }

    /// The corrections proposed for the lines that are chosen.
    std::vector<Proposal> chosenProposals() const;

signals:
    /// A place to go to; `drawing` may be empty.
    void placeChosen(const inkpeg::Matter& place);

protected:
    void showEvent(QShowEvent*) override;

private:
    void link();
    void arrived(int generation, std::shared_ptr<const LinkedPieces> pieces, const QString& trouble);
    void applyFilter();
    void showSelection();
    void askTake();
    void activate(int row);

    Session& m_session;
    QLabel* m_words;
    QComboBox* m_verdict;
    QLineEdit* m_filter;
    QPushButton* m_take;
    QTabWidget* m_tabs;
    LinksModel* m_model;
    QTableView* m_table;
    TextTableModel* m_summary;
    std::shared_ptr<const LinkedPieces> m_pieces;
    int m_generation = 0;
    bool m_running = false;
    QThreadPool m_pool;
};

} // namespace inkpeg
