#pragma once
/// A planned log beside the truth of its scan, for judging: points of either in the other's frame, and where
/// the true bark lies.

#include <Eigen/Geometry>
#include <cmath>
#include <limits>
#include <numbers>
#include <optional>

#include "tests/support/sawn_log.hpp"
#include "tools/job/plan_log.hpp"
#include "tools/simulate/simulate.hpp"

namespace flitchwise::testing {

constexpr double kFar_m = 0.7;          // outside any log, from its middle
constexpr double kInsideEnd_m = 0.002;  // from an end's face, where its bark is measured

class TrueLog {
 protected:
  using Vector2d = Eigen::Vector2d;
  using Vector3d = Eigen::Vector3d;
  using CutPlane = solver::CutPlane;

  TrueLog(const PlannedLog& planned, const simulate::Truth& truth)
      : planned_(planned),
        truth_(truth),
        sheet_(planned.sheet),
        turn_(Eigen::AngleAxisd(sheet_.roll_rad, Vector3d::UnitX()).toRotationMatrix()) {}

  Vector3d bench(const Vector3d& in_log) const { return turn_ * in_log; }
  CutPlane in_bench(const CutPlane& plane) const { return {bench(plane.point_m), bench(plane.normal)}; }
  Vector3d scan(const Vector3d& in_bench) const {
    return planned_.log.frame.to_scan(turn_.transpose() * in_bench);
  }
  Vector3d true_log(const Vector3d& in_bench) const { return truth_.to_log(scan(in_bench)); }
  Vector3d true_direction(const Vector3d& in_bench) const {
    return true_log(in_bench) - true_log(Vector3d::Zero());
  }
  CutPlane in_true_log(const CutPlane& plane) const {
    return {true_log(plane.point_m), true_direction(plane.normal)};
  }
  Vector3d bench_from_true(const Vector3d& in_true_log) const {
    const LogFrame& frame = planned_.log.frame;
    return turn_ * (frame.scan_from_log.transpose() * (truth_.to_scan(in_true_log) - frame.origin_in_scan_m));
  }
  static double height_at(const CutPlane& plane, double x_m, double y_m = 0) {
    const Vector3d& n = plane.normal;
    return plane.point_m.z() -
           (n.x() * (x_m - plane.point_m.x()) + n.y() * (y_m - plane.point_m.y())) / n.z();
  }

  /// The true bark from far out along a direction: its distance from `from` in lengths of `outwards`; `from`
  /// lies within the log or on the same line. None if the line misses the log.
  std::optional<double> bark_along(const Vector3d& from, const Vector3d& outwards) const {
    const Vector3d start = scan(from + kFar_m * outwards);
    const auto gap = truth_.bark_top_below(start, scan(from) - start);
    return gap ? std::optional(kFar_m - *gap / outwards.norm()) : std::nullopt;
  }

  /// x where the true end's face lies over (y, z), a little within the log.
  double end_x_m(bool large_end, double y_m, double z_m) const {
    const simulate::TruthEnd& end = large_end ? truth_.large_end : truth_.small_end;
    const Vector3d point = bench_from_true(end.point_m);
    const Vector3d normal = bench_from_true(end.normal) - bench_from_true(Vector3d::Zero());
    const double x_m =
        point.x() - (normal.y() * (y_m - point.y()) + normal.z() * (z_m - point.z())) / normal.x();
    return x_m + (large_end ? -kInsideEnd_m : kInsideEnd_m);
  }

  /// The edge of a true end's face from (y, z) along (dy, dz), as its y or z: the line lies in the face.
  double end_edge_m(bool large_end, double y_m, double z_m, const Vector2d& direction) const {
    const double x0 = end_x_m(large_end, y_m, z_m);
    const double x1 = end_x_m(large_end, y_m + direction.x(), z_m + direction.y());
    const Vector3d along(x1 - x0, direction.x(), direction.y());
    const auto distance = bark_along({x0, y_m, z_m}, along);
    if (!distance) {
      return std::numeric_limits<double>::quiet_NaN();
    }
    return direction.x() != 0 ? y_m + *distance * direction.x() : z_m + *distance * direction.y();
  }

  double true_volume_m3() const {
    double volume = 0;
    for (std::size_t i = 1; i < truth_.stations.size(); ++i) {
      const auto area = [&](std::size_t s) {
        return area_m2(outline_of(truth_.stations[s], truth_.stations[s].bark_radius_m));
      };
      volume += (truth_.stations[i].x_m - truth_.stations[i - 1].x_m) * (area(i) + area(i - 1)) / 2;
    }
    return volume;
  }

  static Outline outline_of(const simulate::TruthStation& station, const std::vector<double>& radius_m) {
    Outline outline;
    const auto n = static_cast<double>(radius_m.size());
    for (std::size_t k = 0; k < radius_m.size(); ++k) {
      const double theta = 2 * std::numbers::pi * static_cast<double>(k) / n;
      outline.emplace_back(station.centre_m + radius_m[k] * Vector2d(std::cos(theta), std::sin(theta)));
    }
    return outline;
  }

  const PlannedLog& planned_;
  const simulate::Truth& truth_;
  const solver::SetupSheet& sheet_;
  Eigen::Matrix3d turn_;  ///< bench from log
};

}  // namespace flitchwise::testing
