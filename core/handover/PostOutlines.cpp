// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/PostOutlines.h"

#include <cmath>

#include "core/checks/UprightTimbers.h"

namespace inkpeg {

namespace {

template<typename Outline>
std::vector<PostOutline> outlinesOf(const Project& project, const Outline& outline)
{
    std::vector<PostOutline> posts;
    for (const Timber& timber : project.all<Timber>())
        if (const Result<UprightTimber> post = standing(timber))
            if (std::vector<GroundM> ring = outline(timber, *post); !ring.empty())
                posts.push_back({timber.number, timber.context, std::move(ring)});
    return posts;
}

} // namespace

std::vector<PostOutline> postsFromAbove(const Project& project)
{
    return outlinesOf(project, [](const Timber&, const UprightTimber& post) { return planOutline(post); });
}

std::vector<PostOutline> postsOnFace(const Project& project, const SectionFrame& frame)
{
    constexpr double BesideM = 0.5;
    return outlinesOf(project, [&](const Timber& timber, const UprightTimber& post) {
        std::vector<GroundM> ring;
        const SectionFoot foot = frame.footOf(*timber.position);
        if (std::abs(foot.offsetM) <= BesideM && foot.alongM >= 0 && foot.alongM <= frame.lengthM())
            for (const SectionPoint& corner : elevationOutline(post, frame))
                ring.push_back({corner.alongM, corner.levelM});
        return ring;
    });
}

} // namespace inkpeg
