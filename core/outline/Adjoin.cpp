// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/outline/Adjoin.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "core/outline/Validity.h"

namespace inkpeg {

namespace {

/// A place on a ring: on the edge that leaves a vertex, and how far along the ring it is.
struct Foot {
    ScanPx at;
    std::size_t edge = 0;
    double along = 0;
    double away = 0;
};

/// A ring to lay runs onto, with the way along it measured.
class Course {
public:
    explicit Course(const Ring& ring) : m_ring(ring)
    {
        for (std::size_t i = 0; i < count(); ++i) {
            m_along.push_back(m_length);
            m_length += distance(vertex(i), vertex(i + 1));
        }
    }

    std::size_t count() const { return m_ring.vertices.size(); }
    ScanPx vertex(std::size_t i) const { return m_ring.vertices[i % count()]; }
    double length() const { return m_length; }

    Foot footOf(ScanPx p) const
    {
        Foot best;
        best.away = 1e300;
        for (std::size_t i = 0; i < count(); ++i) {
            const ScanPx a = vertex(i), b = vertex(i + 1);
            const double dx = b.column - a.column, dy = b.row - a.row, square = dx * dx + dy * dy;
            const double t =
                square > 0
                    ? std::clamp(((p.column - a.column) * dx + (p.row - a.row) * dy) / square, 0.0, 1.0)
                    : 0.0;
            const ScanPx at = {a.column + t * dx, a.row + t * dy};
            if (const double away = distance(at, p); away < best.away)
                best = {at, i, m_along[i] + t * std::sqrt(square), away};
        }
        return best;
    }

    /// The vertices strictly between two places, going forwards.
    std::vector<ScanPx> between(const Foot& from, const Foot& to) const
    {
        std::vector<ScanPx> way;
        const double run = forwards(from, to);
        for (std::size_t step = 1; step <= count(); ++step) {
            const std::size_t i = (from.edge + step) % count();
            if (std::fmod(m_along[i] - from.along + 2 * m_length, m_length) >= run)
                break;
            way.push_back(vertex(i));
        }
        return way;
    }
    double forwards(const Foot& from, const Foot& to) const
    {
        return std::fmod(to.along - from.along + m_length, m_length);
    }

    /// The vertex nearest to a foot if it is within reach, else the foot on the lattice.
    Foot settled(Foot foot, double reachPx) const
    {
        for (const std::size_t i : {foot.edge % count(), (foot.edge + 1) % count()})
            if (distance(vertex(i), foot.at) <= reachPx) {
                foot.at = vertex(i);
                foot.edge = i;
                foot.along = m_along[i];
                return foot;
            }
        foot.at = onLattice(foot.at);
        return foot;
    }

private:
    const Ring& m_ring;
    std::vector<double> m_along;
    double m_length = 0;
};

class Laying {
public:
    Laying(Ring ring, double reachPx, std::span<const ScanPx> held)
        : m_ring(std::move(ring)), m_reach(reachPx), m_held(held)
    {
    }

    void onto(const Ring& other)
    {
        const Course course(other);
        std::vector<std::optional<Foot>> feet;
        for (const ScanPx& vertex : m_ring.vertices) {
            Foot foot = course.footOf(vertex);
            const bool held = isHeld(vertex);
            if (held && foot.away <= KnitReachPx)
                foot.at = vertex;
            feet.push_back(foot.away <= (held ? KnitReachPx : m_reach) ? std::optional(foot)
                                                                       : std::nullopt);
        }
        const auto apart = std::ranges::find_if(feet, [](const auto& foot) { return !foot; });
        if (apart == feet.end()) {
            layAll(course);
            return;
        }
        // From the first vertex that lies apart once round, so that no run is cut by where the ring begins.
        const std::size_t n = m_ring.vertices.size(),
                          start = static_cast<std::size_t>(apart - feet.begin());
        Ring laid;
        for (std::size_t i = 0; i < n;) {
            const std::size_t at = (start + i) % n;
            std::size_t run = 0;
            while (i + run < n && feet[(at + run) % n])
                ++run;
            const bool onCourse = run >= 2 && layRun(course, feet, at, run, laid);
            run = std::max<std::size_t>(run, 1);
            for (std::size_t k = 0; k < run && !onCourse; ++k)
                push(laid, m_ring.vertices[(at + k) % n], m_ring.kinds[(at + k) % n]);
            i += run;
        }
        m_ring = std::move(laid);
    }

    Ring take() { return std::move(m_ring); }

private:
    bool isHeld(ScanPx vertex) const { return std::ranges::find(m_held, vertex) != m_held.end(); }

    Foot settled(const Course& course, const std::vector<std::optional<Foot>>& feet, std::size_t at) const
    {
        return isHeld(m_ring.vertices[at]) ? *feet[at] : course.settled(*feet[at], m_reach);
    }

    static void push(Ring& ring, ScanPx at, EdgeKind kind)
    {
        if (!ring.vertices.empty() && ring.vertices.back() == at) {
            ring.kinds.back() = kind;
            return;
        }
        ring.vertices.push_back(at);
        ring.kinds.push_back(kind);
    }

