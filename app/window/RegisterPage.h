// SPDX-License-Identifier: GPL-3.0-or-later
// Takes registers from CSV files: shown line by line first, then taken. A file whose columns have other names
// is matched by hand once; the project remembers how.
#pragma once

#include <map>
#include <optional>
#include <vector>

#include <QWidget>

#include "app/window/Session.h"
#include "core/store/RegisterImport.h"

class QCheckBox;
class QLabel;
class QPushButton;
class QTableView;

namespace inkpeg {

class ImportLinesModel;
class MappingDialog;
class PathField;

class RegisterPage final : public QWidget {
    Q_OBJECT
public:
    explicit RegisterPage(Session& session, QWidget* parent = nullptr);

    PathField* files() const { return m_files; }
    QTableView* lines() const { return m_lines; }
    QPushButton* tryButton() const { return m_try; }
    QPushButton* matchButton() const { return m_match; }
    QPushButton* takeButton() const { return m_take; }
    QString whyNotTaken() const; ///< why the button cannot be pressed; empty if it can

signals:
    void taken();

private:
    struct Tried {
        std::filesystem::path file;
        std::optional<ImportReport> report;
        QString trouble;
        bool matchable = false; ///< the file reads, but its columns do not fit
        bool stopped = false;   ///< while it was being taken in: nothing of it was
    };
    struct Trial {
        std::vector<Tried> tried;
        std::vector<std::string> seals; ///< what is signed off and would be changed
        QString trouble;
    };
    std::vector<std::filesystem::path> chosen() const;
    ImportSettings settingsFor(const std::filesystem::path& file) const;
    static bool isMatchable(const std::filesystem::path& file);
    void tryThem();
    Trial trialOf(const std::filesystem::path& project, const std::vector<std::filesystem::path>& files,
                  const Progress& progress) const;
    void takeThem();
    void askMatch();
    void show(const std::vector<Tried>& tried, bool applied);
    bool askWhy(QString& why);

    Session& m_session;
    PathField* m_files;
    QPushButton* m_try;
    QPushButton* m_match;
    QPushButton* m_take;
    QCheckBox* m_skipRefused;
    QLabel* m_summary;
    QTableView* m_lines;
    ImportLinesModel* m_model;
    std::map<std::filesystem::path, ImportSettings> m_matches; ///< made by hand for files not taken yet
    std::vector<Tried> m_tried;
    bool m_asShown = false; ///< the files named are those tried, and not taken yet
    std::vector<std::string> m_seals;
};

} // namespace inkpeg
