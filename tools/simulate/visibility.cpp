#include "simulate/visibility.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace flitchwise::simulate {

namespace {

constexpr std::uint64_t camera_stream = 301;
constexpr double two_pi = 2 * std::numbers::pi;
constexpr double table_step_m = 0.01;
constexpr std::size_t table_angles = 180;
constexpr double table_overhang_m = 0.3;  // past the ends, where tilted cuts reach
// A surface point's own bark must not hide it: a ray starts this far out, and the log counts as in the way
// only where the ray is this deep in it.
constexpr double start_off_m = 0.008;
constexpr double graze_m = 0.003;

// A walk round the log: an ellipse `distance` from its axis and from its ends.
std::vector<Eigen::Vector3d> walk(const Site& site, const Ring& ring, double spread_m, Random& random) {
  const double length = site.log.surface.shape().length_m;
  const double start = random.angle();
  std::vector<Eigen::Vector3d> cameras;
  for (int i = 0; i < ring.cameras; ++i) {
    const double turn = start + two_pi * i / ring.cameras;
    const double along = (length / 2 + ring.distance_m) * std::cos(turn);
    const double across = ring.distance_m * std::sin(turn);
    const double yaw = site.scene.yaw_rad;
    Eigen::Vector3d camera = site.scene.position_m;
    camera.x() += along * std::cos(yaw) - across * std::sin(yaw);
    camera.y() += along * std::sin(yaw) + across * std::cos(yaw);
    camera.z() =
        site.ground.height_m(camera.x(), camera.y()) + ring.height_m + random.uniform(-spread_m, spread_m);
    cameras.push_back(camera);
  }
  return cameras;
}

}  // namespace

Visibility::Visibility(const Site& site, const Scanner& scanner, std::uint64_t seed)
    : site_(site),
      full_coverage_(scanner.full_coverage),
      least_cosine_(std::cos(scanner.most_incidence_rad)) {
  Random random(seed, camera_stream);
  for (const Ring& ring : scanner.rings) {
    const auto cameras = walk(site, ring, scanner.height_spread_m, random);
    cameras_m_.insert(cameras_m_.end(), cameras.begin(), cameras.end());
  }
  fill_radius_table();
}

void Visibility::fill_radius_table() {
  const LogSurface& surface = site_.log.surface;
  table_start_m_ = -table_overhang_m;
  table_rows_ =
      static_cast<std::size_t>((surface.shape().length_m + 2 * table_overhang_m) / table_step_m) + 2;
  table_.reserve(table_rows_ * table_angles);
  for (std::size_t row = 0; row < table_rows_; ++row) {
    const double x = table_start_m_ + table_step_m * static_cast<double>(row);
    for (std::size_t k = 0; k < table_angles; ++k) {
      table_.push_back(surface.ridgeless_radius_m(x, two_pi * static_cast<double>(k) / table_angles));
    }
  }
}

double Visibility::table_radius_m(double x_m, double theta) const {
  const double row =
      std::clamp((x_m - table_start_m_) / table_step_m, 0.0, static_cast<double>(table_rows_ - 1));
  const double turn = (theta < 0 ? theta + two_pi : theta) / two_pi;
  const auto column = static_cast<std::size_t>(turn * table_angles + 0.5) % table_angles;
  return table_[static_cast<std::size_t>(row + 0.5) * table_angles + column];
}

bool Visibility::log_blocks(const Ray& ray) const {
  constexpr double least_step_m = 0.004;
  constexpr double careful = 0.6;  // the radial height overstates the distance on the sides of bumps
  const LogSurface& surface = site_.log.surface;
  const Eigen::Vector3d start = site_.log.to_shape(ray.start_m);
  const Eigen::Vector3d direction = site_.log.scan_from_shape.transpose() * ray.direction;
  const double reach = surface.reach_m();
  double t = 0;
  while (t < ray.length_m) {
    const Eigen::Vector3d point = start + t * direction;
    const double from_axis = point.tail<2>().norm();
    if (from_axis > reach) {
      if (point.tail<2>().dot(direction.tail<2>()) >= 0) {
        return false;  // outside and going away
      }
      t += std::max(least_step_m, from_axis - reach);
      continue;
    }
    const LogSurface::Polar polar = surface.polar(point);
    const double height = polar.radius_m - table_radius_m(point.x(), polar.theta);
    if (height < -graze_m && surface.between_ends(point)) {
      return true;
    }
    t += std::max(least_step_m, careful * height);
  }
  return false;
}

bool Visibility::ground_blocks(const Ray& ray) const {
  // Rays rise to a camera over a metre up: only the first stretch can meet a bump of the ground.
  constexpr double reach_m = 0.5;
  constexpr double step_m = 0.15;
  constexpr double tallest_bump_m = 0.15;
  if (ray.start_m.z() - site_.ground.height_m(ray.start_m.x(), ray.start_m.y()) > tallest_bump_m) {
    return false;
  }
  for (double t = step_m; t < std::min(reach_m, ray.length_m); t += step_m) {
    const Eigen::Vector3d point = ray.start_m + t * ray.direction;
    if (point.z() < site_.ground.height_m(point.x(), point.y()) - graze_m) {
      return true;
    }
  }
  return false;
}

bool Visibility::seen_by_any(const Eigen::Vector3d& point_m, const Eigen::Vector3d& normal) const {
  for (const Eigen::Vector3d& camera : cameras_m_) {
    const Eigen::Vector3d off = camera - point_m;
    const double distance = off.norm();
    if (off.dot(normal) < least_cosine_ * distance) {
      continue;
    }
    Ray ray{point_m + start_off_m * normal, off / distance, distance};
    const bool thing_blocks = std::any_of(site_.things.begin(), site_.things.end(),
                                          [&](const Thing& thing) { return hits(thing.solid, ray); });
    if (!thing_blocks && !log_blocks(ray) && !(site_.scene.ground && ground_blocks(ray))) {
      return true;
    }
  }
  return false;
}

bool Visibility::sees_log(const Eigen::Vector3d& point_m, const Eigen::Vector3d& normal) const {
  return full_coverage_ || seen_by_any(point_m, normal);
}

bool Visibility::sees(const Eigen::Vector3d& point_m, const Eigen::Vector3d& normal) const {
  return seen_by_any(point_m, normal);
}

}  // namespace flitchwise::simulate
