#include "fit/centreline.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>

namespace flitchwise::scan {
namespace {

constexpr double kStepM =
    0.01;  // a sweep of 100 mm in 4 m departs from its polyline by less than a micrometre

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
      static_cast<std::size_t>(std::max(1.0, std::ceil((curve.back().x() - begin_m) / kStepM)));
  std::vector<Eigen::Vector2d> points;
  std::size_t k = 0;
  for (std::size_t i = 0; i <= steps; ++i) {
    const double x = begin_m + kStepM * static_cast<double>(i);
    while (k + 2 < curve.size() && curve[k + 1].x() < x) {
      ++k;
    }
    const double span = std::max(curve[k + 1].x() - curve[k].x(), 1e-9);
    const double u = (x - curve[k].x()) / span;
    points.emplace_back(((1 - u) * curve[k] + u * curve[k + 1]).tail<2>());
  }
  return {begin_m, kStepM, std::move(points)};
}

}  // namespace flitchwise::scan
