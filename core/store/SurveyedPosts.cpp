// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/SurveyedPosts.h"

#include <algorithm>

namespace inkpeg {

Result<std::vector<AlignedPost>> surveyedPosts(const Project& project,
                                               const std::vector<std::string>& numbers)
{
    std::vector<AlignedPost> posts;
    for (const std::string& number : numbers) {
        const auto timber = project.byKey<Timber>(number);
        if (!timber)
            return Error{ErrorCode::NotFound, "timber \"" + number + "\" is not in the register"};
        if (!timber->position)
            return Error{ErrorCode::BadInput, "timber " + number + " has no place; survey it first"};
        if (std::ranges::find(posts, number, &AlignedPost::name) != posts.end())
            return Error{ErrorCode::BadInput, "timber " + number + " is named twice"};
        posts.push_back({number, *timber->position});
    }
    return posts;
}

} // namespace inkpeg
