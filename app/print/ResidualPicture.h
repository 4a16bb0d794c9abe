// SPDX-License-Identifier: GPL-3.0-or-later
// The arrow picture of a residual report, as pieces with positions in millimetres on the page: the same
// picture is then drawn into a PDF or written as SVG.
#pragma once

#include <string>
#include <vector>

#include "app/print/PageMm.h"
#include "core/handover/ResidualFigures.h"

namespace inkpeg {

enum class PieceRole {
    Film,       ///< outline of the sheet
    Frame,      ///< outline of the drawing's own part
    Grid,       ///< ticks of the ground grid
    Tolerance,  ///< circle that an arrow must not leave
    Arrow,      ///< residual within tolerance
    ArrowOut,   ///< residual out of tolerance
    ArrowCheck, ///< residual of a check point
    PinMark,
    CheckMark,
    LeftOutMark,
    Label,   ///< name of a peg
    Caption, ///< words of the key and of the grid
    Key,     ///< lines of the key
};

struct PicturePiece {
    enum class Shape { Line, Closed, Circle, Text };
    Shape shape = Shape::Line;
    PieceRole role = PieceRole::Film;
    std::vector<PageMm> at; ///< Circle and Text: one position
    double radiusMm = 0;
    std::string text;
    enum class Anchor { Start, Middle, End } anchor = Anchor::Start;
};

struct ResidualPicture {
    double widthMm = 0, heightMm = 0;
    std::vector<PicturePiece> pieces;
    double groundMPerMm = 1; ///< of the map itself
    /// Of the arrows: one mm on the page stands for so many metres of residual.
    double residualMPerMm = 0.1;
    double arrowOfKeyM = 0; ///< residual shown in the key
};

/// Fits drawing and arrows into the box; the arrows' scale is a round number chosen so that the longest is
/// readable.
ResidualPicture residualPicture(const DrawingFigures& figures, double widthMm, double heightMm);

/// The picture as an SVG element (W3C SVG 1.1), without prologue, for a page of HTML.
std::string residualPictureSvg(const ResidualPicture& picture, const std::string& title);

/// Text with &, <, >, " and ' made harmless in HTML and SVG; control characters become U+FFFD.
std::string escapedForMarkup(const std::string& text);

} // namespace inkpeg
