// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/print/ResidualPicture.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "app/print/LabelBox.h"
#include "core/base/Text.h"

namespace inkpeg {

namespace {

constexpr double MarginMm = 12;
constexpr double KeyHeightMm = 12;
constexpr double LongestArrowMm = 12;
constexpr double LargestToleranceMm = 8; ///< radius of the circle, so that it stays clear of its neighbours
constexpr double ArrowHeadMm = 1.6;

/// The largest of 1, 2, 5 x 10^n that is not above `value`.
double roundBelow(double value)
{
    if (value <= 0)
        return 1;
    const double power = std::pow(10.0, std::floor(std::log10(value)));
    for (const double step : {5.0, 2.0})
        if (step * power <= value * (1 + 1e-9))
            return step * power;
    return power;
}

/// The smallest of 1, 2, 5 x 10^n that is not below `value`.
double roundAbove(double value)
{
    const double below = roundBelow(value);
    if (below >= value * (1 - 1e-9))
        return below;
    const double leading = below / std::pow(10.0, std::floor(std::log10(below)));
    return leading > 1.5 && leading < 3 ? below * 2.5 : below * 2;
}

std::vector<ScanPx> sheetCorners(const FilmFrame& film)
{
    return {{0, 0}, {film.widthPx, 0}, {film.widthPx, film.heightPx}, {0, film.heightPx}};
}

/// Ground to page, north (or the level) up.
class PageMap {
public:
    PageMap(const DrawingFigures& figures, double widthMm, double heightMm)
    {
        double west = 1e300, south = 1e300, east = -1e300, north = -1e300;
        const auto take = [&](GroundM at) {
            west = std::min(west, at.east), east = std::max(east, at.east);
            south = std::min(south, at.north), north = std::max(north, at.north);
        };
        for (const ScanPx corner : sheetCorners(figures.ground.film))
            take(figures.ground.toGround(corner));
        const double roomWidth = widthMm - 2 * MarginMm, roomHeight = heightMm - 2 * MarginMm - KeyHeightMm;
        m_metresPerMm = std::max((east - west) / roomWidth, (north - south) / roomHeight);
        m_centre = {(west + east) / 2, (south + north) / 2};
        m_middle = {widthMm / 2, MarginMm + roomHeight / 2};
    }

    double metresPerMm() const { return m_metresPerMm; }
    PageMm operator()(GroundM at) const
    {
        return {m_middle.x + (at.east - m_centre.east) / m_metresPerMm,
                m_middle.y - (at.north - m_centre.north) / m_metresPerMm};
    }

private:
    double m_metresPerMm = 1;
    GroundM m_centre;
    PageMm m_middle;
};

class PictureMaking {
public:
    PictureMaking(const DrawingFigures& figures, double widthMm, double heightMm)
        : m_figures(figures), m_map(figures, widthMm, heightMm)
    {
        m_picture.widthMm = widthMm;
        m_picture.heightMm = heightMm;
        m_picture.groundMPerMm = m_map.metresPerMm();
        chooseArrowScale();
    }

    ResidualPicture make()
    {
        addOutlineOf(sheetCorners(m_figures.ground.film), PieceRole::Film);
        if (m_figures.drawing.frame.size() >= 3)
            addOutlineOf(m_figures.drawing.frame, PieceRole::Frame);
        addGrid();
        for (std::size_t i = 0; i < m_figures.points.size(); ++i)
            addPin(m_figures.points[i], m_figures.ground.fit.residuals[i]);
        placeLabels();
        addKey();
        return std::move(m_picture);
    }

private:
    void chooseArrowScale()
    {
        double longestM = 0;
        for (const PinResidual& residual : m_figures.ground.fit.residuals)
            if (residual.use != PinUse::LeftOut)
                longestM = std::max(longestM, residual.lengthM());
        const double toleranceM = toleranceOnGround();
        // A perfect fit would ask for endless exaggeration: the tolerance circle keeps the scale sensible.
        m_picture.residualMPerMm =
            roundAbove(std::max(longestM / LongestArrowMm, toleranceM / LargestToleranceMm));
        m_picture.arrowOfKeyM = roundBelow(m_picture.residualMPerMm * LongestArrowMm);
    }

    double toleranceOnGround() const
    {
        return groundMFromFilmMm(m_figures.ground.fit.settings.toleranceMm,
                                 m_figures.ground.fit.settings.scaleDenominator);
    }

