#include "scan/fit/surface_prior.hpp"

#include <algorithm>
#include <cmath>

namespace flitchwise::scan {
namespace {

constexpr double kLeastPrior_m = 2e-5;
constexpr double kFreeLevel_m = 10;  // prior of the mean radius and of the centre's shift: as good as none
constexpr double kFreeShift_m = 1;
constexpr double kThirdOverSecond =
    0.45;                          // of the same stems' outlines, and so of what they change along the log
constexpr double kHigherFade = 3;  // harmonics above the third fall off as n^-3, on the same stems

/// One number of the prior, with its usual size as a share of the log's radius and the spread of its
/// logarithm.
struct Knob {
  double SurfacePrior::*value;
  double usual_share;
  double log_spread;
};
// Shares of the outline's waves: medians of eleven standing stems scanned by laser from all sides (the open
// test data of the ITSMe and spanner packages). How they change along the log is left to the data.
constexpr std::array<Knob, 5> kKnobs = {{{&SurfacePrior::level_roughness_m, 0.008, 1.5},
                                         {&SurfacePrior::shift_roughness_m, 0.003, 1.5},
                                         {&SurfacePrior::oval_amplitude_m, 0.020, 0.4},
                                         {&SurfacePrior::shape_amplitude_m, 0.009, 0.4},
                                         {&SurfacePrior::shape_roughness_m, 0.002, 1.5}}};

struct HarmonicPrior {
  double roughness_m;
  double amplitude_m;
};

HarmonicPrior harmonic_prior(const SurfacePrior& prior, int n) {
  switch (n) {
    case 0:
      return {prior.level_roughness_m, kFreeLevel_m};
    case 1:
      return {prior.shift_roughness_m, kFreeShift_m};
    case 2:
      return {prior.shape_roughness_m, prior.oval_amplitude_m};
    default:
      return {kThirdOverSecond * prior.shape_roughness_m * std::pow(3.0 / n, kHigherFade),
              prior.shape_amplitude_m * std::pow(3.0 / n, kHigherFade)};
  }
}

/// Precision of one harmonic's coefficients along the log: D^T D / roughness^2 + I / (J amplitude^2), so that
/// a shape carried along the whole log has the standard deviation `amplitude`. D takes second differences,
/// for the shift third ones: an even sweep is no roughness.
Eigen::MatrixXd harmonic_precision(const HarmonicPrior& prior, int n, int splines) {
  Eigen::MatrixXd precision =
      Eigen::MatrixXd::Identity(splines, splines) / (splines * prior.amplitude_m * prior.amplitude_m);
  const Eigen::VectorXd d =
      n == 1 ? Eigen::VectorXd(Eigen::Vector4d(1, -3, 3, -1)) : Eigen::VectorXd(Eigen::Vector3d(1, -2, 1));
  for (int i = 0; i + d.size() <= splines; ++i) {
    precision.block(i, i, d.size(), d.size()) += d * d.transpose() / (prior.roughness_m * prior.roughness_m);
  }
  return precision;
}

}  // namespace

PriorPrecision prior_precision(const SurfacePrior& prior, const SurfaceBasis& basis) {
  PriorPrecision result{BlockTridiagonal(basis.block_count(), SurfaceBasis::kBlock), 0};
  const int splines = basis.spline_count();
  constexpr int kReach = SurfaceBasis::kGroup;  // of a third difference
  for (int n = 0; n <= kHarmonics; ++n) {
    const Eigen::MatrixXd precision = harmonic_precision(harmonic_prior(prior, n), n, splines);
    const int copies = n == 0 ? 1 : 2;
    const Eigen::MatrixXd factor = precision.llt().matrixL();
    result.log_determinant += copies * 2 * factor.diagonal().array().log().sum();
    for (int copy = 0; copy < copies; ++copy) {
      const int term = n == 0 ? 0 : 2 * n - 1 + copy;
      for (int row = 0; row < splines; ++row) {
        for (int column = std::max(0, row - kReach); column <= std::min(splines - 1, row + kReach);
             ++column) {
          const int row_group = row / SurfaceBasis::kGroup;
          const int column_group = column / SurfaceBasis::kGroup;
          const Eigen::Index r = Eigen::Index{row % SurfaceBasis::kGroup} * kTerms + term;
          const Eigen::Index c = Eigen::Index{column % SurfaceBasis::kGroup} * kTerms + term;
          if (row_group == column_group) {
            result.matrix.diagonal[static_cast<std::size_t>(row_group)](r, c) = precision(row, column);
          } else if (row_group == column_group + 1) {
            result.matrix.below[static_cast<std::size_t>(column_group)](r, c) = precision(row, column);
          }
        }
      }
    }
  }
  return result;
}

SurfacePrior usual_prior(double radius_m) {
  SurfacePrior prior;
  for (const Knob& knob : kKnobs) {
    prior.*knob.value = std::max(knob.usual_share * radius_m, kLeastPrior_m);
  }
  return prior;
}

double plausibility(const SurfacePrior& prior, double radius_m) {
  const SurfacePrior usual = usual_prior(radius_m);
  double sum = 0;
  for (const Knob& knob : kKnobs) {
    const double off = std::log(prior.*knob.value / usual.*knob.value) / knob.log_spread;
    sum -= 0.5 * off * off;
  }
  return sum;
}

}  // namespace flitchwise::scan
