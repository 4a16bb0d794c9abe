// SPDX-License-Identifier: GPL-3.0-or-later
// Which column of a site's file is which column of a register: guessed first, looked over by a person, and
// remembered in the project when the register is taken in.
#pragma once

#include <filesystem>
#include <functional>

#include <QDialog>

#include "core/records/HeaderProposal.h"
#include "core/store/RegisterImport.h"

class QComboBox;
class QLabel;
class QPushButton;
class QTableWidget;

namespace inkpeg {

class MappingDialog final : public QDialog {
    Q_OBJECT
public:
    /// `remembered` gives what the project knows of a register's columns.
    MappingDialog(const std::filesystem::path& file, CsvTable table, std::optional<RegisterKind> kind,
                  std::function<HeaderMapping(RegisterKind)> remembered, QWidget* parent = nullptr);

    /// What was chosen: register, columns and the ones passed over; the rest as ImportSettings has it.
    ImportSettings settings() const;

    QComboBox* registerField() const { return m_register; }
    /// The choice for a column of the register; null if it has no such column.
    QComboBox* columnField(const QString& column) const;

private:
    RegisterKind kind() const;
    void propose();
    void judge();

    CsvTable m_csv;
    std::function<HeaderMapping(RegisterKind)> m_remembered;
    std::vector<RegisterColumn> m_columns;
    QComboBox* m_register;
    QTableWidget* m_table;
    QLabel* m_words;
    QPushButton* m_take;
};

} // namespace inkpeg
