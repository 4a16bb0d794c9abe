// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/store/ProjectCrs.h"

#include <memory>

#include <proj.h>

#include "core/base/Text.h"

namespace inkpeg {

namespace {

struct ProjDelete {
    void operator()(PJ_CONTEXT* context) const { proj_context_destroy(context); }
    void operator()(PJ* object) const { proj_destroy(object); }
};
using ProjContext = std::unique_ptr<PJ_CONTEXT, ProjDelete>;
using ProjObject = std::unique_ptr<PJ, ProjDelete>;

constexpr int FirstOwnSrsId = 990001; // for a CRS of another authority than EPSG

std::string wkt1(PJ_CONTEXT* context, const PJ* crs)
{
    const char* text = proj_as_wkt(context, crs, PJ_WKT1_GDAL, nullptr);
    return text ? text : "";
}

bool isProjectedInMetres(PJ_CONTEXT* context, const PJ* crs)
{
    if (proj_get_type(crs) != PJ_TYPE_PROJECTED_CRS)
        return false;
    const ProjObject axes(proj_crs_get_coordinate_system(context, crs));
    double factor = 0;
    return axes &&
           proj_cs_get_axis_info(context, axes.get(), 0, nullptr, nullptr, nullptr, &factor, nullptr,
                                 nullptr, nullptr) &&
           factor == 1.0;
}

} // namespace

Result<ProjectCrs> projectCrs(const std::string& authorityAndCode)
{
    const auto refuse = [&](const std::string& what) {
        return Error{ErrorCode::BadInput,
                     "CRS \"" + authorityAndCode + "\": " + what +
                         "; give a projected CRS in metres by authority and code, such as "
                         "EPSG:25832"};
    };
    const std::size_t colon = authorityAndCode.find(':');
    const auto code =
        colon == std::string::npos ? std::nullopt : parseWhole(authorityAndCode.substr(colon + 1));
    if (!code || *code < 0 || *code > 100'000'000)
        return refuse("is not an authority and a code with a colon between");
    const ProjContext context(proj_context_create());
    proj_log_level(context.get(), PJ_LOG_NONE);
    const std::string authority = authorityAndCode.substr(0, colon);
    const ProjObject crs(proj_create_from_database(
        context.get(), authority.c_str(), std::to_string(*code).c_str(), PJ_CATEGORY_CRS, 0, nullptr));
    if (!crs)
        return refuse("PROJ's database knows none such");
    if (!isProjectedInMetres(context.get(), crs.get()))
        return refuse("is " + std::string(proj_get_name(crs.get())) + ", not a projected CRS in metres");
    ProjectCrs found{proj_get_name(crs.get()), authority, static_cast<int>(*code), static_cast<int>(*code),
                     wkt1(context.get(), crs.get())};
    if (lowerAscii(authority) != "epsg")
        found.srsId = FirstOwnSrsId;
    if (found.wkt.empty())
        return refuse("PROJ cannot write it as WKT 1, which a GeoPackage needs");
    return found;
}

Result<std::string> wgs84Wkt()
{
    const ProjContext context(proj_context_create());
    proj_log_level(context.get(), PJ_LOG_NONE);
    const ProjObject wgs84(
        proj_create_from_database(context.get(), "EPSG", "4326", PJ_CATEGORY_CRS, 0, nullptr));
    if (!wgs84)
        return Error{ErrorCode::System,
                     "PROJ's database is missing or knows no EPSG:4326; install proj-data"};
    return wkt1(context.get(), wgs84.get());
}

} // namespace inkpeg
