// SPDX-License-Identifier: GPL-3.0-or-later
// The outlines in view as one picture, kept until the view or the outlines change, so that a moving pointer
// costs no more than laying it down again.
#pragma once

#include <cstdint>
#include <vector>

#include <QPixmap>
#include <QPointF>
#include <QSizeF>

class QPainter;

namespace inkpeg {

struct BoardPicture;

class OutlineLayer {
public:
    /// What is to be seen.
    struct Look {
        std::int64_t selected = 0;
        bool withVertices = false;           ///< of all outlines, not of the selected one alone
        std::vector<std::int64_t> leftOut{}; ///< drawn by the tool itself, as they would be
        bool operator==(const Look&) const = default;
    };

    /// `revision` tells one set of outlines from the next.
    void paint(QPainter& painter, const BoardPicture& picture, std::uint64_t revision,
               double devicePixelRatio, const Look& look);

private:
    struct Shown {
        std::uint64_t revision = 0;
        double devicePixelRatio = 0;
        QSizeF size;
        QPointF origin, unit; ///< where two places of the scene lie on the widget
        bool onGround = false, dark = false;
        Look look;
        bool operator==(const Shown&) const = default;
    };
    Shown m_shown;
    QPixmap m_picture;
};

} // namespace inkpeg
