// SPDX-License-Identifier: GPL-3.0-or-later
// How a dialog is put before a person.
#pragma once

class QDialog;
class QPushButton;

namespace inkpeg {

/// Opens a dialog of a window's, gives it the keys, and gives them back to that window when it closes: not
/// every desktop does so by itself, and the window's single keys would be meant for it otherwise.
/// One that is to be deleted on closing is deleted only after it has said that it is finished.
void present(QDialog* dialog);

/// Marks the button that does what its dialog is for. One made by a box of buttons was dressed before it
/// could be told from the others, so it is dressed anew.
void makeChief(QPushButton* button);

} // namespace inkpeg
