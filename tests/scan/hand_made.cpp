#include "tests/scan/hand_made.hpp"

#include <cmath>
#include <numbers>

namespace flitchwise::testing {
namespace {

using std::numbers::pi;

Eigen::Vector3d at(const HandMadeLog& log, double x_m, double theta, double radius_m) {
  const Eigen::Vector2d centre = log.centre_m(x_m);
  return log.scan_from_log * Eigen::Vector3d(x_m, centre.x() + radius_m * std::cos(theta),
                                             centre.y() + radius_m * std::sin(theta));
}

EndPlane end_at(const HandMadeLog& log, double x_m, double outwards) {
  return {at(log, x_m, 0, 0), log.scan_from_log.linear() * Eigen::Vector3d(outwards, 0, 0), true};
}

void add_surface(const HandMadeLog& log, scan::LogCloud& cloud) {
  const int rings = static_cast<int>(std::lround(log.length_m / log.spacing_m));
  for (int i = 0; i < rings; ++i) {
    const double x = log.length_m * (i + 0.5) / rings;
    const int count = static_cast<int>(std::lround(2 * pi * log.radius_m(x, 0) / log.spacing_m));
    const double shift = std::fmod(i * std::numbers::phi, 1.0);  // no two neighbouring rings in step
    for (int k = 0; k < count; ++k) {
      const double theta = 2 * pi * (k + shift) / count;
      if (log.seen(x, theta)) {
        cloud.surface_m.push_back(at(log, x, theta, log.radius_m(x, theta)));
        cloud.surface_normals.emplace_back(log.scan_from_log.linear() *
                                           Eigen::Vector3d(0, std::cos(theta), std::sin(theta)));
      }
    }
  }
}

}  // namespace

HandMadeLog turned(double length_m, const std::function<double(double x_m)>& diameter_m) {
  HandMadeLog log;
  log.length_m = length_m;
  log.radius_m = [diameter_m](double x, double /*theta*/) { return diameter_m(x) / 2; };
  return log;
}

scan::LogCloud log_cloud_of(const HandMadeLog& log) {
  constexpr double kTrackStep_m = 0.1;  // as isolate's
  scan::LogCloud cloud;
  cloud.status = scan::LogCloud::Status::ok;
  add_surface(log, cloud);
  const int steps = static_cast<int>(std::floor(log.length_m / kTrackStep_m));
  for (int i = 0; i <= steps; ++i) {
    const double along_m = log.length_m * i / steps;
    const double x = log.reversed ? log.length_m - along_m : along_m;
    cloud.track.push_back({at(log, x, 0, 0), log.radius_m(x, 0), 1});
  }
  cloud.first_end = log.reversed ? end_at(log, log.length_m, 1) : end_at(log, 0, -1);
  cloud.last_end = log.reversed ? end_at(log, 0, -1) : end_at(log, log.length_m, 1);
  return cloud;
}

}  // namespace flitchwise::testing
