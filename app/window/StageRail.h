// SPDX-License-Identifier: GPL-3.0-or-later
// The stages of the job across the top. A station is a real button: it takes focus, keys and a screen
// reader.
#pragma once

#include <QAbstractButton>
#include <QList>
#include <QWidget>

class QHBoxLayout;

namespace inkpeg {

enum class Station { Register, Peg, Trace, Check, HandOver };

class StageRail final : public QWidget {
    Q_OBJECT
public:
    explicit StageRail(QWidget* parent = nullptr);

    Station station() const { return m_station; }
    void setStation(Station station);
    QAbstractButton* button(Station station) const { return m_buttons[static_cast<int>(station)]; }

    /// Puts a widget at the right end of the rail.
    void addAtEnd(QWidget* widget);

signals:
    void chosen(inkpeg::Station station);

protected:
    void paintEvent(QPaintEvent*) override;

private:
    Station m_station = Station::Register;
    QList<QAbstractButton*> m_buttons;
    QHBoxLayout* m_layout;
};

} // namespace inkpeg
