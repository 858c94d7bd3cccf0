#include "scan/fit/centreline.hpp"

#include <Eigen/Cholesky>
#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>

namespace flitchwise::scan {
namespace {

constexpr double kStep_m =
    0.01;  // a sweep of 100 mm in 4 m departs from its polyline by less than a micrometre

/// Third differences of the splines cost this, against one for a point of the curve: nothing where there are
/// points, and an even bend beyond them.
constexpr double kSmoothing = 1e-3;

Eigen::Vector4d weights(const SurfaceBasis::Local& local) {
  return Eigen::Map<const Eigen::Vector4d>(local.weight.data());
}

}  // namespace

Centreline::Centreline(double begin_m, double step_m, std::vector<Eigen::Vector2d> points_m)
    : begin_m_(begin_m), step_m_(step_m), points_m_(std::move(points_m)) {}

Eigen::Vector2d Centreline::at(double x_m) const {
  const double place = (x_m - begin_m_) / step_m_;
  const auto last = static_cast<double>(points_m_.size() - 2);
  const double floor = std::clamp(std::floor(place), 0.0, last);
  const auto i = static_cast<std::size_t>(floor);
  const double u = place - floor;
  return (1 - u) * points_m_[i] + u * points_m_[i + 1];
}

LogFrame frame_between(const Eigen::Vector3d& small_end_in_scan_m,
                       const Eigen::Vector3d& large_end_in_scan_m) {
  LogFrame frame;
  frame.origin_in_scan_m = small_end_in_scan_m;
  const Eigen::Vector3d x = (large_end_in_scan_m - small_end_in_scan_m).normalized();
  const Eigen::Vector3d z = (Eigen::Vector3d::UnitZ() - x * x.z()).normalized();
  frame.scan_from_log << x, z.cross(x), z;
  return frame;
}

Centreline centreline_in(const LogFrame& frame, const std::vector<Eigen::Vector3d>& curve_in_scan_m) {
  std::vector<Eigen::Vector3d> curve;
  for (const auto& p : curve_in_scan_m) {
    curve.push_back(frame.to_log(p));
  }
  const double begin_m = curve.front().x();
  const auto steps =
      static_cast<std::size_t>(std::max(1.0, std::ceil((curve.back().x() - begin_m) / kStep_m)));
  std::vector<Eigen::Vector2d> points;
  std::size_t k = 0;
  for (std::size_t i = 0; i <= steps; ++i) {
    const double x = begin_m + kStep_m * static_cast<double>(i);
    while (k + 2 < curve.size() && curve[k + 1].x() < x) {
      ++k;
    }
    const double span = std::max(curve[k + 1].x() - curve[k].x(), 1e-9);
    const double u = (x - curve[k].x()) / span;
    points.emplace_back(((1 - u) * curve[k] + u * curve[k + 1]).tail<2>());
  }
  return {begin_m, kStep_m, std::move(points)};
}

Eigen::MatrixX2d spline_through(const Centreline& curve, const SurfaceBasis& basis) {
  const Eigen::Index splines = basis.spline_count();
  Eigen::MatrixXd normal = Eigen::MatrixXd::Zero(splines, splines);
  Eigen::MatrixX2d right = Eigen::MatrixX2d::Zero(splines, 2);
  for (double x = basis.begin_m(); x <= basis.end_m(); x += kStep_m) {
    const SurfaceBasis::Local local = basis.splines_at(x);
    normal.block<4, 4>(local.first, local.first) += weights(local) * weights(local).transpose();
    right.middleRows<4>(local.first) += weights(local) * curve.at(x).transpose();
  }
  const Eigen::Vector4d third(1, -3, 3, -1);
  for (Eigen::Index i = 0; i + third.size() <= splines; ++i) {
    normal.block<4, 4>(i, i) += kSmoothing * third * third.transpose();
  }
  return normal.ldlt().solve(right);
}

Centreline centreline_of(const Eigen::MatrixX2d& spline_m, const SurfaceBasis& basis) {
  const double span_m = basis.end_m() - basis.begin_m();
  const auto steps = static_cast<int>(std::max(1.0, std::ceil(span_m / kStep_m)));
  std::vector<Eigen::Vector2d> points;
  for (int i = 0; i <= steps; ++i) {
    const SurfaceBasis::Local local = basis.splines_at(basis.begin_m() + span_m * i / steps);
    points.emplace_back(spline_m.middleRows<kSplineOrder>(local.first).transpose() * weights(local));
  }
  return {basis.begin_m(), span_m / steps, std::move(points)};
}

}  // namespace flitchwise::scan
