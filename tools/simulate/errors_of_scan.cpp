#include "tools/simulate/errors_of_scan.hpp"

#include <cmath>
#include <numbers>

#include "tools/simulate/angles.hpp"

namespace flitchwise::simulate {

namespace {

constexpr std::uint64_t kErrorStream = 401;
constexpr std::uint64_t kDriftStream = 402;
constexpr double kLeastFloat_m = 0.02;
constexpr double kMostFloat_m = 0.15;
// Flats are as local as all that is wrong together: a scan that is fused from many views has no reason to
// flatten the same side from end to end.
constexpr double kMostFacetTurn_rad_m = 1;
constexpr double kLeastFacetPiece_m = 0.6;
constexpr double kMostFacetPiece_m = 1;

RandomField correlated_field(Random& random, const Scanner& scanner) {
  return {random, scanner.correlated_sigma_m, scanner.correlation_length_m};
}

}  // namespace

ScanErrors::ScanErrors(const Site& site, const Scanner& scanner, std::uint64_t seed)
    : site_(site),
      scanner_(scanner),
      random_(seed, kErrorStream),
      correlated_(correlated_field(random_, scanner)) {
  facet_phase_ = random_.angle();
  facet_turn_rad_m_ = random_.uniform(-kMostFacetTurn_rad_m, kMostFacetTurn_rad_m);
  facet_swell_phase_ = random_.angle();
  facet_piece_m_ = random_.uniform(kLeastFacetPiece_m, kMostFacetPiece_m);
  // A random walk along the log, less the straight line from its start to its end: that part would only turn
  // the scan as a whole, which changes nothing. What is left, a bridge, has the Karhunen-Loeve expansion of
  // waves sqrt(2) / (k pi) sin(k pi u), k = 1, 2, ...
  Random walk(seed, kDriftStream);
  const double step_m = scanner_.drift_m / std::numbers::sqrt3;
  const auto step = [&]() -> Eigen::Vector3d {
    const double x = walk.normal();
    const double y = walk.normal();
    const double z = walk.normal();
    return step_m * Eigen::Vector3d(x, y, z);
  };
  for (std::size_t k = 0; k < drift_waves_m_.size(); ++k) {
    drift_waves_m_.at(k) = std::numbers::sqrt2 / (static_cast<double>(k + 1) * std::numbers::pi) * step();
  }
  doubled_theta_ = random_.uniform(0.2, 0.8) * std::numbers::pi;  // on the side that the cameras see
  const double outwards = random_.chance(0.5) ? 1 : -1;
  doubled_offset_m_ = outwards * scanner.doubled_m * site.log.scan_from_shape *
                      Eigen::Vector3d(0, std::cos(doubled_theta_), std::sin(doubled_theta_));
  loop_start_ = random_.angle();
  const double away = random_.angle();
  loop_step_m_ = scanner.loop_step_m * Eigen::Vector3d(0.8 * std::cos(away), 0.8 * std::sin(away), 0.6);
}

double ScanErrors::facet_height_m(double x_m, double theta) const {
  if (scanner_.facet_m == 0) {
    return 0;
  }
  // A polygon with flats: r(phi) = r_flat / cos(phi) over half a flat each side, scaled to facet_m from flat
  // to corner, less its mean (a third of it, as for a parabola), so that the girth stays.
  const double half_flat = std::numbers::pi / scanner_.facets;
  double off = std::fmod(theta - facet_phase_ - facet_turn_rad_m_ * x_m, 2 * half_flat);
  off = std::abs(off < 0 ? off + 2 * half_flat : off) - half_flat;
  const double rise = (1 / std::cos(off) - 1) / (1 / std::cos(half_flat) - 1);
  const double swell = 0.5 + 0.5 * std::sin(kTwoPi * x_m / facet_piece_m_ + facet_swell_phase_);
  return scanner_.facet_m * swell * (rise - 1.0 / 3);
}

Eigen::Vector3d ScanErrors::bent_m(const Eigen::Vector3d& point_m) const {
  const Eigen::Vector3d in_shape = site_.log.to_shape(point_m);
  const double u = in_shape.x() / site_.log.surface.shape().length_m;
  Eigen::Vector3d off = Eigen::Vector3d::Zero();
  for (std::size_t k = 0; k < drift_waves_m_.size(); ++k) {
    off += drift_waves_m_.at(k) * std::sin(std::numbers::pi * static_cast<double>(k + 1) * u);
  }
  if (scanner_.loop_step_m > 0) {
    // The error grows evenly on the walk round the log and jumps where the walk closes.
    const double half = site_.log.surface.shape().length_m / 2;
    const double turn = std::atan2(in_shape.y() * half, in_shape.x() - half) - loop_start_;
    off += loop_step_m_ * (turn / kTwoPi - std::floor(turn / kTwoPi) - 0.5);
  }
  return point_m + off;
}

Eigen::Vector3d ScanErrors::measured_m(const Eigen::Vector3d& point_m, const Eigen::Vector3d& normal,
                                       bool on_side) {
  double outward = scanner_.white_sigma_m * random_.normal() + correlated_.at(point_m);
  Eigen::Vector3d off = Eigen::Vector3d::Zero();
  if (on_side) {
    const Eigen::Vector3d in_shape = site_.log.to_shape(point_m);
    const double theta = site_.log.surface.polar(in_shape).theta;
    outward += facet_height_m(in_shape.x(), theta);
    if (scanner_.doubled_m > 0 && std::abs(turned(theta - doubled_theta_)) < scanner_.doubled_arc_rad / 2 &&
        random_.chance(0.5)) {
      off = doubled_offset_m_;
    }
  }
  return (1 + scanner_.scale_error) * bent_m(point_m + outward * normal + off);
}

Eigen::Vector3d ScanErrors::floated_m(const Eigen::Vector3d& point_m, const Eigen::Vector3d& normal) {
  const double distance = random_.uniform(kLeastFloat_m, kMostFloat_m) * (random_.chance(0.7) ? 1 : -1);
  const Eigen::Vector3d aside(random_.normal(), random_.normal(), random_.normal());
  return (1 + scanner_.scale_error) * bent_m(point_m + distance * normal + kLeastFloat_m * aside);
}

}  // namespace flitchwise::simulate
