// SPDX-License-Identifier: GPL-3.0-or-later
// Takes registers from CSV files: shown line by line first, then taken.
#pragma once

#include <optional>
#include <vector>

#include <QWidget>

#include "app/window/Session.h"
#include "core/store/RegisterImport.h"

class QCheckBox;
class QLabel;
class QPushButton;
class QTableWidget;

namespace inkpeg {

class PathField;

class RegisterPage final : public QWidget {
    Q_OBJECT
public:
    explicit RegisterPage(Session& session, QWidget* parent = nullptr);

    PathField* files() const { return m_files; }

signals:
    void taken();

private:
    struct Tried {
        std::filesystem::path file;
        std::optional<ImportReport> report;
        QString trouble;
    };
    std::vector<std::filesystem::path> chosen() const;
    void tryThem();
    void takeThem();
    void show(const std::vector<Tried>& tried, bool applied);
    void addRow(const QString& file, const QString& line, const QString& number, const QString& outcome,
                const QString& words, bool bold);

    Session& m_session;
    PathField* m_files;
    QPushButton* m_try;
    QPushButton* m_take;
    QCheckBox* m_skipRefused;
    QLabel* m_summary;
    QTableWidget* m_lines;
};

} // namespace inkpeg
