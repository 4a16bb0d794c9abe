// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/Result.h"

namespace inkpeg {

std::string errorCodeName(ErrorCode code)
{
    switch (code) {
    case ErrorCode::BadInput:
        return "bad input";
    case ErrorCode::NotFound:
        return "not found";
    case ErrorCode::Conflict:
        return "conflict";
    case ErrorCode::ReadOnly:
        return "read only";
    case ErrorCode::Unsolvable:
        return "unsolvable";
    case ErrorCode::OutOfSpace:
        return "out of space";
    case ErrorCode::System:
        return "system";
    case ErrorCode::Cancelled:
        return "cancelled";
    }
    return "unknown";
}

} // namespace inkpeg
