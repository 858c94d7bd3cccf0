#include "scan/model/volume.hpp"

#include <cmath>
#include <numbers>

#include "scan/model/errors.hpp"

namespace flitchwise {
namespace {

/// Area where the sections go on in a straight line of diameters: `x_m` lies up to some cm beyond the
/// sections for a slanted end, elsewhere between them.
double area_at_m2(const LogModel& log, double x_m, Surface surface) {
  const bool before = x_m < 0;
  const double usable_m = log.usable_length_m();
  if (!before && x_m <= usable_m) {
    return section_area_m2(station_at(log, x_m), surface);
  }
  const std::size_t last = log.stations.size() - 1;
  const Station& edge = log.stations[before ? 0 : last];
  // Far enough in that bumps at the rim do not tilt the line.
  constexpr double kReach_m = 0.2;
  const double inner_x_m = before ? std::min(kReach_m, usable_m) : std::max(usable_m - kReach_m, 0.0);
  const double edge_root = std::sqrt(section_area_m2(edge, surface));
  const double inner_root = std::sqrt(section_area_m2(station_at(log, inner_x_m), surface));
  const double root = edge_root + (edge_root - inner_root) * (x_m - edge.x_m) / (edge.x_m - inner_x_m);
  return root > 0 ? root * root : 0;
}

}  // namespace

double section_area_m2(const Station& station, Surface surface) {
  const Eigen::VectorXd& radius_m = surface == Surface::bark ? station.bark_radius_m : station.wood_radius_m;
  return std::numbers::pi * radius_m.squaredNorm() / static_cast<double>(radius_m.size());
}

double frustum_m3(double length_m, double area_a_m2, double area_b_m2) {
  return length_m * (area_a_m2 + std::sqrt(area_a_m2 * area_b_m2) + area_b_m2) / 3;
}

double smalian_m3(double length_m, double small_end_area_m2, double large_end_area_m2) {
  return length_m * (small_end_area_m2 + large_end_area_m2) / 2;
}

double huber_m3(double length_m, double middle_area_m2) {
  return length_m * middle_area_m2;
}

double newton_m3(double length_m, double small_end_area_m2, double middle_area_m2, double large_end_area_m2) {
  return length_m * (small_end_area_m2 + 4 * middle_area_m2 + large_end_area_m2) / 6;
}

LogVolume log_volume(const LogModel& log, Surface surface) {
  const std::string error = log.find_error();
  require(error.empty(), "the volume of a log needs a sound model: " + error);
  const double begin_m = log.small_end.point_m.x();
  const double end_m = log.large_end.point_m.x();
  require(end_m > begin_m, "the volume of a log needs its end planes in order");
  LogVolume volume;
  volume.length_m = end_m - begin_m;
  const double small_m2 = area_at_m2(log, begin_m, surface);
  const double large_m2 = area_at_m2(log, end_m, surface);
  const double middle_m2 = area_at_m2(log, (begin_m + end_m) / 2, surface);
  double x_m = begin_m;
  double area_m2 = small_m2;
  for (const Station& station : log.stations) {
    if (station.x_m > begin_m && station.x_m < end_m) {
      const double next_m2 = section_area_m2(station, surface);
      volume.integrated_m3 += frustum_m3(station.x_m - x_m, area_m2, next_m2);
      x_m = station.x_m;
      area_m2 = next_m2;
    }
  }
  volume.integrated_m3 += frustum_m3(end_m - x_m, area_m2, large_m2);
  volume.smalian_m3 = smalian_m3(volume.length_m, small_m2, large_m2);
  volume.huber_m3 = huber_m3(volume.length_m, middle_m2);
  volume.newton_m3 = newton_m3(volume.length_m, small_m2, middle_m2, large_m2);
  return volume;
}

}  // namespace flitchwise
