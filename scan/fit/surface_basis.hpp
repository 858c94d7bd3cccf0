#pragma once
/// The family of smooth surfaces r(x, theta): cubic B-splines along the log times Fourier terms around it.

#include <Eigen/Core>
#include <array>

#include "scan/fit/block_tridiagonal.hpp"

namespace flitchwise::scan {

constexpr int kHarmonics = 7;               ///< finer waves around the log are bark
constexpr int kTerms = 1 + 2 * kHarmonics;  ///< 1, cos t, sin t, cos 2t, ...
constexpr int kSplineOrder = 4;             ///< cubic: four splines reach over each x

using Terms = Eigen::Matrix<double, kTerms, 1>;

Terms fourier_terms(double theta_rad);

/// Uniform cubic B-splines over [begin, end]; knots are grouped by three so that the splines at any x touch
/// at most two neighbouring groups.
class SurfaceBasis {
 public:
  static constexpr int kGroup = kSplineOrder - 1;
  static constexpr Eigen::Index kBlock = Eigen::Index{kGroup} * kTerms;

  SurfaceBasis(double begin_m, double end_m, double knot_spacing_m);

  struct Local {
    int first = 0;  ///< index of the first of the four splines
    std::array<double, kSplineOrder> weight{};
  };
  Local splines_at(double x_m) const;

  int spline_count() const { return splines_; }
  std::size_t block_count() const { return static_cast<std::size_t>(splines_ / kGroup); }
  double begin_m() const { return begin_m_; }
  double end_m() const { return end_m_; }

  /// Where the coefficient of a spline and a term stands in the stacked vector.
  static Eigen::Index row(int spline, int term) { return Eigen::Index{spline} * kTerms + term; }

  /// Coefficients of the section at x: one a term.
  Terms section(const Eigen::VectorXd& coefficients, double x_m) const;
  /// Variance of r(x, theta), given the covariance of the coefficients.
  double variance(const BlockTridiagonal& covariance, double x_m, const Terms& terms) const;
  /// Covariance of the section's coefficients at x.
  Eigen::Matrix<double, kTerms, kTerms> section_covariance(const BlockTridiagonal& covariance,
                                                           double x_m) const;

 private:
  double begin_m_;
  double end_m_;
  double spacing_m_;
  int splines_;  // a multiple of kGroup
};

}  // namespace flitchwise::scan
