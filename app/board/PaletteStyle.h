// SPDX-License-Identifier: GPL-3.0-or-later
// The style of widgets: Qt's own, with boxes and buttons to tick drawn in our colours. Qt draws their
// frames darker than the window, so that in the dark they cannot be seen.
#pragma once

#include <QProxyStyle>

namespace inkpeg {

class PaletteStyle final : public QProxyStyle {
    Q_OBJECT
public:
    PaletteStyle();

    void drawPrimitive(PrimitiveElement element, const QStyleOption* option, QPainter* painter,
                       const QWidget* widget) const override;
    /// Buttons of dialogs have words alone: their pictures are drawn for light grounds.
    int styleHint(StyleHint hint, const QStyleOption* option, const QWidget* widget,
                  QStyleHintReturn* answer) const override;
};

} // namespace inkpeg
