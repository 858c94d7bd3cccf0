#include "support/against_truth.hpp"

#include <cmath>
#include <numbers>

namespace flitchwise::testing {
namespace {

void add(RadiusErrors& errors, double error_m, double sigma_m) {
  errors.count += 1;
  errors.rms_m += error_m * error_m;
  errors.mean_m += error_m;
  errors.within_two_sigma += std::abs(error_m) <= 2 * sigma_m ? 1 : 0;
}

void finish(RadiusErrors& errors) {
  const double n = std::max(1.0, errors.count);
  errors.rms_m = std::sqrt(errors.rms_m / n);
  errors.mean_m /= n;
  errors.within_two_sigma /= n;
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
    const Eigen::Vector2d across = centre.tail<2>();
    centre_squares += (across - truth.centre_at(centre.x())).squaredNorm();
    for (int k = 0; k < log.angle_count(); ++k) {
      const double theta = 2 * std::numbers::pi * k / log.angle_count();
      const double bark_error_m = s.bark_radius_m[k] - truth.bark_radius_at(centre.x(), across, theta);
      const double wood_error_m = s.wood_radius_m[k] - truth.wood_radius_at(centre.x(), across, theta);
      const bool seen = s.seen[static_cast<std::size_t>(k)] == 1;
      add(seen ? errors.seen_bark : errors.unseen_bark, bark_error_m, s.bark_sigma_m[k]);
      add(seen ? errors.seen_wood : errors.unseen_wood, wood_error_m, s.wood_sigma_m[k]);
    }
  }
  errors.centreline_rms_m = std::sqrt(centre_squares / static_cast<double>(log.stations.size()));
  for (RadiusErrors* part :
       {&errors.seen_bark, &errors.unseen_bark, &errors.seen_wood, &errors.unseen_wood}) {
    finish(*part);
  }
  return errors;
}

}  // namespace flitchwise::testing
