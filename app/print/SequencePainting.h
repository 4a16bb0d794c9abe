// SPDX-License-Identifier: GPL-3.0-or-later
// The stratigraphic diagram drawn with a QPainter: the same strokes in the window, in SVG and in PDF.
#pragma once

#include <array>
#include <optional>
#include <string>

#include <QColor>
#include <QRectF>

#include "core/checks/SequenceDiagram.h"

class QPainter;

namespace inkpeg {

/// Colours of the diagram; the stage stands in words on each box, a circle in words and strokes too.
struct SequenceInk {
    QColor paper, text, quiet, line, trouble;
    std::array<QColor, 6> stages; ///< by Stage

    /// For print, dark enough for a grey printer.
    static SequenceInk forPaper();
    const QColor& of(Stage stage) const { return stages[static_cast<std::size_t>(stage)]; }
};

/// One unit of the painter must be a tenth of a millimetre of the diagram: fonts are whole units high.
constexpr double SequenceUnitsPerMm = 10;

/// Draws what meets `visibleMm`; `chosen` is the unit that is at hand.
void paintSequence(QPainter& painter, const SequenceDiagram& diagram, const SequenceInk& ink,
                   const QRectF& visibleMm, std::optional<std::size_t> chosen = {});

/// A row that tells the stages' colours by their names and how many units are at each; `atMm` its upper left.
void paintSequenceKey(QPainter& painter, const SequenceDiagram& diagram, const SequenceInk& ink, double xMm,
                      double yMm);

/// What the picture does not say by itself, a line each: circles, relations that were left out.
std::vector<std::string> sequenceRemarks(const SequenceDiagram& diagram);

/// What stands above the diagram on paper.
struct SequenceTitle {
    std::string site, title; ///< "SKR26", "Skelder Rigg"
    std::string trench;      ///< empty = the whole site
    std::string at;          ///< state of the project, ISO 8601, UTC
};

/// One page as large as the diagram needs, or made smaller to the largest that a PDF may be (5.08 m,
/// ISO 32000-1, annex C). The same diagram gives the same bytes.
std::string sequencePdf(const SequenceDiagram& diagram, const SequenceTitle& title);

/// SVG, in millimetres; words are text that can be searched.
std::string sequenceSvg(const SequenceDiagram& diagram, const SequenceTitle& title);

} // namespace inkpeg
