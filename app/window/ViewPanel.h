// SPDX-License-Identifier: GPL-3.0-or-later
// A panel on the board: how the film is looked at. What is changed there is seen at once.
#pragma once

#include <QFrame>

#include "app/board/ViewSettings.h"

class QCheckBox;
class QDoubleSpinBox;
class QGridLayout;
class QLabel;
class QSlider;

namespace inkpeg {

class ViewPanel final : public QFrame {
    Q_OBJECT
public:
    explicit ViewPanel(QWidget* board);

    void setSettings(const ViewSettings& settings);
    const ViewSettings& settings() const { return m_settings; }

    /// Opens in the board's upper right corner with the keys on its first slider, or closes.
    void toggle();

    QSlider* brightness() const { return m_brightness; }
    QSlider* contrast() const { return m_contrast; }
    QSlider* inkStrength() const { return m_inkStrength; }
    QDoubleSpinBox* turn() const { return m_turn; }
    QCheckBox* mirrored() const { return m_mirrored; }

signals:
    void changed(const inkpeg::ViewSettings& settings);

protected:
    void keyPressEvent(QKeyEvent* event) override;
    bool eventFilter(QObject* watched, QEvent* event) override;

private:
    QSlider* addSlider(QGridLayout* grid, const QString& caption, const QString& tip, int least);
    void putInCorner();
    void take();
    void showFigures();

    ViewSettings m_settings;
    QSlider *m_brightness, *m_contrast, *m_inkStrength;
    QLabel* m_figures[3] = {};
    QDoubleSpinBox* m_turn;
    QCheckBox* m_mirrored;
};

} // namespace inkpeg
