// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/print/PlanSheet.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "app/print/PlanField.h"
#include "app/print/PlanFrame.h"
#include "core/base/Text.h"

namespace inkpeg {

namespace {

// Margins after ISO 5457 (from memory): 20 mm on the left for filing, 10 mm elsewhere.
constexpr double LeftMm = 20, OtherMm = 10;
constexpr double TickStripMm = 5;   ///< for coordinates around the field
constexpr double LevelStripMm = 10; ///< for levels beside a section
constexpr double InsetMm = 9;       ///< white between what is drawn and the field's frame: room for numbers

constexpr std::array<double, 2> SizesMm[] = {{210, 297}, {297, 420}, {420, 594}, {594, 841}, {841, 1189}};

struct Extent {
    GroundM low{1e300, 1e300}, high{-1e300, -1e300};

    void add(GroundM at)
    {
        low = {std::min(low.east, at.east), std::min(low.north, at.north)};
        high = {std::max(high.east, at.east), std::max(high.north, at.north)};
    }
    double width() const { return high.east - low.east; }
    double height() const { return high.north - low.north; }
    GroundM centre() const { return {(low.east + high.east) / 2, (low.north + high.north) / 2}; }
};

/// Of what is drawn; limits, surveyed finds and the posts of a plan may lie beyond it and are left out there.
Extent extentOf(const SheetContent& content)
{
    Extent extent;
    for (const OutlineRow& row : content.outlines)
        for (const VertexPart& part : row.parts)
            for (const GroundVertex& vertex : part.outer)
                extent.add(vertex.at);
    for (const EdgeLineRow& row : content.lines)
        for (const GroundVertex& vertex : row.vertices)
            extent.add(vertex.at);
    for (const SpotLevelRow& row : content.levels)
        extent.add(row.place.at);
    for (const SectionLineRow& section : content.section)
        if (section.datumM) {
            extent.add({section.fromM, *section.datumM});
            extent.add({section.toM, *section.datumM});
        }
    // On a section they belong to the face; on a plan they may have been surveyed anywhere.
    if (!content.section.empty())
        for (const PostOutline& post : content.posts)
            for (const GroundM corner : post.ring)
                extent.add(corner);
    return extent;
}

struct Layout {
    PageBox page, field, band;
};

Layout layoutFor(PaperSize paper, bool standing, bool upright, std::size_t keyRows)
{
    const auto [shortMm, longMm] = SizesMm[static_cast<std::size_t>(paper)];
    Layout layout;
    layout.page = {0, 0, standing ? shortMm : longMm, standing ? longMm : shortMm};
    const PageBox frame{LeftMm, OtherMm, layout.page.width - LeftMm - OtherMm,
                        layout.page.height - 2 * OtherMm};
    const double band = bandHeightMm(frame.width, keyRows);
    const double side = upright ? LevelStripMm : TickStripMm;
    layout.band = {frame.x, frame.y + frame.height - band, frame.width, band};
    layout.field = {frame.x + side, frame.y + TickStripMm, frame.width - side - TickStripMm,
                    frame.height - band - 2 * TickStripMm};
    return layout;
}

bool fits(const Extent& extent, const PageBox& field, double scale, double verticalScale)
{
    return extent.width() * 1000 / scale <= field.width - 2 * InsetMm + 1e-9 &&
           extent.height() * 1000 / verticalScale <= field.height - 2 * InsetMm + 1e-9;
}

/// "1:50 fits on A3; at 1:20 it needs A1"
std::string wayOut(const SheetContent& content, const Extent& extent, const SheetSettings& settings,
                   std::size_t keyRows)
{
    const double wanted = *settings.scaleDenominator;
    const double raised =
        settings.verticalScaleDenominator ? wanted / *settings.verticalScaleDenominator : 1;
    const auto fitsOn = [&](PaperSize paper, double scale) {
        const Layout layout = layoutFor(paper, settings.standing, !content.section.empty(), keyRows);
        return fits(extent, layout.field, scale, scale / raised);
    };
    std::string words;
    for (const double scale : customaryScales())
        if (scale > wanted && fitsOn(settings.paper, scale)) {
            words = "1:" + exact(scale) + " fits on " + paperName(settings.paper);
            break;
        }
    for (int i = static_cast<int>(settings.paper) + 1; i <= static_cast<int>(PaperSize::A0); ++i)
        if (fitsOn(static_cast<PaperSize>(i), wanted)) {
            words += (words.empty() ? "" : "; ") + std::string("at 1:") + exact(wanted) + " it needs " +
                     paperName(static_cast<PaperSize>(i));
            break;
        }
    return words.empty() ? "choose fewer contexts" : words;
}

Result<void> chooseScale(const SheetContent& content, const Extent& extent, const SheetSettings& settings,
                         std::size_t keyRows, PlanSheet& sheet)
{
    for (const std::optional<double>& scale :
         {settings.scaleDenominator, settings.verticalScaleDenominator})
        if (scale && !(*scale > 0 && *scale <= 100000))
            return Error{ErrorCode::BadInput,
                         "scale 1:" + exact(*scale) + ": give the denominator, e.g. 20 for 1:20"};
    if (settings.verticalScaleDenominator && content.section.empty())
        return Error{ErrorCode::BadInput, content.title + ": a plan has no vertical scale; sections have"};
    const auto verticalFor = [&](double scale) {
        return settings.verticalScaleDenominator.value_or(scale);
    };
    if (settings.scaleDenominator) {
        sheet.scaleDenominator = *settings.scaleDenominator;
        sheet.verticalScaleDenominator = verticalFor(sheet.scaleDenominator);
        if (fits(extent, sheet.field, sheet.scaleDenominator, sheet.verticalScaleDenominator))
            return {};
        return Error{ErrorCode::Unsolvable,
                     content.title + " does not fit on " + paperName(settings.paper) + " at 1:" +
                         exact(sheet.scaleDenominator) + ": " + wayOut(content, extent, settings, keyRows)};
    }
    // Never larger than it was drawn: that would show more than the film holds.
    for (const double scale : customaryScales())
        if (scale >= content.drawnScale && fits(extent, sheet.field, scale, verticalFor(scale))) {
            sheet.scaleDenominator = scale;
            sheet.verticalScaleDenominator = verticalFor(scale);
            return {};
        }
    return Error{ErrorCode::Unsolvable,
                 content.title + " does not fit on " + paperName(settings.paper) +
                     " at any customary scale; choose fewer contexts or larger paper"};
}

} // namespace

std::string paperName(PaperSize paper)
{
    return "A" + std::to_string(4 - static_cast<int>(paper));
}

Result<PaperSize> paperNamed(const std::string& name)
{
    for (int i = 0; i <= static_cast<int>(PaperSize::A0); ++i)
        if (paperName(static_cast<PaperSize>(i)) == name ||
            lowerAscii(paperName(static_cast<PaperSize>(i))) == name)
            return static_cast<PaperSize>(i);
    return Error{ErrorCode::BadInput, "paper \"" + name + "\" is none of A4, A3, A2, A1, A0"};
}

const std::vector<double>& customaryScales()
{
    static const std::vector<double> scales = {1,   2,   5,   10,  20,   25,   50,
                                               100, 200, 250, 500, 1000, 2500, 5000};
    return scales;
}

Result<PlanSheet> planSheet(const SheetContent& content, const SheetWords& words,
                            const SheetSettings& settings)
{
    UsedConventions used = conventionsOf(content, settings);
    const std::size_t mostKeyRows = keyRows(used).size();
    const Layout layout =
        layoutFor(settings.paper, settings.standing, !content.section.empty(), mostKeyRows);
    const Extent extent = extentOf(content);
    PlanSheet sheet;
    sheet.field = layout.field;
    if (const Result<void> chosen = chooseScale(content, extent, settings, mostKeyRows, sheet); !chosen)
        return chosen.error();
    sheet.art.title = content.title;
    sheet.art.widthMm = layout.page.width;
    sheet.art.heightMm = layout.page.height;
    FieldMap map;
    map.centre = extent.centre();
    map.middle = {sheet.field.x + sheet.field.width / 2, sheet.field.y + sheet.field.height / 2};
    map.mmPerM = 1000 / sheet.scaleDenominator;
    map.verticalMmPerM = 1000 / sheet.verticalScaleDenominator;
    drawGrid(content, map, sheet);
    drawField(content, settings, map, sheet);
    // Which posts lie on the field is known only now: its row of the key stays empty when none does.
    used.posts = std::ranges::any_of(
        content.posts, [&](const PostOutline& post) { return isOnField(post, map, sheet.field); });
    drawBand(content, words, settings, keyRows(used), layout.band, sheet);
    sheet.art.frame({LeftMm, OtherMm}, layout.page.width - LeftMm - OtherMm,
                    layout.page.height - 2 * OtherMm, {.widthMm = 0.5});
    return sheet;
}

} // namespace inkpeg
