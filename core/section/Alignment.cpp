// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/section/Alignment.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <Eigen/QR>
#include <Eigen/SVD>

namespace inkpeg {

namespace {

constexpr double Turn = 2 * std::numbers::pi;

std::string namesOf(std::span<const AlignedPost> posts)
{
    std::string names;
    for (std::size_t i = 0; i < posts.size() && i < 6; ++i)
        names += (i > 0 ? ", " : "") + posts[i].name;
    return posts.size() > 6 ? names + ", ..." : names;
}

Error unsolvable(std::span<const AlignedPost> posts, const std::string& what)
{
    return {ErrorCode::Unsolvable,
            std::to_string(posts.size()) + " posts (" + namesOf(posts) + "): " + what};
}

GroundM centroidOf(std::span<const AlignedPost> posts)
{
    GroundM sum;
    // From the first post, so that large coordinates lose nothing.
    for (const AlignedPost& post : posts) {
        sum.east += post.position.east - posts[0].position.east;
        sum.north += post.position.north - posts[0].position.north;
    }
    const auto count = static_cast<double>(posts.size());
    return {posts[0].position.east + sum.east / count, posts[0].position.north + sum.north / count};
}

/// Posts less their centroid: one a row.
Eigen::MatrixX2d centred(std::span<const AlignedPost> posts, GroundM centroid)
{
    Eigen::MatrixX2d places(static_cast<Eigen::Index>(posts.size()), 2);
    for (std::size_t i = 0; i < posts.size(); ++i) {
        places(static_cast<Eigen::Index>(i), 0) = posts[i].position.east - centroid.east;
        places(static_cast<Eigen::Index>(i), 1) = posts[i].position.north - centroid.north;
    }
    return places;
}

/// What line and circle share once the posts know where they come: order, spacing, and the figures over
/// all.
template<typename Alignment>
void finish(Alignment& alignment, int parameters)
{
    std::vector<PostPlace>& posts = alignment.posts;
    std::sort(posts.begin(), posts.end(),
              [](const PostPlace& a, const PostPlace& b) { return a.alongM < b.alongM; });
    const double first = posts.front().alongM;
    double squares = 0, spacings = 0;
    for (std::size_t i = 0; i < posts.size(); ++i) {
        posts[i].alongM -= first;
        posts[i].spacingM = i > 0 ? posts[i].alongM - posts[i - 1].alongM : 0.0;
        squares += posts[i].residualM * posts[i].residualM;
        spacings += posts[i].spacingM;
    }
    const auto count = static_cast<double>(posts.size());
    alignment.rmseM = std::sqrt(squares / count);
    const double redundancy = count - parameters;
    if (redundancy > 0)
        alignment.standardErrorM = std::sqrt(squares / redundancy);
    alignment.meanSpacingM = spacings / (count - 1);
    double deviations = 0;
    for (std::size_t i = 1; i < posts.size(); ++i)
        deviations += std::pow(posts[i].spacingM - alignment.meanSpacingM, 2);
    if (posts.size() > 2)
        alignment.spacingDeviationM = std::sqrt(deviations / (count - 2));
}

/// Centre and radius in centred, scaled coordinates.
struct Circle {
    double east = 0, north = 0, radius = 0;
};

/// Least squares of x^2 + y^2 = 2 a x + 2 b y + c: close, but drawn towards small circles; a start only.
Circle algebraicCircle(const Eigen::MatrixX2d& places)
{
    Eigen::MatrixX3d design(places.rows(), 3);
    design << 2 * places, Eigen::VectorXd::Ones(places.rows());
    const Eigen::Vector3d found = design.colPivHouseholderQr().solve(places.rowwise().squaredNorm());
    return {found[0], found[1],
            std::sqrt(std::max(0.0, found[2] + found[0] * found[0] + found[1] * found[1]))};
}

Eigen::VectorXd residualsOf(const Eigen::MatrixX2d& places, const Circle& circle)
{
    return ((places.col(0).array() - circle.east).square() +
            (places.col(1).array() - circle.north).square())
               .sqrt() -
           circle.radius;
}

Circle geometricCircle(const Eigen::MatrixX2d& places, Circle circle)
{
    double damping = 1e-3;
    double squares = residualsOf(places, circle).squaredNorm();
    for (int step = 0; step < 200; ++step) {
        const Eigen::VectorXd residuals = residualsOf(places, circle);
        const Eigen::ArrayXd distances = (residuals.array() + circle.radius).max(1e-12);
        // Damping as rows below the design, so that the step comes from an orthogonal decomposition.
        Eigen::MatrixX3d design = Eigen::MatrixX3d::Zero(places.rows() + 3, 3);
        design.col(0).head(places.rows()) = (circle.east - places.col(0).array()) / distances;
        design.col(1).head(places.rows()) = (circle.north - places.col(1).array()) / distances;
        design.col(2).head(places.rows()).setConstant(-1);
        design.bottomRows(3).diagonal().setConstant(std::sqrt(damping));
        Eigen::VectorXd wanted = Eigen::VectorXd::Zero(places.rows() + 3);
        wanted.head(places.rows()) = -residuals;
        const Eigen::Vector3d change = design.colPivHouseholderQr().solve(wanted);
        const Circle next{circle.east + change[0], circle.north + change[1], circle.radius + change[2]};
        const double nextSquares = residualsOf(places, next).squaredNorm();
        if (nextSquares <= squares) {
            circle = next;
            squares = nextSquares;
            damping = std::max(damping / 10, 1e-15);
            if (change.norm() < 1e-14 * (1 + circle.radius))
                break;
        } else {
            damping *= 10;
            if (damping > 1e12)
                break; // no step gets lower: the least sum within rounding
        }
    }
    return circle;
}

/// Sorts angles and finds the widest gap; the arc begins after it.
double arcStart(std::vector<double> angles, double& covered)
{
    std::sort(angles.begin(), angles.end());
    double widest = -1, start = angles.front();
    for (std::size_t i = 0; i < angles.size(); ++i) {
        const bool last = i + 1 == angles.size();
        const double gap = last ? angles.front() + Turn - angles.back() : angles[i + 1] - angles[i];
        if (gap > widest) {
            widest = gap;
            start = last ? angles.front() : angles[i + 1];
        }
    }
    covered = Turn - widest;
    return start;
}

} // namespace

Result<LineAlignment> alignOnLine(std::span<const AlignedPost> posts)
{
    if (posts.size() < 2)
        return unsolvable(posts, "a row needs two at least");
    const GroundM centroid = centroidOf(posts);
    const Eigen::MatrixX2d places = centred(posts, centroid);
    const Eigen::JacobiSVD<Eigen::MatrixXd> svd(places, Eigen::ComputeThinV);
    const double longer = svd.singularValues()[0], shorter = svd.singularValues()[1];
    if (!(longer > 1e-9) || longer - shorter < 1e-9 * longer)
        return unsolvable(
            posts, "no direction fits better than another; they stand in one place or all around it");
    double east = svd.matrixV()(0, 0), north = svd.matrixV()(1, 0);
    if (east < 0 || (east == 0 && north < 0)) { // towards the east half, so that the direction is below pi
        east = -east;
        north = -north;
    }
    LineAlignment alignment;
    alignment.centroid = centroid;
    alignment.directionRad = std::atan2(east, north);
    for (std::size_t i = 0; i < posts.size(); ++i) {
        const double e = places(static_cast<Eigen::Index>(i), 0),
                     n = places(static_cast<Eigen::Index>(i), 1);
        alignment.posts.push_back({posts[i].name, e * east + n * north, n * east - e * north, 0});
    }
    finish(alignment, 2);
    return alignment;
}

Result<CircleAlignment> alignOnCircle(std::span<const AlignedPost> posts)
{
    if (posts.size() < 3)
        return unsolvable(posts, "a ring needs three at least");
    const GroundM centroid = centroidOf(posts);
    Eigen::MatrixX2d places = centred(posts, centroid);
    const double extent = std::sqrt(places.squaredNorm() / static_cast<double>(places.rows()));
    const Eigen::JacobiSVD<Eigen::MatrixXd> svd(places);
    constexpr double Straight = 1e-6; // a bend of a tenth of a millimetre in a row of a hundred metres
    if (!(extent > 1e-9) || svd.singularValues()[1] < Straight * svd.singularValues()[0])
        return unsolvable(posts, "they stand on a straight line or in one place; test them as a row");
    places /= extent;
    const Circle circle = geometricCircle(places, algebraicCircle(places));
    constexpr double Flattest = 1e4; // radius over extent
    if (!std::isfinite(circle.radius) || circle.radius > Flattest)
        return unsolvable(posts, "the best circle is as good as straight; test them as a row");
    CircleAlignment alignment;
    alignment.centre = {centroid.east + circle.east * extent, centroid.north + circle.north * extent};
    alignment.radiusM = circle.radius * extent;
    const Eigen::VectorXd residuals = residualsOf(places, circle) * extent;
    std::vector<double> angles;
    for (Eigen::Index i = 0; i < places.rows(); ++i)
        angles.push_back(std::atan2(places(i, 0) - circle.east, places(i, 1) - circle.north));
    const double start = arcStart(angles, alignment.coveredRad);
    for (std::size_t i = 0; i < posts.size(); ++i) {
        const double past = angles[i] >= start ? angles[i] - start : angles[i] - start + Turn;
        alignment.posts.push_back(
            {posts[i].name, past * alignment.radiusM, residuals[static_cast<Eigen::Index>(i)], 0});
    }
    finish(alignment, 3);
    return alignment;
}

} // namespace inkpeg