    PicturePiece& add(PicturePiece::Shape shape, PieceRole role, std::vector<PageMm> at)
    {
        m_picture.pieces.push_back({shape, role, std::move(at), 0, {}, PicturePiece::Anchor::Start});
        return m_picture.pieces.back();
    }

    void addText(PageMm at, PieceRole role, std::string text,
                 PicturePiece::Anchor anchor = PicturePiece::Anchor::Start)
    {
        PicturePiece& piece = add(PicturePiece::Shape::Text, role, {at});
        piece.text = std::move(text);
        piece.anchor = anchor;
    }

    void addOutlineOf(const std::vector<ScanPx>& corners, PieceRole role)
    {
        constexpr int Steps = 12; // curved models bend the edge of the sheet
        std::vector<PageMm> outline;
        for (std::size_t i = 0; i < corners.size(); ++i) {
            const ScanPx from = corners[i], to = corners[(i + 1) % corners.size()];
            for (int step = 0; step < Steps; ++step) {
                const double share = static_cast<double>(step) / Steps;
                outline.push_back(
                    m_map(m_figures.ground.toGround({from.column + (to.column - from.column) * share,
                                                     from.row + (to.row - from.row) * share})));
            }
        }
        add(PicturePiece::Shape::Closed, role, std::move(outline));
    }

    /// Short ticks at the border wherever a round easting or northing meets it, with their figures.
    void addGrid()
    {
        const double roomWidth = m_picture.widthMm, roomHeight = m_picture.heightMm - KeyHeightMm;
        const double stepM = roundAbove(m_map.metresPerMm() * 30);
        const PageMm origin = m_map({0, 0});
        const auto pageX = [&](double east) { return origin.x + east / m_map.metresPerMm(); };
        const auto pageY = [&](double north) { return origin.y - north / m_map.metresPerMm(); };
        const int decimals = stepM >= 1 ? 0 : stepM >= 0.1 ? 1 : 2;
        const bool upright = m_figures.ground.section.has_value();
        for (double east = std::ceil(-origin.x * m_map.metresPerMm() / stepM) * stepM;
             pageX(east) < roomWidth - 6; east += stepM) {
            if (pageX(east) < 6)
                continue;
            add(PicturePiece::Shape::Line, PieceRole::Grid, {{pageX(east), 0}, {pageX(east), 2}});
            add(PicturePiece::Shape::Line, PieceRole::Grid,
                {{pageX(east), roomHeight - 2}, {pageX(east), roomHeight}});
            addText({pageX(east), 5}, PieceRole::Caption, fixed(east, decimals) + (upright ? " m" : " E"),
                    PicturePiece::Anchor::Middle);
        }
        for (double north = std::ceil((origin.y - roomHeight) * m_map.metresPerMm() / stepM) * stepM;
             pageY(north) > 6; north += stepM) {
            if (pageY(north) > roomHeight - 6)
                continue;
            add(PicturePiece::Shape::Line, PieceRole::Grid, {{0, pageY(north)}, {2, pageY(north)}});
            add(PicturePiece::Shape::Line, PieceRole::Grid,
                {{roomWidth - 2, pageY(north)}, {roomWidth, pageY(north)}});
            addText({2.6, pageY(north) + 0.8}, PieceRole::Caption,
                    fixed(north, decimals) + (upright ? " m" : " N"));
        }
        add(PicturePiece::Shape::Closed, PieceRole::Grid,
            {{0, 0}, {roomWidth, 0}, {roomWidth, roomHeight}, {0, roomHeight}});
    }

    void addArrow(PageMm from, PageMm to, PieceRole role)
    {
        add(PicturePiece::Shape::Line, role, {from, to});
        const double length = std::hypot(to.x - from.x, to.y - from.y);
        if (length < 0.4)
            return; // shorter than the mark: the head would say more than the arrow
        const double head = std::min(ArrowHeadMm, length * 0.6);
        const double ux = (to.x - from.x) / length, uy = (to.y - from.y) / length;
        add(PicturePiece::Shape::Closed, role,
            {to,
             {to.x - head * ux + head * 0.38 * uy, to.y - head * uy - head * 0.38 * ux},
             {to.x - head * ux - head * 0.38 * uy, to.y - head * uy + head * 0.38 * ux}});
    }

