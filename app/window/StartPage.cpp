// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/StartPage.h"

#include <QFileInfo>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QSettings>
#include <QVBoxLayout>

#include "app/window/PathField.h"
#include "app/window/Words.h"

namespace inkpeg {
namespace {

constexpr int rememberedProjects = 5;
constexpr auto settingsKey = "lastProjects";

} // namespace

StartPage::StartPage(Session& session, QWidget* parent)
    : QWidget(parent), m_session(session),
      m_path(new PathField(PathField::Chooses::FileToOpen, tr("Open a project"),
                           tr("Inkpeg projects (*.gpkg)"), this)),
      m_trouble(new QLabel(this)), m_last(new QVBoxLayout)
{
    setObjectName("page");
    auto* heading = new QLabel(tr("Inkpeg"), this);
    heading->setObjectName("heading");
    auto* words = new QLabel(
        tr("From drawing film to checked, signed-off, open geodata whose error is stated."), this);
    words->setObjectName("faint");
    words->setWordWrap(true);
    auto* begin = new QPushButton(tr("&New project…"), this);
    begin->setObjectName("chief");
    begin->setToolTip(tr("Begin a project: file, site code, title, CRS (Ctrl+N)"));
    auto* openCaption = new QLabel(tr("&Open a project"), this);
    openCaption->setBuddy(m_path->field());
    m_path->field()->setPlaceholderText(tr("path of a project file, then Enter"));
    m_trouble->setWordWrap(true);
    m_trouble->hide();

    auto* column = new QVBoxLayout;
    column->setSpacing(12);
    column->addWidget(heading);
    column->addWidget(words);
    column->addSpacing(12);
    column->addWidget(begin, 0, Qt::AlignLeft);
    column->addSpacing(12);
    column->addWidget(openCaption);
    column->addWidget(m_path);
    column->addWidget(m_trouble);
    column->addLayout(m_last);
    auto* middle = new QHBoxLayout;
    middle->addStretch(1);
    middle->addLayout(column, 4);
    middle->addStretch(1);
    auto* layout = new QVBoxLayout(this);
    layout->addStretch(2);
    layout->addLayout(middle);
    layout->addStretch(3);

    connect(begin, &QPushButton::clicked, this, &StartPage::newAsked);
    connect(m_path, &PathField::accepted, this, [this] { open(m_path->text()); });
    connect(m_path, &PathField::changed, m_trouble, &QLabel::hide);
}

void StartPage::focusOpen()
{
    m_path->setFocus();
}

void StartPage::remember(const QString& projectFile)
{
    QSettings settings;
    QStringList files = settings.value(settingsKey).toStringList();
    files.removeAll(projectFile);
    files.prepend(projectFile);
    settings.setValue(settingsKey, files.mid(0, rememberedProjects));
}

void StartPage::open(const QString& file)
{
    const Result<void> opened = m_session.open(file.toStdString());
    m_trouble->setVisible(!opened);
    if (!opened)
        m_trouble->setText(words(opened.error().message));
}

void StartPage::listLast()
{
    while (QLayoutItem* item = m_last->takeAt(0)) {
        if (item->widget())
            item->widget()->deleteLater();
        delete item;
    }
    for (const QString& file : QSettings().value(settingsKey).toStringList()) {
        if (!QFileInfo::exists(file))
            continue;
        auto* button = new QPushButton(
            tr("%1  —  %2").arg(QFileInfo(file).completeBaseName(), QFileInfo(file).absolutePath()), this);
        button->setToolTip(tr("Open %1").arg(file));
        button->setStyleSheet("text-align: left");
        connect(button, &QPushButton::clicked, this, [this, file] { open(file); });
        m_last->addWidget(button);
    }
}

void StartPage::showEvent(QShowEvent* event)
{
    listLast();
    QWidget::showEvent(event);
}

} // namespace inkpeg