    /// Lays the vertices `at` to `at + run` (not included) onto the course; false if they only touch it.
    bool layRun(const Course& course, const std::vector<std::optional<Foot>>& feet, std::size_t at,
                std::size_t run, Ring& laid) const
    {
        const std::size_t n = m_ring.vertices.size();
        double length = 0;
        for (std::size_t k = 1; k < run; ++k)
            length += distance(m_ring.vertices[(at + k - 1) % n], m_ring.vertices[(at + k) % n]);
        if (length < 3 * m_reach)
            return false;
        const Foot first = settled(course, feet, at), last = settled(course, feet, (at + run - 1) % n);
        // The way along the course that is about as long as the run is the one that it follows.
        const double there = course.forwards(first, last), back = course.forwards(last, first);
        const bool forwards = std::abs(there - length) <= std::abs(back - length);
        if (std::abs((forwards ? there : back) - length) > 0.2 * length + 4 * m_reach)
            return false;
        std::vector<ScanPx> way = forwards ? course.between(first, last) : course.between(last, first);
        if (!forwards)
            std::ranges::reverse(way);
        way.insert(way.begin(), first.at);
        way.push_back(last.at);
        // Each piece has the kind of the traced edge whose vertex its beginning is nearest to.
        for (const ScanPx& vertex : way) {
            std::size_t nearest = 0;
            for (std::size_t k = 0; k + 1 < run; ++k)
                if (distance(m_ring.vertices[(at + k) % n], vertex) <
                    distance(m_ring.vertices[(at + nearest) % n], vertex))
                    nearest = k;
            push(laid, vertex, m_ring.kinds[(at + nearest) % n]);
        }
        laid.kinds.back() = m_ring.kinds[(at + run - 1) % n];
        return true;
    }

    /// Every vertex lies on the course: the same line drawn once for two contexts, if it goes all round.
    void layAll(const Course& course)
    {
        double length = 0;
        for (std::size_t i = 0; i < m_ring.vertices.size(); ++i)
            length += distance(m_ring.vertices[i], m_ring.vertices[(i + 1) % m_ring.vertices.size()]);
        if (std::abs(length - course.length()) > 0.1 * course.length())
            return;
        Ring laid;
        for (std::size_t i = 0; i < course.count(); ++i) {
            std::size_t nearest = 0;
            for (std::size_t k = 1; k < m_ring.vertices.size(); ++k)
                if (distance(m_ring.vertices[k], course.vertex(i)) <
                    distance(m_ring.vertices[nearest], course.vertex(i)))
                    nearest = k;
            push(laid, course.vertex(i), m_ring.kinds[nearest]);
        }
        m_ring = std::move(laid);
    }

    Ring m_ring;
    double m_reach;
    std::span<const ScanPx> m_held;
};

} // namespace

Ring adjoined(const Ring& ring, std::span<const DrawnOutline> outlines, double reachPx,
              std::span<const ScanPx> held)
{
    Ring best = ring;
    for (const DrawnOutline& outline : outlines)
        for (const Part& part : outline.parts) {
            std::vector<const Ring*> rings = {&part.outer};
            for (const Ring& hole : part.holes)
                rings.push_back(&hole);
            for (const Ring* other : rings) {
                Laying laying(best, reachPx, held);
                laying.onto(*other);
                Ring laid = laying.take();
                while (laid.vertices.size() > 1 && laid.vertices.back() == laid.vertices.front()) {
                    laid.vertices.pop_back();
                    laid.kinds.pop_back();
                }
                if (laid.vertices.size() >= 3 && checkParts(std::vector<Part>{{laid, {}}}))
                    best = std::move(laid);
            }
        }
    // It begins where it began.
    if (const auto first = std::ranges::find(best.vertices, ring.vertices.front());
        first != best.vertices.end()) {
        const auto by = first - best.vertices.begin();
        std::ranges::rotate(best.kinds, best.kinds.begin() + by);
        std::ranges::rotate(best.vertices, best.vertices.begin() + by);
    }
    return best;
}

SharedWith sharedWith(const Ring& ring, std::span<const DrawnOutline> outlines)
{
    DrawnOutlines all(outlines.begin(), outlines.end());
    const std::size_t own = all.size();
    all.push_back({0, {}, {{ring, {}}}});
    std::vector<bool> changed(all.size());
    changed[own] = true;
    knit(all, changed);
    SharedWith shared;
    std::vector<bool> takesPart(all.size());
    for (const SharedEdge& edge : sharedEdges(all)) {
        if (std::ranges::find(edge.outlines, own) == edge.outlines.end())
            continue;
        shared.edges.emplace_back(edge.a, edge.b);
        for (const std::size_t i : edge.outlines)
            takesPart[i] = i != own;
    }
    for (std::size_t i = 0; i < own; ++i)
        if (takesPart[i] && std::ranges::find(shared.contexts, all[i].context) == shared.contexts.end())
            shared.contexts.push_back(all[i].context);
    return shared;
}

} // namespace inkpeg
