// SPDX-License-Identifier: GPL-3.0-or-later
// A path that can be typed, with a button that opens the desktop's own chooser.
#pragma once

#include <filesystem>

#include <QWidget>

class QLineEdit;

namespace inkpeg {

class PathField final : public QWidget {
    Q_OBJECT
public:
    enum class Chooses { FileToOpen, FilesToOpen, FileToWrite, Folder };

    PathField(Chooses chooses, const QString& title, const QString& filter, QWidget* parent = nullptr);

    QString text() const;
    void setText(const QString& text);
    /// Several are separated by semicolons.
    QStringList paths() const;
    std::filesystem::path path() const;
    QLineEdit* field() const { return m_field; }

signals:
    void accepted(); ///< Enter, or a choice made in the chooser
    void changed();

private:
    void browse();

    Chooses m_chooses;
    QString m_title, m_filter;
    QLineEdit* m_field;
};

} // namespace inkpeg
