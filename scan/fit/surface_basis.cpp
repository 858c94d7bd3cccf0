#include "scan/fit/surface_basis.hpp"

#include <algorithm>
#include <cmath>

namespace flitchwise::scan {

Terms fourier_terms(double theta_rad) {
  Terms terms;
  terms[0] = 1;
  const double c = std::cos(theta_rad);
  const double s = std::sin(theta_rad);
  double cn = 1;
  double sn = 0;
  for (int n = 1; n <= kHarmonics; ++n) {  // by the addition theorem: two calls instead of fourteen
    const double turned = cn * c - sn * s;
    sn = sn * c + cn * s;
    cn = turned;
    terms[2 * n - 1] = cn;
    terms[2 * n] = sn;
  }
  return terms;
}

SurfaceBasis::SurfaceBasis(double begin_m, double end_m, double knot_spacing_m)
    : begin_m_(begin_m), end_m_(end_m) {
  const int intervals = std::max(1, static_cast<int>(std::lround((end_m - begin_m) / knot_spacing_m)));
  const int needed = intervals + kSplineOrder - 1;
  splines_ = std::max(2, (needed + kGroup - 1) / kGroup) * kGroup;
  spacing_m_ = (end_m - begin_m) / (splines_ - kSplineOrder + 1);
}

SurfaceBasis::Local SurfaceBasis::splines_at(double x_m) const {
  const double place = std::clamp((x_m - begin_m_) / spacing_m_, 0.0, splines_ - kSplineOrder + 1 - 1e-9);
  const double t = place - std::floor(place);
  const double s = 1 - t;
  Local local;
  local.first = static_cast<int>(std::floor(place));
  local.weight = {s * s * s / 6, (3 * t * t * t - 6 * t * t + 4) / 6, (3 * s * s * s - 6 * s * s + 4) / 6,
                  t * t * t / 6};
  return local;
}

Terms SurfaceBasis::section(const Eigen::VectorXd& coefficients, double x_m) const {
  const Local local = splines_at(x_m);
  Terms terms = Terms::Zero();
  for (int k = 0; k < kSplineOrder; ++k) {
    terms +=
        local.weight[static_cast<std::size_t>(k)] * coefficients.segment<kTerms>(row(local.first + k, 0));
  }
  return terms;
}

Eigen::Matrix<double, kTerms, kTerms> SurfaceBasis::section_covariance(const BlockTridiagonal& covariance,
                                                                       double x_m) const {
  const Local local = splines_at(x_m);
  Eigen::Matrix<double, kTerms, kTerms> sum = Eigen::Matrix<double, kTerms, kTerms>::Zero();
  for (int a = 0; a < kSplineOrder; ++a) {
    for (int b = 0; b < kSplineOrder; ++b) {
      const int row_spline = local.first + std::max(a, b);
      const int column_spline = local.first + std::min(a, b);
      const auto row_group = static_cast<std::size_t>(row_spline / kGroup);
      const auto column_group = static_cast<std::size_t>(column_spline / kGroup);
      const Eigen::MatrixXd& block =
          row_group == column_group ? covariance.diagonal[row_group] : covariance.below[column_group];
      const auto part = block.block<kTerms, kTerms>(Eigen::Index{row_spline % kGroup} * kTerms,
                                                    Eigen::Index{column_spline % kGroup} * kTerms);
      const double weight =
          local.weight[static_cast<std::size_t>(a)] * local.weight[static_cast<std::size_t>(b)];
      if (a >= b) {
        sum += weight * part;
      } else {
        sum += weight * part.transpose();
      }
    }
  }
  return sum;
}

double SurfaceBasis::variance(const BlockTridiagonal& covariance, double x_m, const Terms& terms) const {
  return terms.dot(section_covariance(covariance, x_m) * terms);
}

}  // namespace flitchwise::scan
