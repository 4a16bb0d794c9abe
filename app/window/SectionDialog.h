// SPDX-License-Identifier: GPL-3.0-or-later
// How the section at hand stands: its line from A over the bends to B, datum, facing, how tall it was drawn;
// which marks lie on the datum line; and, where it reads the wrong way, what can be done about it.
#pragma once

#include <QDialog>

#include "app/window/Session.h"

class QComboBox;
class QDoubleSpinBox;
class QLabel;
class QLineEdit;
class QTableWidget;
class QVBoxLayout;

namespace inkpeg {

class SectionDialog final : public QDialog {
    Q_OBJECT
public:
    SectionDialog(Session& session, QWidget* parent);

private:
    void refresh();
    void showReading(const Drawing& drawing);
    void showPins(const Drawing& drawing);
    void keep();
    void keepPin(int row);
    void refuse(const QString& words);

    Session& m_session;
    QLineEdit* m_line;
    QLineEdit* m_datum;
    QComboBox* m_facing;
    QDoubleSpinBox* m_taller;
    QTableWidget* m_pins;
    QLabel* m_reads;
    QLabel* m_trouble;
    QVBoxLayout* m_remedies;
    bool m_filling = false;
};

} // namespace inkpeg
