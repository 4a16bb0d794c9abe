// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/handover/GdalQuiet.h"

#include <cpl_error.h>

namespace inkpeg {

namespace {

void collect(CPLErr level, CPLErrorNum, const char* message)
{
    if (level >= CE_Failure)
        static_cast<std::vector<std::string>*>(CPLGetErrorHandlerUserData())->emplace_back(message);
}

} // namespace

GdalQuiet::GdalQuiet()
{
    CPLPushErrorHandlerEx(collect, &m_failures);
}

GdalQuiet::~GdalQuiet()
{
    CPLPopErrorHandler();
}

std::string GdalQuiet::words() const
{
    std::string text;
    for (const std::string& failure : m_failures)
        text += (text.empty() ? "" : "; ") + failure;
    return text.empty() ? "the library gave no reason" : text;
}

} // namespace inkpeg
