#pragma once
/// What is known of a log's surface before it is looked at: it is smooth, and about as oval as other logs.

#include <array>

#include "scan/fit/surface_basis.hpp"

namespace flitchwise::scan {

/// How freely the surface may vary, per spline coefficient; set from the data by their marginal likelihood.
struct SurfacePrior {
  double level_roughness_m = 0;  ///< second difference of the mean radius
  double shift_roughness_m = 0;  ///< third difference of the first harmonic: the centreline's crooks
  double oval_amplitude_m = 0;   ///< second harmonic, carried along the log
  double shape_amplitude_m = 0;  ///< third harmonic, carried along the log; higher ones less
  double shape_roughness_m = 0;  ///< second difference of the second harmonic; higher ones less
};

constexpr std::array<double SurfacePrior::*, 5> kPriorNumbers{
    &SurfacePrior::level_roughness_m, &SurfacePrior::shift_roughness_m, &SurfacePrior::oval_amplitude_m,
    &SurfacePrior::shape_amplitude_m, &SurfacePrior::shape_roughness_m};

struct PriorPrecision {
  BlockTridiagonal matrix;
  double log_determinant = 0;
};

/// Inverse covariance of the coefficients.
PriorPrecision prior_precision(const SurfacePrior& prior, const SurfaceBasis& basis);

/// That of usual logs of this radius.
SurfacePrior usual_prior(double radius_m);

/// Logarithm, up to a constant, of how near the prior's numbers are to those of usual logs: two samples of a
/// harmonic say little about how large it may be, and a prior that shrinks to nothing would be sure of an
/// underside that nobody saw.
double plausibility(const SurfacePrior& prior, double radius_m);

}  // namespace flitchwise::scan
