// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/fit/PinConfiguration.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include <Eigen/SVD>

#include "core/base/Text.h"

namespace inkpeg {

namespace {

/// Places in mm on the film: the film itself, or the ground seen at the stated scale.
using Places = std::vector<Eigen::Vector2d>;

Places filmPlaces(std::span<const ControlPoint> pins)
{
    Places places;
    for (const ControlPoint& pin : pins)
        places.emplace_back(pin.film.x, pin.film.y);
    return places;
}

Places groundPlaces(std::span<const ControlPoint> pins, double scaleDenominator)
{
    Places places;
    for (const ControlPoint& pin : pins)
        places.emplace_back(filmMmFromGroundM(pin.ground.east - pins[0].ground.east, scaleDenominator),
                            filmMmFromGroundM(pin.ground.north - pins[0].ground.north, scaleDenominator));
    return places;
}

/// Root mean square distance from the best line through the places.
double offLineMm(const Places& places)
{
    Eigen::MatrixXd centred(2, static_cast<Eigen::Index>(places.size()));
    for (std::size_t i = 0; i < places.size(); ++i)
        centred.col(static_cast<Eigen::Index>(i)) = places[i];
    centred.colwise() -= centred.rowwise().mean().eval();
    return Eigen::JacobiSVD<Eigen::MatrixXd>(centred).singularValues()[1] /
           std::sqrt(static_cast<double>(places.size()));
}

std::string enough(Model model)
{
    const int fewest = fewestPins(model);
    return modelWithArticle(model) + " fit needs " + std::to_string(fewest);
}

Result<void> checkNumbers(std::span<const ControlPoint> pins, const FitSettings& settings)
{
    if (!(settings.scaleDenominator > 0) || !std::isfinite(settings.scaleDenominator))
        return Error{ErrorCode::BadInput, "scale 1:" + fixed(settings.scaleDenominator, 0) +
                                              " is no scale; the denominator must be above 0, 20 for 1:20"};
    for (const ControlPoint& pin : pins) {
        if (!std::isfinite(pin.film.x) || !std::isfinite(pin.film.y) || !std::isfinite(pin.ground.east) ||
            !std::isfinite(pin.ground.north))
            return Error{ErrorCode::BadInput, "pin " + pin.peg + ": a coordinate is not a number"};
        for (const double standardErrorM : {pin.standardErrorEastM, pin.standardErrorNorthM}) {
            const double both = combinedStandardErrorM(standardErrorM, settings);
            if (!std::isfinite(both) || !(both > 0) || standardErrorM < 0)
                return Error{ErrorCode::BadInput,
                             "peg " + pin.peg + ": standard error " + exact(standardErrorM) +
                                 " m; it must be a number of at least 0, and above 0 where "
                                 "pointing is taken as free of error"};
        }
    }
    return {};
}

/// Two pins within pointing of each other on the film or on the ground count as one.
Result<void> checkPlaces(std::span<const ControlPoint> pins, const FitSettings& settings,
                         const Places& places, const std::string& where)
{
    int distinct = 0;
    std::string together;
    for (std::size_t i = 0; i < places.size(); ++i) {
        bool first = true;
        for (std::size_t j = 0; j < i && first; ++j)
            if ((places[i] - places[j]).norm() <= std::max(settings.pinPointingMm, 1e-9)) {
                first = false;
                together += (together.empty() ? "" : "; ") + pins[j].peg + " and " + pins[i].peg;
            }
        distinct += first ? 1 : 0;
    }
    if (distinct >= fewestPins(settings.model))
        return {};
    return Error{ErrorCode::Unsolvable,
                 std::to_string(pins.size()) + " pins (" + pinNames(pins) + "), but " + together +
                     " lie at one place " + where + ": " + enough(settings.model) +
                     " different places; move the pin that is wrong or pin another peg"};
}

Result<void> checkLine(std::span<const ControlPoint> pins, const FitSettings& settings,
                       const Places& places, const std::string& where)
{
    if (settings.model == Model::Similarity)
        return {};
    const double offMm = offLineMm(places);
    if (offMm > std::max(settings.pinPointingMm, 1e-9))
        return {};
    return Error{ErrorCode::Unsolvable,
                 "pins " + pinNames(pins) + " lie on one line " + where + " (within " + fixed(offMm, 2) +
                     " mm on the film): " + modelWithArticle(settings.model) +
                     " fit needs pins on both sides; pin a peg well off that line, or use a "
                     "similarity"};
}

} // namespace

double combinedStandardErrorM(double pegStandardErrorM, const FitSettings& settings)
{
    return std::hypot(pegStandardErrorM,
                      groundMFromFilmMm(settings.pinPointingMm, settings.scaleDenominator));
}

std::string modelWithArticle(Model model)
{
    return (model == Model::Affine ? "an " : "a ") + modelName(model);
}

std::string pinNames(std::span<const ControlPoint> pins)
{
    const std::size_t shown = pins.size() > 8 ? 7 : pins.size();
    std::string names;
    for (std::size_t i = 0; i < shown; ++i) {
        if (i > 0)
            names += i + 1 == pins.size() ? " and " : ", ";
        names += pins[i].peg;
    }
    if (shown < pins.size())
        names += " and " + std::to_string(pins.size() - shown) + " more";
    return names;
}

Result<void> checkConfiguration(std::span<const ControlPoint> pins, const FitSettings& settings)
{
    if (const Result<void> numbers = checkNumbers(pins, settings); !numbers)
        return numbers;
    const int fewest = fewestPins(settings.model);
    const int count = static_cast<int>(pins.size());
    if (count < fewest) {
        const std::string have = count == 0   ? "no pin"
                                 : count == 1 ? "1 pin (" + pinNames(pins) + ")"
                                              : std::to_string(count) + " pins (" + pinNames(pins) + ")";
        const std::string simpler =
            settings.model != Model::Similarity && count >= 2 ? ", or use a simpler model" : "";
        return Error{ErrorCode::Unsolvable, have + ": " + enough(settings.model) + "; pin " +
                                                std::to_string(fewest - count) +
                                                " more, far from the others" + simpler};
    }
    const Places film = filmPlaces(pins);
    const Places ground = groundPlaces(pins, settings.scaleDenominator);
    for (const auto& [places, where] :
         {std::pair{&film, "on the film"}, std::pair{&ground, "on the ground"}}) {
        if (const Result<void> apart = checkPlaces(pins, settings, *places, where); !apart)
            return apart;
        if (const Result<void> wide = checkLine(pins, settings, *places, where); !wide)
            return wide;
    }
    return {};
}

Error configurationUndetermined(std::span<const ControlPoint> pins, Model model)
{
    std::string how;
    switch (model) {
    case Model::Projective:
        how = "all but one lie on one line; pin a peg off that line";
        break;
    case Model::Polynomial2:
        how = "they lie on one curve of degree 2, such as two rows; pin pegs in a third row and column";
        break;
    case Model::Polynomial3:
        how = "they lie on one curve of degree 3, such as three rows; pin pegs in a fourth row and column";
        break;
    default:
        how = "pin a peg well away from the others";
        break;
    }
    return Error{ErrorCode::Unsolvable, "pins " + pinNames(pins) + " do not determine " +
                                            modelWithArticle(model) + " fit: " + how +
                                            ", or use a simpler model"};
}

} // namespace inkpeg
