#include "tools/simulate/visibility.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "tools/simulate/angles.hpp"

namespace flitchwise::simulate {

namespace {

constexpr std::uint64_t kCameraStream = 301;
constexpr double kRowStep_m = 0.01;
constexpr std::size_t kRowAngles = 180;
constexpr double kRowOverhang_m = 0.3;  // past the ends, where tilted cuts reach
// A surface point's own bark must not hide it: a ray starts this far out, and the log counts as in the way
// only where the ray is this deep in it.
constexpr double kStartOff_m = 0.008;
constexpr double kGraze_m = 0.003;

// A walk round the log: an ellipse `distance` from its axis and from its ends.
std::vector<Eigen::Vector3d> walk(const Site& site, const Ring& ring, double spread_m, Random& random) {
  const double length = site.log.surface.shape().length_m;
  const double start = random.angle();
  std::vector<Eigen::Vector3d> cameras;
  for (int i = 0; i < ring.cameras; ++i) {
    const double turn = start + kTwoPi * i / ring.cameras;
    const double along = (length / 2 + ring.distance_m) * std::cos(turn);
    const double across = ring.distance_m * std::sin(turn);
    Eigen::Vector3d camera = site.on_ground(along, across);
    camera.z() = camera.z() + ring.height_m + random.uniform(-spread_m, spread_m);
    cameras.push_back(camera);
  }
  return cameras;
}

}  // namespace

Visibility::Visibility(const Site& site, const Scanner& scanner, std::uint64_t seed)
    : site_(site),
      full_coverage_(scanner.full_coverage),
      least_cosine_(std::cos(scanner.most_incidence_rad)) {
  Random random(seed, kCameraStream);
  for (const Ring& ring : scanner.rings) {
    const auto cameras = walk(site, ring, scanner.height_spread_m, random);
    cameras_m_.insert(cameras_m_.end(), cameras.begin(), cameras.end());
  }
  fill_rows();
}

void Visibility::fill_rows() {
  constexpr double kMiddle = 0.5;  // each entry holds for a whole cell, so it is taken in the cell's middle
  const LogSurface& surface = site_.log.surface;
  rows_start_m_ = -kRowOverhang_m;
  const auto count =
      static_cast<std::size_t>((surface.shape().length_m + 2 * kRowOverhang_m) / kRowStep_m) + 1;
  for (std::size_t i = 0; i < count; ++i) {
    const double x = rows_start_m_ + kRowStep_m * (static_cast<double>(i) + kMiddle);
    Row row;
    row.centre_m = surface.centre_m(x);
    for (std::size_t k = 0; k < kRowAngles; ++k) {
      const double theta = kTwoPi * (static_cast<double>(k) + kMiddle) / kRowAngles;
      row.radius_m.push_back(surface.ridgeless_radius_m(x, theta));
    }
    row.most_m = *std::max_element(row.radius_m.begin(), row.radius_m.end());

    rows_.push_back(std::move(row));
  }
}

const Visibility::Row& Visibility::row_at(double x_m) const {
  const double last = static_cast<double>(rows_.size() - 1);
  return rows_[static_cast<std::size_t>(std::clamp((x_m - rows_start_m_) / kRowStep_m, 0.0, last))];
}

bool Visibility::log_blocks(const Ray& ray) const {
  constexpr double kLeastStep_m = 0.004;
  constexpr double kCareful = 0.6;  // the radial height overstates the distance on the sides of bumps
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
      t += std::max(kLeastStep_m, from_axis - reach);
      continue;
    }
    const Row& row = row_at(point.x());
    const Eigen::Vector2d off = point.tail<2>() - row.centre_m;
    const double distance = off.norm();
    double height = distance - row.most_m;
    if (height < 0) {
      const double turn = std::atan2(off.y(), off.x()) / kTwoPi;
      const double place = (turn < 0 ? turn + 1 : turn) * kRowAngles;
      height = distance - row.radius_m[static_cast<std::size_t>(place) % kRowAngles];
    }
    if (height < -kGraze_m && surface.between_ends(point)) {
      return true;
    }
    t += std::max(kLeastStep_m, kCareful * height);
  }
  return false;
}

bool Visibility::ground_blocks(const Ray& ray) const {
  // Rays rise to a camera over a metre up: only the first stretch can meet a bump of the ground.
  constexpr std::array<double, 3> kPlaces_m = {0.15, 0.3, 0.45};
  constexpr double kTallestBump_m = 0.15;
  if (ray.start_m.z() - site_.ground.height_m(ray.start_m.x(), ray.start_m.y()) > kTallestBump_m) {
    return false;
  }
  return std::any_of(kPlaces_m.begin(), kPlaces_m.end(), [&](double t) {
    const Eigen::Vector3d point = ray.start_m + t * ray.direction;
    return point.z() < site_.ground.height_m(point.x(), point.y()) - kGraze_m;
  });
}

bool Visibility::seen_by_any(const Eigen::Vector3d& point_m, const Eigen::Vector3d& normal) const {
  for (const Eigen::Vector3d& camera : cameras_m_) {
    const Eigen::Vector3d off = camera - point_m;
    const double distance = off.norm();
    if (off.dot(normal) < least_cosine_ * distance) {
      continue;
    }
    Ray ray{point_m + kStartOff_m * normal, off / distance, distance};
    const bool thing_blocks = std::any_of(site_.things.begin(), site_.things.end(), [&](const Thing& thing) {
      return thing.blocks && hits(thing.solid, ray);
    });
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
