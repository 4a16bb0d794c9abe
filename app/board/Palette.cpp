// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/Palette.h"

#include <array>
#include <utility>

#include <QFile>
#include <QJsonDocument>
#include <QJsonObject>

static void loadResources()
{
    Q_INIT_RESOURCE(palette);
} // outside the namespace, as Qt demands

namespace inkpeg {
namespace {

using Field = std::pair<const char*, QColor Palette::*>;

constexpr std::array<Field, 25> fields{{
    {"desk", &Palette::desk},
    {"surface", &Palette::surface},
    {"raised", &Palette::raised},
    {"rail", &Palette::rail},
    {"rule", &Palette::rule},
    {"ink", &Palette::ink},
    {"faintInk", &Palette::faintInk},
    {"accent", &Palette::accent},
    {"onAccent", &Palette::onAccent},
    {"accentWash", &Palette::accentWash},
    {"good", &Palette::good},
    {"doubtful", &Palette::doubtful},
    {"bad", &Palette::bad},
    {"pinFit", &Palette::pinFit},
    {"pinCheck", &Palette::pinCheck},
    {"pinLeftOut", &Palette::pinLeftOut},
    {"arrow", &Palette::arrow},
    {"outline", &Palette::outline},
    {"outlineSelected", &Palette::outlineSelected},
    {"tracing", &Palette::tracing},
    {"snap", &Palette::snap},
    {"peg", &Palette::peg},
    {"trench", &Palette::trench},
    {"find", &Palette::find},
    {"neighbour", &Palette::neighbour},
}};

struct Loaded {
    Palette colours;
    QStringList faults;
};

Loaded load(const char* name)
{
    loadResources();
    QFile file(":/palette/palette.json");
    Loaded loaded;
    if (!file.open(QIODevice::ReadOnly)) {
        loaded.faults << "palette.json is not compiled in";
        return loaded;
    }
    const QJsonObject colours = QJsonDocument::fromJson(file.readAll()).object()[name].toObject();
    const auto read = [&](const char* field, QColor& target) {
        target = QColor(colours[field].toString());
        if (!target.isValid())
            loaded.faults << QString("%1: %2 is no colour of the form #rrggbb").arg(name, field);
    };
    for (const auto& [field, member] : fields)
        read(field, loaded.colours.*member);
    read("halo", loaded.colours.halo);
    return loaded;
}

const Loaded& loadedOf(Theme theme)
{
    static const Loaded light = load("light");
    static const Loaded dark = load("dark");
    return theme == Theme::Light ? light : dark;
}

Theme currentTheme = Theme::Light;

} // namespace

const Palette& paletteOf(Theme theme)
{
    const Loaded& loaded = loadedOf(theme);
    if (!loaded.faults.isEmpty())
        qFatal("%s", qPrintable(loaded.faults.join("; ")));
    return loaded.colours;
}

QStringList faultsOfPalette(Theme theme)
{
    return loadedOf(theme).faults;
}

const Palette& palette()
{
    return paletteOf(currentTheme);
}
Theme theme()
{
    return currentTheme;
}
void setTheme(Theme theme)
{
    currentTheme = theme;
}

QPalette widgetPalette(const Palette& colours)
{
    QPalette made;
    made.setColor(QPalette::Window, colours.surface);
    made.setColor(QPalette::WindowText, colours.ink);
    made.setColor(QPalette::Base, colours.raised);
    made.setColor(QPalette::AlternateBase, colours.surface);
    made.setColor(QPalette::Text, colours.ink);
    made.setColor(QPalette::Button, colours.raised);
    made.setColor(QPalette::ButtonText, colours.ink);
    made.setColor(QPalette::Highlight, colours.accent);
    made.setColor(QPalette::HighlightedText, colours.onAccent);
    made.setColor(QPalette::ToolTipBase, colours.raised);
    made.setColor(QPalette::ToolTipText, colours.ink);
    made.setColor(QPalette::PlaceholderText, colours.faintInk);
    made.setColor(QPalette::Link, colours.accent);
    made.setColor(QPalette::Mid, colours.rule);
    for (const auto role : {QPalette::WindowText, QPalette::Text, QPalette::ButtonText})
        made.setColor(QPalette::Disabled, role, colours.faintInk);
    return made;
}

QString styleSheet(const Palette& colours)
{
    QString sheet = R"(
        QWidget { color: @ink; }
        QMainWindow, QDialog, QWidget#page, QWidget#card, QWidget#chest, QWidget#tally { background: @surface; }
        QLabel#heading { font-size: 17pt; font-weight: 600; }
        QLabel#subheading { font-size: 12pt; font-weight: 600; }
        QLabel#faint { color: @faintInk; }
        QLineEdit, QPlainTextEdit, QTableView, QListView, QTextBrowser {
            background: @raised; border: 1px solid @rule; border-radius: 5px; padding: 5px 7px;
            selection-background-color: @accent; selection-color: @onAccent; }
        QLineEdit:focus, QPlainTextEdit:focus, QTableView:focus, QListView:focus {
            border: 2px solid @accent; padding: 4px 6px; }
        QTableView { padding: 0; gridline-color: @rule; }
        QTableView:focus { padding: 0; }
        QTableView QLineEdit { border-radius: 0; padding: 1px 4px; }
        QHeaderView::section { background: @rail; color: @faintInk; border: none;
            border-bottom: 1px solid @rule; padding: 5px 6px; }
        QPushButton { background: @raised; border: 1px solid @rule; border-radius: 5px; padding: 7px 14px; }
        QPushButton:hover { border-color: @accent; }
        QPushButton:focus { border: 2px solid @accent; padding: 6px 13px; }
        QPushButton:disabled { color: @faintInk; background: @surface; }
        QPushButton#chief { background: @accent; color: @onAccent; border-color: @accent; font-weight: 600; }
        QPushButton#chief:disabled { background: @rule; color: @faintInk; border-color: @rule; }
        QProgressBar { background: @raised; border: 1px solid @rule; border-radius: 5px; text-align: center; }
        QProgressBar::chunk { background: @accentWash; }
        QMenuBar, QStatusBar { background: @rail; }
        QMenuBar::item { padding: 5px 10px; background: transparent; }
        QMenuBar::item:selected, QMenu::item:selected { background: @accentWash; color: @ink; }
        QMenu { background: @raised; border: 1px solid @rule; padding: 4px; }
        QMenu::item { padding: 5px 26px 5px 20px; }
        QMenu::item:disabled { color: @faintInk; }
        QMenu::separator { height: 1px; background: @rule; margin: 4px 8px; }
        QToolTip { background: @raised; color: @ink; border: 1px solid @rule; padding: 4px; }
        QSplitter::handle { background: @rule; }
        QListWidget::item, QTreeWidget::item { padding: 3px 2px; }
        QScrollArea { border: none; background: transparent; }
        QTabBar::tab { padding: 6px 9px; border-bottom: 3px solid transparent; color: @faintInk; }
        QTabBar::tab:selected { border-bottom: 3px solid @accent; color: @ink; }
        QTabWidget::pane { border: none; }
    )";
    const std::array<Field, 7> used{{{"@surface", &Palette::surface},
                                     {"@raised", &Palette::raised},
                                     {"@rail", &Palette::rail},
                                     {"@rule", &Palette::rule},
                                     {"@faintInk", &Palette::faintInk},
                                     {"@ink", &Palette::ink},
                                     {"@onAccent", &Palette::onAccent}}};
    for (const auto& [name, member] : used)
        sheet.replace(name, (colours.*member).name());
    // The longer name first: "@accent" begins "@accentWash".
    sheet.replace("@accentWash", colours.accentWash.name());
    sheet.replace("@accent", colours.accent.name());
    return sheet;
}

} // namespace inkpeg
