// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/fit/Quantiles.h"

#include <cmath>

#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/distributions/fisher_f.hpp>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>

namespace inkpeg {

double normalQuantile(double probability)
{
    return boost::math::quantile(boost::math::normal_distribution<double>(), probability);
}

double studentQuantile(double probability, double degreesOfFreedom)
{
    return boost::math::quantile(boost::math::students_t_distribution<double>(degreesOfFreedom),
                                 probability);
}

double chiSquareQuantile(double probability, double degreesOfFreedom)
{
    return boost::math::quantile(boost::math::chi_squared_distribution<double>(degreesOfFreedom),
                                 probability);
}

double fisherQuantile(double probability, double numeratorDegrees, double denominatorDegrees)
{
    return boost::math::quantile(
        boost::math::fisher_f_distribution<double>(numeratorDegrees, denominatorDegrees), probability);
}

double chiSquareTail(double x, double degreesOfFreedom)
{
    if (!(x > 0))
        return 1;
    return boost::math::cdf(
        boost::math::complement(boost::math::chi_squared_distribution<double>(degreesOfFreedom), x));
}

double fisherTail(double x, double numeratorDegrees, double denominatorDegrees)
{
    if (!(x > 0))
        return 1;
    return boost::math::cdf(boost::math::complement(
        boost::math::fisher_f_distribution<double>(numeratorDegrees, denominatorDegrees), x));
}

double tauQuantile(double alpha, int redundancy)
{
    const double f = redundancy;
    if (redundancy < 2)
        return 1; // one redundant observation: every residual is the whole of the misfit
    const double t = studentQuantile(1 - alpha / 2, f - 1);
    return t * std::sqrt(f) / std::sqrt(f - 1 + t * t);
}

} // namespace inkpeg
