#include "solver/search/board_shape.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <utility>

namespace flitchwise::solver {

Eigen::Vector3d to_log(double roll_rad, const Eigen::Vector3d& in_bench_m) {
  const double c = std::cos(roll_rad);
  const double s = std::sin(roll_rad);
  return {in_bench_m.x(), c * in_bench_m.y() + s * in_bench_m.z(), c * in_bench_m.z() - s * in_bench_m.y()};
}

std::vector<Spot> spots_of(const Job& job, const LayerKind& kind, const Strip& strip) {
  std::vector<Spot> spots;
  for (const Group& group : strip.groups) {
    if (group.edging == nullptr) {
      continue;
    }
    double left_m = group.edging->width_m / 2;
    for (const std::size_t target : group.edging->targets) {
      const bool flat = kind.kind == Flitch::Kind::flat;
      const double across_m = flat ? job.targets[target].width_m : job.targets[target].thickness_m;
      spots.push_back({target, across_m, left_m - across_m / 2, group.middle_y_m, group.edging->chamfer});
      left_m -= across_m + kind.kerf_m;
    }
  }
  return spots;
}

/// Directions in the bench frame: the board's own axis, across it in its flitch, off its face.
Corners corners_of(const Job& job, const LaidLayer& layer, const Strip& strip, const Spot& spot) {
  const Slab& slab = layer.slab;
  const double sec = std::sqrt(1 + slab.pitch * slab.pitch);
  const Eigen::Vector3d uphill(1 / sec, 0, slab.pitch / sec);
  const Eigen::Vector3d normal(-slab.pitch / sec, 0, 1 / sec);
  const double yaw_rad = std::atan(strip.yaw / sec);  // dy/dx = strip.yaw, so dy along the slope is less
  const Eigen::Vector3d axis = std::cos(yaw_rad) * uphill + std::sin(yaw_rad) * Eigen::Vector3d::UnitY();
  const Eigen::Vector3d across = std::cos(yaw_rad) * Eigen::Vector3d::UnitY() - std::sin(yaw_rad) * uphill;
  const Place& place = job.places[strip.place];
  const double middle_x_m = place.middle_x_m();
  const Eigen::Vector3d middle(
      middle_x_m, spot.middle_y_m + spot.offset_m / std::cos(yaw_rad),
      (slab.low_m + slab.high_m) / 2 + slab.pitch * (middle_x_m - job.solid.pivot_x_m));
  const std::array<std::pair<double, double>, 4> quarter{{{1, -1}, {-1, -1}, {-1, 1}, {1, 1}}};
  Corners corners;
  for (std::size_t corner = 0; corner < corners.size(); ++corner) {
    const auto [left, up] = quarter.at(corner % 4);
    const double along = corner < 4 ? -0.5 : 0.5;
    corners.at(corner) = to_log(layer.roll_rad, middle + along * job.targets[spot.target].length_m * axis +
                                                    left * spot.across_m / 2 * across +
                                                    up * layer.kind->thickness_m / 2 * normal);
  }
  return corners;
}

double grain_slope(const Job& job, const Corners& c) {
  constexpr double kLeast = 1e-12;  // of the squared cosine: a face square to the pith has no slope
  const Eigen::Vector3d across = c[1] - c[0];
  const Eigen::Vector3d up = c[3] - c[0];
  const Eigen::Vector3d normal = (across.norm() >= up.norm() ? up : across).normalized();
  const Eigen::Vector3d pith = Eigen::Vector3d(1, job.pith_rise.x(), job.pith_rise.y()).normalized();
  const double sine = std::abs(normal.dot(pith));
  return sine / std::sqrt(std::max(1 - sine * sine, kLeast));
}

}  // namespace flitchwise::solver