    void addMark(PageMm at, PinUse use)
    {
        constexpr double R = 1.2;
        if (use == PinUse::Fit) {
            add(PicturePiece::Shape::Circle, PieceRole::PinMark, {at}).radiusMm = 0.8;
        } else if (use == PinUse::Check) {
            add(PicturePiece::Shape::Closed, PieceRole::CheckMark,
                {{at.x, at.y - R}, {at.x + R, at.y}, {at.x, at.y + R}, {at.x - R, at.y}});
        } else {
            add(PicturePiece::Shape::Line, PieceRole::LeftOutMark,
                {{at.x - R, at.y - R}, {at.x + R, at.y + R}});
            add(PicturePiece::Shape::Line, PieceRole::LeftOutMark,
                {{at.x - R, at.y + R}, {at.x + R, at.y - R}});
        }
    }

    void addPin(const ControlPoint& point, const PinResidual& residual)
    {
        // Where the mark lies on the film: a peg with wrong coordinates may be a kilometre from the sheet.
        const PageMm at = m_map(m_figures.ground.fit.transform.toGround(point.film));
        if (residual.use != PinUse::LeftOut) {
            add(PicturePiece::Shape::Circle, PieceRole::Tolerance, {at}).radiusMm =
                toleranceOnGround() / m_picture.residualMPerMm;
            const PageMm tip{at.x + residual.eastM / m_picture.residualMPerMm,
                             at.y - residual.northM / m_picture.residualMPerMm};
            const PieceRole role = !residual.withinTolerance       ? PieceRole::ArrowOut
                                   : residual.use == PinUse::Check ? PieceRole::ArrowCheck
                                                                   : PieceRole::Arrow;
            addArrow(at, tip, role);
            m_arrows.push_back({at, tip});
        }
        addMark(at, residual.use);
        m_marks.push_back({at, point.peg});
    }

    /// Names beside their marks: each where it hides least of marks, arrows and names already placed.
    void placeLabels()
    {
        std::vector<LabelBox> taken;
        for (const auto& [at, name] : m_marks) {
            LabelBox best;
            double least = 1e300;
            for (const LabelBox& box : LabelBox::around(at, name)) {
                const double hidden = hiddenBy(box, taken);
                if (hidden < least) {
                    least = hidden;
                    best = box;
                }
            }
            taken.push_back(best);
            addText({best.left, best.bottom - 0.6}, PieceRole::Label, name);
        }
    }

    double hiddenBy(const LabelBox& box, const std::vector<LabelBox>& taken) const
    {
        constexpr double Outside = 1000, Name = 100, Mark = 30, Arrow = 10;
        double hidden = box.preference;
        if (box.left < 0.5 || box.right > m_picture.widthMm - 0.5 || box.top < 0.5 ||
            box.bottom > m_picture.heightMm - KeyHeightMm - 0.5)
            hidden += Outside;
        for (const LabelBox& other : taken)
            hidden += box.meets(other) ? Name : 0;
        for (const auto& [at, name] : m_marks)
            hidden += box.holds(at, 1.3) ? Mark : 0;
        for (const auto& [from, to] : m_arrows)
            for (int i = 0; i <= 12; ++i)
                hidden +=
                    box.holds({from.x + (to.x - from.x) * i / 12, from.y + (to.y - from.y) * i / 12}, 0.3)
                        ? Arrow / 12
                        : 0;
        return hidden;
    }

    void addKey()
    {
        const double y = m_picture.heightMm - KeyHeightMm / 2 + 1;
        const double arrowMm = m_picture.arrowOfKeyM / m_picture.residualMPerMm;
        const double scale = m_figures.ground.fit.settings.scaleDenominator;
        addArrow({1, y}, {1 + arrowMm, y}, PieceRole::Key);
        addText({1 + arrowMm + 2, y + 1}, PieceRole::Caption,
                "residual " + fixed(m_picture.arrowOfKeyM * 1000, m_picture.arrowOfKeyM < 0.001 ? 2 : 0) +
                    " mm on the ground = " + fixed(filmMmFromGroundM(m_picture.arrowOfKeyM, scale), 2) +
                    " mm on the film");
        double x = m_picture.widthMm - 62;
        for (const auto& [use, words] : {std::pair{PinUse::Fit, "pin"},
                                         {PinUse::Check, "check point"},
                                         {PinUse::LeftOut, "left out"}}) {
            addMark({x, y}, use);
            addText({x + 2.2, y + 1}, PieceRole::Caption, words);
            x += use == PinUse::Fit ? 11 : 22;
        }
        const double lengthM = roundBelow(m_map.metresPerMm() * 30);
        const double barMm = lengthM / m_map.metresPerMm();
        const double right = m_picture.widthMm - 2, barY = m_picture.heightMm - KeyHeightMm - 3;
        add(PicturePiece::Shape::Line, PieceRole::Key, {{right - barMm, barY}, {right, barY}});
        for (const double end : {right - barMm, right})
            add(PicturePiece::Shape::Line, PieceRole::Key, {{end, barY - 1}, {end, barY + 1}});
        addText({right - barMm / 2, barY - 1.4}, PieceRole::Caption, exact(lengthM) + " m",
                PicturePiece::Anchor::Middle);
        if (toleranceOnGround() / m_picture.residualMPerMm > 1)
            addText({1, m_picture.heightMm - 0.6}, PieceRole::Caption,
                    "dashed circle: tolerance, " + fixed(m_figures.ground.fit.settings.toleranceMm, 2) +
                        " mm on the film, at the scale of the arrows");
    }

