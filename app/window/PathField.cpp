// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/PathField.h"

#include <QFileDialog>
#include <QHBoxLayout>
#include <QLineEdit>
#include <QPushButton>

namespace inkpeg {

PathField::PathField(Chooses chooses, const QString& title, const QString& filter, QWidget* parent)
    : QWidget(parent), m_chooses(chooses), m_title(title), m_filter(filter), m_field(new QLineEdit(this))
{
    m_field->setAccessibleName(title);
    auto* button = new QPushButton(tr("Browse…"), this);
    button->setAutoDefault(false);
    button->setToolTip(tr("Choose in the desktop's own window"));
    auto* layout = new QHBoxLayout(this);
    layout->setContentsMargins(0, 0, 0, 0);
    layout->addWidget(m_field, 1);
    layout->addWidget(button);
    setFocusProxy(m_field);
    connect(button, &QPushButton::clicked, this, &PathField::browse);
    connect(m_field, &QLineEdit::returnPressed, this, &PathField::accepted);
    connect(m_field, &QLineEdit::textChanged, this, &PathField::changed);
}

QString PathField::text() const
{
    return m_field->text().trimmed();
}
void PathField::setText(const QString& text)
{
    m_field->setText(text);
}

QStringList PathField::paths() const
{
    QStringList paths;
    for (const QString& path : text().split(';', Qt::SkipEmptyParts))
        if (!path.trimmed().isEmpty())
            paths << path.trimmed();
    return paths;
}

std::filesystem::path PathField::path() const
{
    return std::filesystem::path(text().toStdString());
}

void PathField::browse()
{
    QString chosen;
    const QString from = paths().value(0);
    switch (m_chooses) {
    case Chooses::FileToOpen:
        chosen = QFileDialog::getOpenFileName(this, m_title, from, m_filter);
        break;
    case Chooses::FilesToOpen:
        chosen = QFileDialog::getOpenFileNames(this, m_title, from, m_filter).join("; ");
        break;
    case Chooses::FileToWrite:
        // The project refuses to overwrite by itself, with words of its own.
        chosen = QFileDialog::getSaveFileName(this, m_title, from, m_filter, nullptr,
                                              QFileDialog::DontConfirmOverwrite);
        break;
    case Chooses::Folder:
        chosen = QFileDialog::getExistingDirectory(this, m_title, from);
        break;
    }
    if (chosen.isEmpty())
        return;
    setText(chosen);
    emit accepted();
}

} // namespace inkpeg
