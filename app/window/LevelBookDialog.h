// SPDX-License-Identifier: GPL-3.0-or-later
// A level book typed in or looked through: it is reduced while one types, both ways, and says at once how it
// closes; kept as one act, its levels carried to the records of the points as another.
#pragma once

#include <QDialog>

#include "app/window/Session.h"
#include "core/survey/LevelBook.h"

class QCheckBox;
class QComboBox;
class QDoubleSpinBox;
class QLabel;
class QLineEdit;
class QTableWidget;

namespace inkpeg {

class LevelBookDialog final : public QDialog {
    Q_OBJECT
public:
    LevelBookDialog(Session& session, QWidget* parent);

private:
    void refreshBooks();
    void showBook(const QString& name);
    void addLine();
    /// The book as it stands in the fields. Errors: BadInput naming the line and column.
    Result<std::pair<LevelBook, std::vector<LevelReading>>> typed() const;
    void reduce();
    void keep();
    void carry(bool overwrite);
    void askWhere();
    void tell(const QString& words, bool trouble);

    Session& m_session;
    QComboBox* m_books;
    QLineEdit* m_name;
    QLineEdit* m_by;
    QLineEdit* m_on;
    QDoubleSpinBox* m_k;
    QCheckBox* m_distribute;
    QTableWidget* m_lines;
    QLabel* m_closes;
    QLabel* m_said;
    bool m_filling = false;
};

} // namespace inkpeg
