// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/fit/GroundTransform.h"

#include <array>

#include "core/base/Text.h"

namespace inkpeg {

namespace {

struct ModelFacts {
    Model model;
    const char* name;
    int parameters;
    int fewestPins;
};

constexpr std::array<ModelFacts, 6> Models{{{Model::Similarity, "similarity", 4, 2},
                                            {Model::Affine, "affine", 6, 3},
                                            {Model::Projective, "projective", 8, 4},
                                            {Model::Polynomial2, "polynomial 2", 12, 6},
                                            {Model::Polynomial3, "polynomial 3", 20, 10},
                                            {Model::ThinPlateSpline, "thin-plate spline", 6, 4}}};

const ModelFacts& factsOf(Model model)
{
    return Models[static_cast<std::size_t>(model)];
}

std::string bare(const std::string& name)
{
    std::string letters;
    for (const char c : lowerAscii(name))
        if (c != ' ' && c != '-')
            letters += c;
    return letters;
}

} // namespace

std::string modelName(Model model)
{
    return factsOf(model).name;
}

Result<Model> modelNamed(const std::string& name)
{
    std::string known;
    for (const ModelFacts& facts : Models) {
        if (bare(facts.name) == bare(name))
            return facts.model;
        known += (known.empty() ? "" : ", ") + std::string(facts.name);
    }
    return Error{ErrorCode::BadInput, "\"" + name + "\" is no model; use one of " + known};
}

int parameterCount(Model model)
{
    return factsOf(model).parameters;
}

int fewestPins(Model model)
{
    return factsOf(model).fewestPins;
}

} // namespace inkpeg
