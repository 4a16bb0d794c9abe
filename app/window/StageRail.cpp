// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/StageRail.h"

#include <QHBoxLayout>
#include <QPainter>

#include "app/board/Palette.h"

namespace inkpeg {
namespace {

/// One station: a ring with its number on the line of the rail and the name beside it; the one in use is
/// filled.
class StationButton final : public QAbstractButton {
public:
    StationButton(int number, const QString& name, QWidget* parent)
        : QAbstractButton(parent), m_number(number)
    {
        setText(name);
        setAccessibleName(name);
        setToolTip(QObject::tr("%1 (Alt+%2)").arg(name).arg(number));
        setCheckable(true);
        setFocusPolicy(Qt::TabFocus);
        setCursor(Qt::PointingHandCursor);
        QFont larger = font();
        larger.setPointSizeF(larger.pointSizeF() * 1.15);
        setFont(larger);
    }
    QSize sizeHint() const override
    {
        QFont bold = font();
        bold.setBold(true);
        return {QFontMetrics(bold).horizontalAdvance(text()) + 62, 46};
    }

protected:
    void paintEvent(QPaintEvent*) override
    {
        const Palette& colours = inkpeg::palette();
        QPainter painter(this);
        painter.setRenderHint(QPainter::Antialiasing);
        if (isChecked() || underMouse()) {
            painter.setPen(Qt::NoPen);
            painter.setBrush(isChecked() ? colours.accentWash : colours.surface);
            painter.drawRoundedRect(QRectF(rect()).adjusted(2, 6, -2, -6), 17, 17);
        }
        const QPointF middle(23, height() / 2.0);
        painter.setPen(QPen(isChecked() ? colours.accent : colours.faintInk, 2));
        painter.setBrush(isChecked() ? colours.accent : colours.rail);
        painter.drawEllipse(middle, 12, 12);
        painter.setPen(isChecked() ? colours.onAccent : colours.ink);
        QFont bold = font();
        bold.setBold(true);
        painter.setFont(bold);
        painter.drawText(QRectF(middle.x() - 12, middle.y() - 12, 24, 24), Qt::AlignCenter,
                         QString::number(m_number));
        painter.setPen(colours.ink);
        if (!isChecked())
            painter.setFont(font());
        painter.drawText(rect().adjusted(43, 0, 0, 0), Qt::AlignVCenter | Qt::AlignLeft, text());
        if (hasFocus()) {
            painter.setPen(QPen(colours.accent, 2));
            painter.setBrush(Qt::NoBrush);
            painter.drawRoundedRect(QRectF(rect()).adjusted(2, 6, -2, -6), 17, 17);
        }
    }

private:
    int m_number;
};

} // namespace

StageRail::StageRail(QWidget* parent) : QWidget(parent), m_layout(new QHBoxLayout(this))
{
    setObjectName("rail");
    m_layout->setContentsMargins(12, 2, 12, 2);
    m_layout->setSpacing(18);
    const QStringList names{tr("Register"), tr("Peg"), tr("Trace"), tr("Check"), tr("Hand over")};
    for (int i = 0; i < names.size(); ++i) {
        auto* button = new StationButton(i + 1, names[i], this);
        const auto station = static_cast<Station>(i);
        connect(button, &QAbstractButton::clicked, this, [this, station] {
            setStation(station);
            emit chosen(station);
        });
        m_buttons << button;
        m_layout->addWidget(button);
    }
    m_layout->addStretch(1);
    setStation(Station::Register);
}

void StageRail::setStation(Station station)
{
    m_station = station;
    for (int i = 0; i < m_buttons.size(); ++i)
        m_buttons[i]->setChecked(i == static_cast<int>(station));
}

void StageRail::addAtEnd(QWidget* widget)
{
    m_layout->addWidget(widget);
}

void StageRail::paintEvent(QPaintEvent*)
{
    const Palette& colours = inkpeg::palette();
    QPainter painter(this);
    painter.fillRect(rect(), colours.rail);
    // The line that the stations lie on.
    painter.setPen(QPen(colours.rule, 2));
    for (int i = 0; i + 1 < m_buttons.size(); ++i)
        painter.drawLine(m_buttons[i]->geometry().right(), height() / 2,
                         m_buttons[i + 1]->geometry().left(), height() / 2);
    painter.setPen(colours.rule);
    painter.drawLine(0, height() - 1, width(), height() - 1);
}

} // namespace inkpeg
