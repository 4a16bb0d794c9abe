// SPDX-License-Identifier: GPL-3.0-or-later
// Where the lines of sections, their bars and their words stand on the screen: no word on another, nor on
// the name of a peg.
//
//   for (const TraceOnScreen& trace : layTraces(picture)) draw(trace);
#pragma once

#include <optional>
#include <span>
#include <vector>

#include <QPolygonF>
#include <QRectF>
#include <QString>

namespace inkpeg {

struct BoardPicture;

/// Room for words: what came first keeps its place.
class WordRoom {
public:
    void take(const QRectF& box) { m_taken.push_back(box); }
    bool isFree(const QRectF& box) const;
    /// Takes the first place that is free; nothing if none is.
    std::optional<QRectF> firstFree(std::span<const QRectF> places);

private:
    std::vector<QRectF> m_taken;
};

struct TraceWord {
    QString text;
    QRectF box;
    bool isName = false; ///< of the section, at an end of its line; else the number of a context
};

struct TraceOnScreen {
    QPolygonF line; ///< from A to B
    QPointF side;   ///< a pixel to the side from which the face is read
    std::vector<QPolygonF> bars;
    double barPx = 0; ///< how wide
    std::vector<TraceWord> words;
};

/// A line that is short on the screen has thin bars without numbers, a very short one none. A context whose
/// number finds no room goes without; an end that a peg names already ("S-01 A") is not named again.
std::vector<TraceOnScreen> layTraces(const BoardPicture& picture);

} // namespace inkpeg
