// SPDX-License-Identifier: GPL-3.0-or-later
// The program: with a verb it works on the command line and needs no display, otherwise it opens the
// window.
#include <string>
#include <vector>

#include <QApplication>
#include <QHashSeed>
#include <QSettings>

#include "app/board/Palette.h"
#include "app/board/PaletteStyle.h"
#include "app/cli/CommandLine.h"
#include "app/window/MainWindow.h"

namespace {

/// The person's choice, else what the desktop looks like.
inkpeg::Theme themeAtStart()
{
    const QString chosen = QSettings().value("theme").toString();
    if (chosen.isEmpty())
        return QApplication::palette().color(QPalette::Window).lightness() < 128 ? inkpeg::Theme::Dark
                                                                                 : inkpeg::Theme::Light;
    return chosen == "dark" ? inkpeg::Theme::Dark : inkpeg::Theme::Light;
}

} // namespace

int main(int argc, char** argv)
{
    // QPdfWriter writes its fonts in the order of a hash table, which is another in each process unless
    // told otherwise: the same project must give the same bytes.
    QHashSeed::setDeterministicGlobalSeed();
    const std::vector<std::string> arguments(argv + 1, argv + argc);
    if (inkpeg::isForCommandLine(arguments))
        return inkpeg::runCommandLine(arguments);

    QApplication application(argc, argv);
    QApplication::setOrganizationName("Inkpeg");
    QApplication::setApplicationName("Inkpeg");
    QApplication::setStyle(new inkpeg::PaletteStyle);
    inkpeg::setTheme(themeAtStart());
    inkpeg::MainWindow window;
    window.applyTheme();
    window.show();
    if (QApplication::arguments().size() > 1) // Qt has taken its own options out
        window.openProject(QApplication::arguments().at(1));
    return QApplication::exec();
}
