// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/GdalSession.h"

#include <mutex>

#include <cpl_conv.h>
#include <gdal.h>

namespace inkpeg {
namespace {

// EMPTY_DIR: the file is treated as if it were alone in its folder, so that no overview, mask, world or
// auxiliary file beside it is looked for. PAM is what writes .aux.xml files.
constexpr std::pair<const char*, const char*> ThreadOptions[] = {
    {"GDAL_DISABLE_READDIR_ON_OPEN", "EMPTY_DIR"},
    {"GDAL_PAM_ENABLED", "NO"},
};

} // namespace

void prepareGdal()
{
    static std::once_flag once;
    std::call_once(once, [] {
        GDALAllRegister();
        GDALSetCacheMax64(GIntBig{64} << 20);
    });
}

GdalSession::GdalSession()
{
    prepareGdal();
    CPLPushErrorHandlerEx(&GdalSession::collect, this);
    for (const auto& [key, value] : ThreadOptions) {
        if (const char* before = CPLGetThreadLocalConfigOption(key, nullptr))
            m_before.emplace_back(key, before);
        else
            m_unset.emplace_back(key);
        CPLSetThreadLocalConfigOption(key, value);
    }
}

GdalSession::~GdalSession()
{
    for (const auto& [key, value] : m_before)
        CPLSetThreadLocalConfigOption(key.c_str(), value.c_str());
    for (const std::string& key : m_unset)
        CPLSetThreadLocalConfigOption(key.c_str(), nullptr);
    CPLPopErrorHandler();
}

std::string GdalSession::firstFailure() const
{
    return m_failures.empty() ? "no reason given" : m_failures.front();
}

void CPL_STDCALL GdalSession::collect(CPLErr kind, CPLErrorNum, const char* message)
{
    auto* session = static_cast<GdalSession*>(CPLGetErrorHandlerUserData());
    if (session && kind >= CE_Failure)
        session->m_failures.emplace_back(message);
}

} // namespace inkpeg
