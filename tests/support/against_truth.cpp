#include "tests/support/against_truth.hpp"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>
#include <numbers>

namespace flitchwise::testing {
namespace {

void add(RadiusErrors& errors, double error_m, double shape_error_m, double sigma_m) {
  errors.count += 1;
  errors.rms_m += error_m * error_m;
  errors.shape_m += shape_error_m * shape_error_m;
  errors.mean_m += error_m;
  errors.within_two_sigma += std::abs(error_m) <= 2 * sigma_m ? 1 : 0;
}

void finish(RadiusErrors& errors) {
  const double n = std::max(1.0, errors.count);
  errors.rms_m = std::sqrt(errors.rms_m / n);
  errors.shape_m = std::sqrt(errors.shape_m / n);
  errors.mean_m /= n;
  errors.within_two_sigma /= n;
}

/// The errors of a section less the shift as a whole (a first harmonic) that fits its seen samples best: what
/// is left when the scan's own bend is taken off.
Eigen::VectorXd without_shift(const Eigen::VectorXd& values_m, const std::vector<char>& seen) {
  Eigen::Matrix3d normal = 1e-9 * Eigen::Matrix3d::Identity();  // few seen samples: no shift
  Eigen::Vector3d right = Eigen::Vector3d::Zero();
  const auto row = [&](Eigen::Index k) {
    const double theta = 2 * std::numbers::pi * static_cast<double>(k) / static_cast<double>(values_m.size());
    return Eigen::Vector3d(1, std::cos(theta), std::sin(theta));
  };
  for (Eigen::Index k = 0; k < values_m.size(); ++k) {
    if (seen[static_cast<std::size_t>(k)] == 1) {
      normal += row(k) * row(k).transpose();
      right += values_m[k] * row(k);
    }
  }
  const Eigen::Vector3d fitted = normal.ldlt().solve(right);
  Eigen::VectorXd rest = values_m;
  for (Eigen::Index k = 0; k < values_m.size(); ++k) {
    rest[k] -= fitted.tail<2>().dot(row(k).tail<2>());
  }
  return rest;
}

/// Whether the scan shows the bark at the bump's foot, between the innermost points of the ends.
bool shown(const simulate::Truth& truth, const simulate::Bump& bump) {
  if (bump.x_m < 0 || bump.x_m > truth.usable_length_m) {
    return false;
  }
  const auto nearest = std::min_element(
      truth.stations.begin(), truth.stations.end(),
      [&](const auto& a, const auto& b) { return std::abs(a.x_m - bump.x_m) < std::abs(b.x_m - bump.x_m); });
  const double turn = bump.theta_rad / (2 * std::numbers::pi);
  const auto n = static_cast<double>(nearest->seen.size());
  const auto k = static_cast<std::size_t>(std::lround((turn - std::floor(turn)) * n)) % nearest->seen.size();
  return nearest->seen[k] == 1;
}

}  // namespace

scan::Cloud cloud_of(const simulate::ScanPoints& scan) {
  scan::Cloud cloud;
  cloud.origin = scan.points_m.empty() ? Eigen::Vector3d::Zero() : scan.points_m.front();
  for (const Eigen::Vector3d& p : scan.points_m) {
    cloud.points.emplace_back((p - cloud.origin).cast<float>());
  }
  cloud.colours.assign(scan.colours.begin(), scan.colours.end());
  return cloud;
}

FitErrors against_truth(const LogModel& log, const simulate::Truth& truth) {
  FitErrors errors;
  errors.length_m = log.length_m - truth.length_m;
  errors.usable_length_m = log.usable_length_m() - truth.usable_length_m;
  double centre_squares = 0;
  for (const Station& s : log.stations) {
    // The two frames differ by a fraction of a degree: a section keeps its angles.
    const Eigen::Vector3d centre = truth.to_log(log.frame.to_scan({s.x_m, s.centre_m.x(), s.centre_m.y()}));
    const double x_m = centre.x();
    const Eigen::Vector2d across = centre.tail<2>();
    centre_squares += (across - truth.centre_at(x_m)).squaredNorm();
    const int n = log.angle_count();
    Eigen::VectorXd bark_m(n);
    Eigen::VectorXd wood_m(n);
    for (int k = 0; k < n; ++k) {
      const double theta = 2 * std::numbers::pi * k / n;
      bark_m[k] = s.bark_radius_m[k] - truth.bark_radius_at(x_m, across, theta);
      wood_m[k] = s.wood_radius_m[k] - truth.wood_radius_at(x_m, across, theta);
    }
    const Eigen::VectorXd bark_shape_m = without_shift(bark_m, s.seen);
    const Eigen::VectorXd wood_shape_m = without_shift(wood_m, s.seen);
    for (int k = 0; k < n; ++k) {
      const bool seen = s.seen[static_cast<std::size_t>(k)] == 1;
      add(seen ? errors.seen_bark : errors.unseen_bark, bark_m[k], bark_shape_m[k], s.bark_sigma_m[k]);
      add(seen ? errors.seen_wood : errors.unseen_wood, wood_m[k], wood_shape_m[k], s.wood_sigma_m[k]);
    }
  }
  errors.centreline_rms_m = std::sqrt(centre_squares / static_cast<double>(log.stations.size()));
  for (RadiusErrors* part :
       {&errors.seen_bark, &errors.unseen_bark, &errors.seen_wood, &errors.unseen_wood}) {
    finish(*part);
  }
  return errors;
}

KnotErrors judge_knots(const LogModel& log, const simulate::Truth& truth, double least_height_m) {
  constexpr double kNear_m =
      0.03;  // beyond the foot of the true one: a cell of the map of heights, and drift
  const double usual_radius_m = log.bark_diameter_m(log.stations.size() / 2) / 2;
  const auto away_m = [&](const Knot& knot, const simulate::Bump& bump) {
    const double turn = std::remainder(knot.theta_rad - bump.theta_rad, 2 * std::numbers::pi);
    return std::hypot(knot.x_m - bump.x_m, usual_radius_m * turn);
  };
  const auto same = [&](const Knot& knot, const simulate::Bump& bump) {
    return away_m(knot, bump) < bump.extent_m / 2 + kNear_m;
  };
  KnotErrors errors;
  for (const simulate::Bump& bump : truth.bumps) {
    const bool counts = bump.kind != simulate::Bump::Kind::lump && bump.height_m > least_height_m;
    if (!counts || !shown(truth, bump)) {
      continue;
    }
    ++errors.true_seen;
    const auto match =
        std::find_if(log.knots.begin(), log.knots.end(), [&](const Knot& knot) { return same(knot, bump); });
    if (match != log.knots.end()) {
      ++errors.found;
      errors.place_rms_m += std::pow(away_m(*match, bump), 2);
      errors.height_rms_m += std::pow(match->height_m - bump.height_m, 2);
    }
  }
  const double n = std::max(1, errors.found);
  errors.place_rms_m = std::sqrt(errors.place_rms_m / n);
  errors.height_rms_m = std::sqrt(errors.height_rms_m / n);
  errors.false_alarms =
      static_cast<int>(std::count_if(log.knots.begin(), log.knots.end(), [&](const Knot& knot) {
        return std::none_of(truth.bumps.begin(), truth.bumps.end(),
                            [&](const simulate::Bump& bump) { return same(knot, bump); });
      }));
  return errors;
}

}  // namespace flitchwise::testing
