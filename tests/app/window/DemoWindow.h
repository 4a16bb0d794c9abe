// SPDX-License-Identifier: GPL-3.0-or-later
// The real window with a drawing of the demo taken in: where tests of one stage begin.
#pragma once

#include <memory>

#include <QApplication>
#include <QCheckBox>
#include <QPushButton>
#include <QStandardPaths>
#include <QTest>

#include "app/board/Palette.h"
#include "app/board/PaletteStyle.h"
#include "app/window/MainWindow.h"
#include "app/window/PathField.h"
#include "app/window/RegisterPage.h"
#include "tests/app/window/DemoFolder.h"

namespace inkpeg {

/// Shown and active, with the theme that pictures are asked in. Settings are those of tests, not of the
/// person who runs them.
inline std::unique_ptr<MainWindow> shownWindow()
{
    QStandardPaths::setTestModeEnabled(true);
    QApplication::setStyle(new PaletteStyle);
    if (qEnvironmentVariable("INKPEG_SCREENSHOTS_THEME") == "dark")
        setTheme(Theme::Dark);
    auto window = std::make_unique<MainWindow>();
    window->applyTheme();
    window->show();
    window->activateWindow();
    return QTest::qWaitForWindowActive(window.get()) ? std::move(window) : nullptr;
}

/// A new project with the demo's registers, taken in by the Register page; only `drawing` has its scan.
/// False when it did not come to be.
inline bool takeDemoIn(MainWindow& window, const DemoFolder& demo, const QString& drawing,
                       const std::string& initials)
{
    ProjectFacts facts;
    facts.siteCode = "SKR26";
    facts.title = "Skelder Rigg";
    Person first;
    first.initials = initials;
    if (!window.session().create(demo.path("demo/skelder-rigg.gpkg").toStdString(), facts, first))
        return false;
    RegisterPage& page = window.registerPage();
    window.setStation(Station::Register);
    page.files()->setText(demo.registers());
    emit page.files()->accepted();
    page.findChild<QCheckBox*>()->setChecked(true); // other sheets have no scans here
    for (QPushButton* button : page.findChildren<QPushButton*>("chief"))
        QTest::mouseClick(button, Qt::LeftButton);
    // On a busy machine a dialog tells how far it is: the window has the keys again after it.
    return QTest::qWaitFor(
        [&] {
            return QApplication::activeWindow() == &window &&
                   window.session().project().byKey<Drawing>(drawing.toStdString()).has_value();
        },
        300'000);
}

} // namespace inkpeg
