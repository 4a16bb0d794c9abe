// SPDX-License-Identifier: GPL-3.0-or-later
// The fitted map from the film to the ground: a value, cheap to copy, safe to use from many threads.
#pragma once

#include <array>
#include <memory>
#include <string>

#include "core/base/Result.h"
#include "core/base/Units.h"

namespace inkpeg {

/// From simple to supple; the order is the order in which they are compared.
enum class Model { Similarity, Affine, Projective, Polynomial2, Polynomial3, ThinPlateSpline };

/// "similarity", "affine", "projective", "polynomial 2", "polynomial 3", "thin-plate spline": screen and
/// command line.
std::string modelName(Model model);

/// The model that `name` names (as modelName gives it; blanks may be left out or written as hyphens).
Result<Model> modelNamed(const std::string& name);

/// Parameters of a model in both coordinates together: 4, 6, 8, 12, 20; the spline counts 6 (its affine
/// part).
int parameterCount(Model model);

/// Fewest pins that determine a model: 2, 3, 4, 6, 10; 4 for the spline.
int fewestPins(Model model);

/// Partial derivatives of ground by film, in metres per millimetre.
struct GroundJacobian {
    double eastByX = 0, eastByY = 0;
    double northByX = 0, northByY = 0;
};

/// Film to ground and back.
class GroundTransform {
public:
    /// What a model must be able to do; the models live in GroundTransform.cpp and are built by fitControl.
    class Form {
    public:
        virtual ~Form() = default;
        virtual GroundM toGround(FilmMm film) const = 0;
        virtual GroundJacobian jacobian(FilmMm film) const = 0;
        virtual Result<FilmMm> toFilm(GroundM ground) const = 0;
    };

    GroundTransform(Model model, std::shared_ptr<const Form> form) : m_model(model), m_form(std::move(form))
    {
    }

    Model model() const { return m_model; }
    GroundM toGround(FilmMm film) const { return m_form->toGround(film); }
    GroundJacobian jacobian(FilmMm film) const { return m_form->jacobian(film); }

    /// Closed form for similarity, affine and projective; Newton's method otherwise, to 1e-9 mm.
    /// Errors: Unsolvable (the iteration leaves the sheet or the map folds there).
    Result<FilmMm> toFilm(GroundM ground) const { return m_form->toFilm(ground); }

private:
    Model m_model;
    std::shared_ptr<const Form> m_form;
};

} // namespace inkpeg
