#include "tools/simulate/log_shape.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>

#include "tools/simulate/angles.hpp"
#include "tools/simulate/random.hpp"
#include "tools/simulate/within.hpp"

namespace flitchwise::simulate {

namespace {

constexpr double kHalfBump = 0.5;  // radius of a foot from its diameter
// By Bump::Kind: a knot is wood swollen and bark thickened above it, a stub wood to its tip.
constexpr std::array<double, 3> kWoodShares{0.6, 1, 0};
constexpr double kStubWallStarts = 0.75;     // share of a stub's radius: flat top inside, steep wall outside
constexpr double kSlowWave_m = 2.5;          // wave length of slow changes along the log
constexpr std::uint64_t kShapeStream = 101;  // one stream a purpose, see Random

constexpr Within within{"simulated log"};

EndCut end_cut(double x_m, double outward, double tilt, double direction) {
  // The log is longest on the side `direction`: the face leans so that its normal turns away from there.
  const double slope = std::tan(tilt);
  EndCut cut;
  cut.point_m = {x_m, 0, 0};
  cut.normal = Eigen::Vector3d(outward, -slope * std::cos(direction), -slope * std::sin(direction));
  cut.normal.normalize();
  return cut;
}

double profile(Bump::Kind kind, double distance) {
  if (distance >= 1) {
    return 0;
  }
  if (kind != Bump::Kind::stub) {
    return 0.5 * (1 + std::cos(std::numbers::pi * distance));
  }
  const double t = std::clamp((distance - kStubWallStarts) / (1 - kStubWallStarts), 0.0, 1.0);
  return 1 - t * t * (3 - 2 * t);
}

}  // namespace

void check(const LogShape& shape) {
  within("length_m", shape.length_m, 0.3, 20);
  within("small_end_diameter_m", shape.small_end_diameter_m, 0.05, 1.5);
  within("large_end_diameter_m", shape.large_end_diameter_m, shape.small_end_diameter_m, 2);
  within("sweep_m", shape.sweep_m, 0, 0.5);
  within("s_sweep_m", shape.s_sweep_m, 0, 0.3);
  within("flare_m", shape.flare_m, 0, 0.5);
  within("flare_reach_m", shape.flare_reach_m, 0.05, 5);
  within("waist_m", shape.waist_m, 0, shape.small_end_diameter_m / 2);
  within("waist_place", shape.waist_place, 0, 1);
  within("waist_reach_m", shape.waist_reach_m, 0.05, 5);
  within("ovality", shape.ovality, 1, 1.5);
  within("irregularity_m", shape.irregularity_m, 0, 0.05);
  within("bark_m", shape.bark_m, 0, std::min(0.1, shape.small_end_diameter_m / 5));
  within("bark_variation", shape.bark_variation, 0, 0.5);
  within("bark_ridge_m", shape.bark_ridge_m, 0, shape.bark_m / 2);
  within("small_end_tilt_rad", shape.small_end_tilt_rad, 0, 0.4);
  within("large_end_tilt_rad", shape.large_end_tilt_rad, 0, 0.4);
  for (const Bump& bump : shape.bumps) {
    within("bump height_m", bump.height_m, 0, 0.5);
    within("bump extent_m", bump.extent_m, 0.005, 1);
  }
}

LogSurface::LogSurface(const LogShape& shape) : shape_(shape) {
  check(shape);
  small_end_ = end_cut(0, -1, shape.small_end_tilt_rad, shape.small_end_tilt_direction_rad);
  large_end_ = end_cut(shape.length_m, 1, shape.large_end_tilt_rad, shape.large_end_tilt_direction_rad);
  Random random(shape.detail_seed, kShapeStream);
  for (int order = 3; order <= 5; ++order) {
    Harmonic harmonic;
    harmonic.order = order;
    // Falls off as on eleven stems scanned by laser (the open test data of the ITSMe and spanner packages).
    const double third_over_order = 3.0 / order;
    harmonic.amplitude_m = shape.irregularity_m * random.uniform(0.5, 1) * std::pow(third_over_order, 3);
    harmonic.phase = random.angle();
    harmonic.turn_rad_m = random.uniform(-0.3, 0.3);
    harmonic.swell_number = kTwoPi / (kSlowWave_m * random.uniform(0.6, 1.6));
    harmonic.swell_phase = random.angle();
    harmonics_.push_back(harmonic);
  }
  // Ridges run along the log and wind a little: many periods round the girth, few along x.
  double weights = 0;
  for (const int order : {19, 26, 33, 41}) {
    Ridge ridge;
    ridge.order = order;
    ridge.weight = random.uniform(0.5, 1);
    ridge.phase = random.angle();
    ridge.number_m = random.uniform(-12, 12);
    weights += ridge.weight;
    ridges_.push_back(ridge);
  }
  for (Ridge& ridge : ridges_) {
    ridge.weight /= weights;
  }
  for (double& phase : bark_phase_) {
    phase = random.angle();
  }
  wind_phase_ = random.angle();
  double tallest = 0;
  for (const Bump& bump : shape.bumps) {
    bump_radius_m_.push_back(base_diameter_m(bump.x_m) / 2);
    tallest = std::max(tallest, bump.height_m);
  }
  const double stretch = 2 * shape.ovality / (1 + shape.ovality);
  reach_m_ = (shape.large_end_diameter_m + shape.flare_m) * stretch * 0.55 + 3 * shape.irregularity_m +
             3 * shape.bark_m + 2 * tallest + shape.sweep_m + shape.s_sweep_m;
}

Eigen::Vector2d LogSurface::centre_m(double x_m) const {
  const double u = x_m / shape_.length_m;
  const double bow = shape_.sweep_m * 4 * u * (1 - u);
  const double swing = shape_.s_sweep_m * std::sin(kTwoPi * u);
  return {bow * std::cos(shape_.sweep_direction_rad) + swing * std::cos(shape_.s_sweep_direction_rad),
          bow * std::sin(shape_.sweep_direction_rad) + swing * std::sin(shape_.s_sweep_direction_rad)};
}

Eigen::Vector2d LogSurface::pith_m(double x_m) const {
  const double u = x_m / shape_.length_m;
  return centre_m(x_m) + (1 - u) * shape_.pith_small_end_m + u * shape_.pith_large_end_m;
}

double LogSurface::base_diameter_m(double x_m) const {
  const double u = x_m / shape_.length_m;
  const double from_cut = shape_.length_m - x_m;
  double diameter =
      shape_.small_end_diameter_m + u * (shape_.large_end_diameter_m - shape_.small_end_diameter_m);
  if (shape_.flare_m > 0) {
    diameter += shape_.flare_m * std::exp(-from_cut / shape_.flare_reach_m);
  }
  if (shape_.waist_m > 0) {
    const double away = (u - shape_.waist_place) * shape_.length_m / shape_.waist_reach_m;
    diameter -= shape_.waist_m * std::exp(-away * away);
  }
  return diameter;
}

double LogSurface::clear_wood_radius_m(double x_m, double theta) const {
  double radius = base_diameter_m(x_m) / 2 - shape_.bark_m;
  if (shape_.ovality > 1) {
    const double stretch = (shape_.ovality - 1) / (shape_.ovality + 1);
    const double direction = shape_.ovality_direction_rad + shape_.ovality_turn_rad * x_m / shape_.length_m;
    radius *= 1 + stretch * std::cos(2 * (theta - direction));
  }
  if (shape_.irregularity_m > 0) {
    for (const Harmonic& harmonic : harmonics_) {
      const double swell = 1 + 0.4 * std::cos(harmonic.swell_number * x_m + harmonic.swell_phase);
      radius += harmonic.amplitude_m * swell *
                std::cos(harmonic.order * theta - harmonic.phase - harmonic.turn_rad_m * x_m);
    }
  }
  return radius;
}

double LogSurface::thickness_m(double x_m, double theta) const {
  if (shape_.bark_variation == 0) {
    return shape_.bark_m;
  }
  const double along = std::cos(kTwoPi * x_m / kSlowWave_m + bark_phase_[0]);
  const double round = std::cos(theta - bark_phase_[1] - 0.3 * x_m) + std::cos(2 * theta - bark_phase_[2]);
  return shape_.bark_m * (1 + shape_.bark_variation * (0.5 * along + 0.25 * round));
}

double LogSurface::bump_height_m(double x_m, double theta, bool wood) const {
  double sum = 0;
  for (std::size_t i = 0; i < shape_.bumps.size(); ++i) {
    const Bump& bump = shape_.bumps[i];
    const double reach = kHalfBump * bump.extent_m;
    const double along = x_m - bump.x_m;
    if (std::abs(along) >= reach) {
      continue;
    }
    const double across = bump_radius_m_[i] * turned(theta - bump.theta_rad);
    const double distance = std::hypot(along, across) / reach;
    const double share = wood ? kWoodShares.at(static_cast<std::size_t>(bump.kind)) : 1;
    sum += share * bump.height_m * profile(bump.kind, distance);
  }
  return sum;
}

double LogSurface::wood_radius_m(double x_m, double theta) const {
  return clear_wood_radius_m(x_m, theta) + bump_height_m(x_m, theta, true);
}

double LogSurface::ridgeless_radius_m(double x_m, double theta) const {
  return clear_wood_radius_m(x_m, theta) + thickness_m(x_m, theta) + bump_height_m(x_m, theta, false);
}

double LogSurface::ridge_height_m(double x_m, double theta) const {
  if (shape_.bark_ridge_m == 0) {
    return 0;
  }
  const double wind = 0.03 * std::sin(kTwoPi * x_m / 0.83 + wind_phase_) +
                      0.015 * std::sin(kTwoPi * x_m / 0.29 - wind_phase_);
  double sum = 0;
  for (const Ridge& ridge : ridges_) {
    sum += ridge.weight * std::cos(ridge.order * (theta + wind) + ridge.number_m * x_m + ridge.phase);
  }
  return shape_.bark_ridge_m * sum;
}

double LogSurface::bark_radius_m(double x_m, double theta) const {
  return ridgeless_radius_m(x_m, theta) + ridge_height_m(x_m, theta);
}

bool LogSurface::between_ends(const Eigen::Vector3d& point) const {
  return small_end_.beyond_m(point) <= 0 && large_end_.beyond_m(point) <= 0;
}

Eigen::Vector3d LogSurface::point_m(double x_m, double theta, double radius_m) const {
  const Eigen::Vector2d middle = centre_m(x_m);
  return {x_m, middle.x() + radius_m * std::cos(theta), middle.y() + radius_m * std::sin(theta)};
}

LogSurface::Polar LogSurface::polar(const Eigen::Vector3d& point) const {
  const Eigen::Vector2d off = point.tail<2>() - centre_m(point.x());
  return {std::atan2(off.y(), off.x()), off.norm()};
}

Eigen::Vector3d LogSurface::normal(double x_m, double theta) const {
  constexpr double kStep_m = 0.002;  // wide enough for rounding, finer than a stub's wall
  const double turn = kStep_m / ridgeless_radius_m(x_m, theta);
  const Eigen::Vector3d along = point_m(x_m + kStep_m, theta, ridgeless_radius_m(x_m + kStep_m, theta)) -
                                point_m(x_m - kStep_m, theta, ridgeless_radius_m(x_m - kStep_m, theta));
  const Eigen::Vector3d round = point_m(x_m, theta + turn, ridgeless_radius_m(x_m, theta + turn)) -
                                point_m(x_m, theta - turn, ridgeless_radius_m(x_m, theta - turn));
  return round.cross(along).normalized();
}

}  // namespace flitchwise::simulate
