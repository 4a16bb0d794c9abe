// SPDX-License-Identifier: GPL-3.0-or-later
#include <cmath>
#include <filesystem>
#include <ostream>

#include <nlohmann/json.hpp>

#include "app/cli/Interrupt.h"
#include "app/cli/Verb.h"
#include "core/base/ProgressShare.h"
#include "core/base/Text.h"
#include "core/film/Stitch.h"

namespace inkpeg {

namespace {

/// What the scan says, or what was said for it.
Result<double> dpiOf(const Scan& scan, std::optional<double> said)
{
    const double own = std::sqrt(scan.facts().dpiX * scan.facts().dpiY);
    if (own > 0)
        return own;
    if (said)
        return *said;
    return Error{ErrorCode::BadInput,
                 scan.file().string() + ": the scan does not say its resolution; give it: --dpi 400"};
}

Result<VerbEnd> run(const Call& call)
{
    if (!call.has("to"))
        return Error{ErrorCode::BadInput, "say where: --to FILE.tif"};
    const std::filesystem::path output = call.value("to");
    if (std::filesystem::exists(output) && !call.has("replace"))
        return Error{ErrorCode::Conflict,
                     output.string() + ": there is such a file; choose another name, or add --replace"};
    const Result<std::optional<double>> said = call.number("dpi");
    if (!said)
        return said.error();
    if (said->has_value() && **said <= 0)
        return Error{ErrorCode::BadInput, "--dpi: must be larger than 0"};
    const Result<Scan> first = Scan::open(call.files[0]), second = Scan::open(call.files[1]);
    if (!first || !second)
        return first ? second.error() : first.error();
    const Result<double> firstDpi = dpiOf(*first, *said), secondDpi = dpiOf(*second, *said);
    if (!firstDpi || !secondDpi)
        return firstDpi ? secondDpi.error() : firstDpi.error();
    const HalvesDpi dpi{*firstDpi, *secondDpi};
    const Interrupt interrupt;
    const Progress shown = [bar = call.progress()](double share) {
        return report(bar, share) && !Interrupt::asked();
    };
    const std::filesystem::path folder = std::filesystem::absolute(output).parent_path();
    const Result<Stitching> match = matchHalves(*first, *second, dpi, folder, shareOf(shown, 0, 0.5));
    if (!match)
        return match.error();
    const Result<StitchedScan> sheet =
        stitchHalves(*first, *second, *match, dpi, output, shareOf(shown, 0.5, 1));
    if (!sheet)
        return sheet.error();
    for (const std::string& damage : sheet->damage)
        call.say(damage);
    const double turnDegrees = -std::atan2(match->b, match->a) * 180 / 3.14159265358979323846;
    const double scale = std::hypot(match->a, match->b) * dpi.first / dpi.second;
    if (call.json)
        *call.out << nlohmann::ordered_json{{"file", sheet->file.string()},
                                            {"width_px", sheet->widthPx},
                                            {"height_px", sheet->heightPx},
                                            {"places", match->places.size()},
                                            {"misfit_mm", match->misfitMm},
                                            {"worst_misfit_mm", match->worstMisfitMm},
                                            {"turn_degrees", turnDegrees},
                                            {"scale", scale},
                                            {"damage", sheet->damage}}
                         .dump(2, ' ', false, nlohmann::json::error_handler_t::replace)
                  << "\n";
    else
        *call.out << sheet->file.string() << ": " << sheet->widthPx << " x " << sheet->heightPx << " px\n"
                  << "  " << match->places.size() << " places found on both halves; misfit "
                  << fixed(match->misfitMm, 3) << " mm (root mean square), "
                  << fixed(match->worstMisfitMm, 3) << " mm at worst\n"
                  << "  second half turned by " << fixed(turnDegrees, 2) << " degrees, scale "
                  << fixed(scale, 5) << "\n";
    return sheet->damage.empty() ? VerbEnd::Done : VerbEnd::Faults;
}

} // namespace

Verb stitchVerb()
{
    return {"stitch",
            "SCAN SCAN",
            2,
            2,
            "makes one scan of a sheet that was scanned in two halves",
            {{"to", "FILE", "the TIFF to write"},
             {"dpi", "N", "resolution of a half that does not say it"},
             {"replace", "", "overwrites a file that is there"}},
            run};
}

} // namespace inkpeg