    const DrawingFigures& m_figures;
    PageMap m_map;
    ResidualPicture m_picture;
    std::vector<std::pair<PageMm, std::string>> m_marks;
    std::vector<std::pair<PageMm, PageMm>> m_arrows;
};

std::string points(const std::vector<PageMm>& at)
{
    std::string text;
    for (const PageMm& place : at)
        text += (text.empty() ? "" : " ") + fixed(place.x, 2) + "," + fixed(place.y, 2);
    return text;
}

const char* className(PieceRole role)
{
    switch (role) {
    case PieceRole::Film:
        return "film";
    case PieceRole::Frame:
        return "frame";
    case PieceRole::Grid:
        return "grid";
    case PieceRole::Tolerance:
        return "tolerance";
    case PieceRole::Arrow:
        return "arrow";
    case PieceRole::ArrowOut:
        return "arrow out";
    case PieceRole::ArrowCheck:
        return "arrow check";
    case PieceRole::PinMark:
        return "mark";
    case PieceRole::CheckMark:
        return "mark check";
    case PieceRole::LeftOutMark:
        return "mark left-out";
    case PieceRole::Label:
        return "label";
    case PieceRole::Caption:
        return "caption";
    case PieceRole::Key:
        return "arrow key";
    }
    return "";
}

std::string pieceSvg(const PicturePiece& piece)
{
    const std::string start = std::string(" class=\"") + className(piece.role) + "\"";
    switch (piece.shape) {
    case PicturePiece::Shape::Line:
        return "<polyline" + start + " points=\"" + points(piece.at) + "\"/>\n";
    case PicturePiece::Shape::Closed:
        return "<polygon" + start + " points=\"" + points(piece.at) + "\"/>\n";
    case PicturePiece::Shape::Circle:
        return "<circle" + start + " cx=\"" + fixed(piece.at[0].x, 2) + "\" cy=\"" +
               fixed(piece.at[0].y, 2) + "\" r=\"" + fixed(piece.radiusMm, 2) + "\"/>\n";
    case PicturePiece::Shape::Text:
        break;
    }
    const char* anchor = piece.anchor == PicturePiece::Anchor::Start    ? "start"
                         : piece.anchor == PicturePiece::Anchor::Middle ? "middle"
                                                                        : "end";
    return "<text" + start + " x=\"" + fixed(piece.at[0].x, 2) + "\" y=\"" + fixed(piece.at[0].y, 2) +
           "\" text-anchor=\"" + anchor + "\">" + escapedForMarkup(piece.text) + "</text>\n";
}

} // namespace

ResidualPicture residualPicture(const DrawingFigures& figures, double widthMm, double heightMm)
{
    return PictureMaking(figures, widthMm, heightMm).make();
}

std::string residualPictureSvg(const ResidualPicture& picture, const std::string& title)
{
    std::string svg = "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" viewBox=\"0 0 " +
                      fixed(picture.widthMm, 1) + " " + fixed(picture.heightMm, 1) + "\">\n<title>" +
                      escapedForMarkup(title) + "</title>\n";
    for (const PicturePiece& piece : picture.pieces)
        svg += pieceSvg(piece);
    return svg + "</svg>\n";
}

std::string escapedForMarkup(const std::string& text)
{
    std::string escaped;
    for (const char c : text) {
        switch (c) {
        case '&':
            escaped += "&amp;";
            break;
        case '<':
            escaped += "&lt;";
            break;
        case '>':
            escaped += "&gt;";
            break;
        case '"':
            escaped += "&quot;";
            break;
        case '\'':
            escaped += "&#39;";
            break;
        default:
            if (static_cast<unsigned char>(c) < 0x20 && c != '\t' && c != '\n')
                escaped += "\xEF\xBF\xBD";
            else
                escaped += c;
        }
    }
    return escaped;
}

} // namespace inkpeg
