// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/fit/SiteGrid.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "core/base/Text.h"

namespace inkpeg {

namespace {

constexpr double SuspectTest = 3.29; // Baarda 1968, alpha 0.001

/// Site metres pass for film millimetres: at 1:1000 they are the same length on the ground.
FilmMm asFilm(GroundM site)
{
    return {site.east, site.north};
}

} // namespace

std::vector<CommonPoint> commonPoints(std::span<const Peg> pegs)
{
    const auto countOf = [&](const std::string& name, PegFrame frame) {
        return std::count_if(pegs.begin(), pegs.end(),
                             [&](const Peg& peg) { return peg.name == name && peg.frame == frame; });
    };
    std::vector<CommonPoint> points;
    for (const Peg& site : pegs) {
        if (site.frame != PegFrame::Site || countOf(site.name, PegFrame::Site) != 1 ||
            countOf(site.name, PegFrame::Crs) != 1)
            continue;
        const auto crs = std::find_if(pegs.begin(), pegs.end(), [&](const Peg& peg) {
            return peg.name == site.name && peg.frame == PegFrame::Crs;
        });
        // Site errors lie along other axes; taken as round, their mean does.
        const double siteErrorM = std::sqrt((site.standardErrorEastM * site.standardErrorEastM +
                                             site.standardErrorNorthM * site.standardErrorNorthM) /
                                            2);
        points.push_back({site.name, site.position, crs->position,
                          std::hypot(crs->standardErrorEastM, siteErrorM),
                          std::hypot(crs->standardErrorNorthM, siteErrorM)});
    }
    return points;
}

SiteGrid::SiteGrid(ControlFit fit) : m_fit(std::move(fit)) {}

GroundM SiteGrid::toCrs(GroundM site) const
{
    return m_fit.transform.toGround(asFilm(site));
}

GroundM SiteGrid::toSite(GroundM crs) const
{
    const Result<FilmMm> site = m_fit.transform.toFilm(crs);
    // fitSiteGrid refused points at one place, so the scale is not 0 and the closed form always holds.
    assert(site);
    return {site->x, site->y};
}

Peg SiteGrid::toCrs(const Peg& peg) const
{
    if (peg.frame == PegFrame::Crs)
        return peg;
    const GroundJacobian turn = m_fit.transform.jacobian(asFilm(peg.position));
    const GroundCovariance fitted = m_fit.covarianceAt(asFilm(peg.position));
    Peg inCrs = peg;
    inCrs.frame = PegFrame::Crs;
    inCrs.position = toCrs(peg.position);
    inCrs.standardErrorEastM =
        std::hypot(turn.eastByX * peg.standardErrorEastM, turn.eastByY * peg.standardErrorNorthM,
                   std::sqrt(fitted.eastEast));
    inCrs.standardErrorNorthM =
        std::hypot(turn.northByX * peg.standardErrorEastM, turn.northByY * peg.standardErrorNorthM,
                   std::sqrt(fitted.northNorth));
    return inCrs;
}

double SiteGrid::scale() const
{
    const GroundJacobian slope = m_fit.transform.jacobian({0, 0});
    return std::hypot(slope.eastByX, slope.northByX);
}

double SiteGrid::scalePartsPerMillion() const
{
    return (scale() - 1) * 1e6;
}

double SiteGrid::rotationRad() const
{
    // Site north points to (eastByY, northByY) in the CRS.
    const GroundJacobian slope = m_fit.transform.jacobian({0, 0});
    return std::atan2(slope.eastByY, slope.northByY);
}

GroundM SiteGrid::origin() const
{
    return toCrs(GroundM{0, 0});
}

std::vector<CommonPointResidual> SiteGrid::residuals() const
{
    std::vector<CommonPointResidual> residuals;
    for (const PinResidual& r : m_fit.residuals)
        residuals.push_back({r.peg, r.eastM, r.northM, r.testEast, r.testNorth,
                             std::max(std::abs(r.testEast), std::abs(r.testNorth)) > SuspectTest});
    return residuals;
}

Result<SiteGrid> fitSiteGrid(std::span<const CommonPoint> points)
{
    if (points.size() < 2)
        return Error{ErrorCode::Unsolvable, "the site grid and the CRS have " +
                                                std::to_string(points.size()) + " common points" +
                                                (points.empty() ? "" : " (" + points[0].name + ")") +
                                                "; 2 are needed, far apart: give more pegs in both frames"};
    double apartSiteM = 0, apartCrsM = 0;
    std::vector<ControlPoint> pins;
    for (const CommonPoint& point : points) {
        apartSiteM = std::max(apartSiteM, distance(points[0].site, point.site));
        apartCrsM = std::max(apartCrsM, distance(points[0].crs, point.crs));
        pins.push_back({.peg = point.name,
                        .film = asFilm(point.site),
                        .ground = point.crs,
                        .standardErrorEastM = point.standardErrorEastM,
                        .standardErrorNorthM = point.standardErrorNorthM});
    }
    constexpr double TooClose = 0.01; // metres: less says nothing about the turn of a grid
    if (apartSiteM < TooClose || apartCrsM < TooClose)
        return Error{ErrorCode::Unsolvable, "the common points of site grid and CRS, " + points[0].name +
                                                " to " + points.back().name + ", lie at one place in the " +
                                                (apartSiteM < TooClose ? "site grid" : "CRS") +
                                                "; give a peg far from them in both frames"};
    Result<ControlFit> fit =
        fitControl(pins, {.model = Model::Similarity, .scaleDenominator = 1000, .pinPointingMm = 0});
    if (!fit)
        return Error{fit.error().code, "site grid: " + fit.error().message};
    return SiteGrid(std::move(fit).value());
}

} // namespace inkpeg
