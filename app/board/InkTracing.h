// SPDX-License-Identifier: GPL-3.0-or-later
// What the pencil contributes while an outline is traced: the way it takes from the last vertex to the
// pointer, the junctions and lines to snap to, and the closed outlines around a place.
#pragma once

#include <optional>
#include <vector>

#include <QPainter>

#include "app/board/InkGuide.h"
#include "core/film/InkArea.h"
#include "core/film/InkPath.h"

namespace inkpeg {

struct BoardPicture;

class InkTracing final : public QObject {
    Q_OBJECT
public:
    explicit InkTracing(QObject* parent = nullptr);

    InkGuide& guide() { return m_guide; }
    bool ready() const { return m_guide.ink() != nullptr; }

    /// Whether lines follow the pencil, once it has been read.
    bool follows() const { return m_follows; }
    void setFollows(bool follows);
    /// Whether a click asks for the outline around it.
    bool encloses() const { return m_encloses; }
    void setEncloses(bool encloses);
    /// The widest gap that is bridged, mm on the film; goes round a few.
    double gapMm() const { return m_areaSettings.gapMm; }
    void cycleGap();

    /// A junction within `reachPx` of the scan, else the middle of a line within half of that.
    enum class SnapTo { Junction, Line };
    struct Snap {
        ScanPx at;
        SnapTo to;
    };
    std::optional<Snap> snapFor(ScanPx place, double reachPx) const;

    /// What lies between two places by the pencil, neither included; nothing where the line goes straight:
    /// when it does not follow, the ink is not read yet, or most of the way has no pencil.
    std::vector<ScanPx> between(ScanPx from, ScanPx to) const;

    /// The line that is being led to the pointer, found anew when either end has moved.
    const std::vector<ScanPx>& lead(ScanPx from, ScanPx to);

    /// Looks for the outlines around a place; if there is none, says why.
    QString propose(ScanPx place);
    bool proposing() const { return m_shown.has_value(); }
    bool proposalHolds(ScanPx place) const;
    void stepWider(int steps);
    void dropProposal();
    /// Not null while proposing.
    const InkArea* proposal() const { return m_shown ? &m_areas[*m_shown] : nullptr; }
    /// One line about the proposal, or about reading the ink.
    QString words() const;

    void paintProposal(QPainter& painter, const BoardPicture& picture) const;

signals:
    void changed();

private:
    void lookAgain();

    InkGuide m_guide;
    bool m_follows = true, m_encloses = false;
    InkPathSettings m_pathSettings;
    InkAreaSettings m_areaSettings;
    std::optional<std::pair<ScanPx, ScanPx>> m_ledFor;
    std::vector<ScanPx> m_lead;
    ScanPx m_seed;
    std::vector<InkArea> m_areas; ///< by size, once proposed
    std::optional<std::size_t> m_shown;
};

} // namespace inkpeg
