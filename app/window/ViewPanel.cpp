// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/ViewPanel.h"

#include <cmath>

#include <QCheckBox>
#include <QDoubleSpinBox>
#include <QGridLayout>
#include <QKeyEvent>
#include <QLabel>
#include <QPushButton>
#include <QSignalBlocker>
#include <QSlider>

namespace inkpeg {
namespace {

constexpr int fullScale = 100; // of a slider: 1.00

int onSlider(double value)
{
    return static_cast<int>(std::lround(value * fullScale));
}

} // namespace

ViewPanel::ViewPanel(QWidget* board)
    : QFrame(board), m_turn(new QDoubleSpinBox(this)), m_mirrored(new QCheckBox(tr("&Mirrored"), this))
{
    setObjectName("card");
    setFrameShape(QFrame::StyledPanel);
    setAutoFillBackground(true);
    setAttribute(Qt::WA_StyledBackground);
    auto* grid = new QGridLayout(this);
    grid->setContentsMargins(14, 10, 14, 12);
    grid->setVerticalSpacing(8);
    auto* heading = new QLabel(tr("View of this drawing"), this);
    heading->setObjectName("subheading");
    grid->addWidget(heading, 0, 0, 1, 3);
    m_inkStrength = addSlider(grid, tr("&Ink strength"),
                              tr("Takes the tone of the bare film away and makes faint pencil dark"), 0);
    m_brightness = addSlider(grid, tr("&Brightness"), tr("Lighter or darker as a whole"), -fullScale);
    m_contrast =
        addSlider(grid, tr("C&ontrast"), tr("Lights and darks farther apart, or closer"), -fullScale);
    m_turn->setRange(-180, 180);
    m_turn->setWrapping(true);
    m_turn->setDecimals(1);
    m_turn->setSuffix(tr("°"));
    m_turn->setToolTip(tr("Turns the film clockwise on the board; on the ground north stays up"));
    m_turn->setAccessibleName(tr("Turned by"));
    auto* turnCaption = new QLabel(tr("&Turned by"), this);
    turnCaption->setBuddy(m_turn);
    grid->addWidget(turnCaption, 4, 0);
    grid->addWidget(m_turn, 4, 1);
    m_mirrored->setToolTip(tr("Shows the film from behind (Ctrl+M)"));
    auto* asScanned = new QPushButton(tr("As scanned"), this);
    asScanned->setToolTip(tr("Undoes all of this (Ctrl+0)"));
    grid->addWidget(m_mirrored, 5, 0);
    grid->addWidget(asScanned, 5, 1, 1, 2, Qt::AlignRight);
    auto* note = new QLabel(tr("Only what you see changes. Esc closes."), this);
    note->setObjectName("faint");
    grid->addWidget(note, 6, 0, 1, 3);

    connect(m_turn, &QDoubleSpinBox::valueChanged, this, &ViewPanel::take);
    connect(m_mirrored, &QCheckBox::toggled, this, &ViewPanel::take);
    connect(asScanned, &QPushButton::clicked, this, [this] {
        setSettings({});
        emit changed(m_settings);
    });
    board->installEventFilter(this);
    showFigures();
    hide();
}

QSlider* ViewPanel::addSlider(QGridLayout* grid, const QString& caption, const QString& tip, int least)
{
    auto* slider = new QSlider(Qt::Horizontal, this);
    slider->setRange(least, fullScale);
    slider->setSingleStep(5);
    slider->setPageStep(20);
    slider->setMinimumWidth(150);
    slider->setToolTip(tip);
    slider->setFocusPolicy(Qt::StrongFocus);
    QString name = caption;
    slider->setAccessibleName(name.remove('&'));
    auto* label = new QLabel(caption, this);
    label->setBuddy(slider);
    const int row = grid->rowCount();
    grid->addWidget(label, row, 0);
    grid->addWidget(slider, row, 1);
    QLabel*& figure = m_figures[row - 1];
    figure = new QLabel(this);
    figure->setObjectName("faint");
    figure->setAlignment(Qt::AlignRight | Qt::AlignVCenter);
    figure->setMinimumWidth(figure->fontMetrics().horizontalAdvance("+100"));
    grid->addWidget(figure, row, 2);
    connect(slider, &QSlider::valueChanged, this, &ViewPanel::take);
    return slider;
}

void ViewPanel::setSettings(const ViewSettings& settings)
{
    m_settings = settings;
    const QSignalBlocker quiet[] = {QSignalBlocker(m_brightness), QSignalBlocker(m_contrast),
                                    QSignalBlocker(m_inkStrength), QSignalBlocker(m_turn),
                                    QSignalBlocker(m_mirrored)};
    m_brightness->setValue(onSlider(settings.tone.brightness));
    m_contrast->setValue(onSlider(settings.tone.contrast));
    m_inkStrength->setValue(onSlider(settings.tone.inkStrength));
    m_turn->setValue(settings.turnDegrees);
    m_mirrored->setChecked(settings.mirrored);
    showFigures();
}

void ViewPanel::take()
{
    m_settings.tone = {m_brightness->value() / double(fullScale), m_contrast->value() / double(fullScale),
                       m_inkStrength->value() / double(fullScale)};
    m_settings.turnDegrees = m_turn->value();
    m_settings.mirrored = m_mirrored->isChecked();
    showFigures();
    emit changed(m_settings);
}

void ViewPanel::showFigures()
{
    const QSlider* sliders[] = {m_inkStrength, m_brightness, m_contrast};
    for (int i = 0; i < 3; ++i)
        m_figures[i]->setText((sliders[i]->value() > 0 ? "+" : "") + QString::number(sliders[i]->value()));
}

void ViewPanel::toggle()
{
    if (isVisible()) {
        hide();
        parentWidget()->setFocus();
        return;
    }
    adjustSize();
    putInCorner();
    show();
    raise();
    m_inkStrength->setFocus();
}

void ViewPanel::putInCorner()
{
    move(std::max(0, parentWidget()->width() - width() - 14), 14);
}

void ViewPanel::keyPressEvent(QKeyEvent* event)
{
    if (event->key() == Qt::Key_Escape || event->key() == Qt::Key_V)
        toggle();
    else
        event->accept(); // not to the board beneath
}

bool ViewPanel::eventFilter(QObject* watched, QEvent* event)
{
    if (event->type() == QEvent::Resize && isVisible())
        putInCorner();
    return QFrame::eventFilter(watched, event);
}

} // namespace inkpeg
