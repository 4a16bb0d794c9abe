// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/board/BoardTool.h"

#include "app/board/Board.h"

namespace inkpeg {

BoardTool::BoardTool(Board& board) : QObject(&board), m_board(board) {}

} // namespace inkpeg
