#include "scan/model/log_model.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "scan/model/between.hpp"
#include "scan/model/errors.hpp"
#include "scan/model/volume.hpp"

namespace flitchwise {
namespace {

using std::numbers::pi;

/// A sample's planning radius never falls below this share of its wood radius, however uncertain it is, so
/// that outlines stay star-shaped.
constexpr double kLeastPlanningShare = 0.1;
constexpr int kLeastAngles = 8;

Eigen::MatrixX2d outline_m(const Eigen::Vector2d& centre_m, const Eigen::VectorXd& radius_m) {
  const Eigen::Index n = radius_m.size();
  Eigen::MatrixX2d points(n, 2);
  for (Eigen::Index k = 0; k < n; ++k) {
    const double theta = 2 * pi * static_cast<double>(k) / static_cast<double>(n);
    points(k, 0) = centre_m.x() + radius_m[k] * std::cos(theta);
    points(k, 1) = centre_m.y() + radius_m[k] * std::sin(theta);
  }
  return points;
}

std::string find_station_error(const Station& s, Eigen::Index n) {
  const bool sizes_agree = s.bark_radius_m.size() == n && s.wood_radius_m.size() == n &&
                           s.bark_sigma_m.size() == n && s.wood_sigma_m.size() == n &&
                           s.seen.size() == static_cast<std::size_t>(n);
  if (!sizes_agree) {
    return "its arrays differ in length";
  }
  if (!s.centre_m.allFinite() || !s.bark_radius_m.allFinite() || !s.wood_radius_m.allFinite() ||
      !s.bark_sigma_m.allFinite() || !s.wood_sigma_m.allFinite()) {
    return "it holds a number that is not finite";
  }
  if (s.wood_radius_m.minCoeff() <= 0) {
    return "a wood radius is not positive";
  }
  if ((s.bark_radius_m - s.wood_radius_m).minCoeff() < 0) {
    return "the wood surface lies outside the bark surface";
  }
  if (s.bark_sigma_m.minCoeff() < 0 || s.wood_sigma_m.minCoeff() < 0) {
    return "an uncertainty is negative";
  }
  return {};
}

}  // namespace

Eigen::Vector3d LogFrame::to_scan(const Eigen::Vector3d& in_log_m) const {
  return origin_in_scan_m + scan_from_log * in_log_m;
}

Eigen::Vector3d LogFrame::to_log(const Eigen::Vector3d& in_scan_m) const {
  return scan_from_log.transpose() * (in_scan_m - origin_in_scan_m);
}

int LogModel::angle_count() const {
  return stations.empty() ? 0 : static_cast<int>(stations.front().bark_radius_m.size());
}

double LogModel::usable_length_m() const {
  return stations.empty() ? 0 : stations.back().x_m;
}

double LogModel::bark_diameter_m(std::size_t i) const {
  return 2 * std::sqrt(section_area_m2(stations.at(i), Surface::bark) / pi);
}

double LogModel::small_end_diameter_m() const {
  return bark_diameter_m(0);
}

double LogModel::large_end_diameter_m() const {
  return bark_diameter_m(stations.size() - 1);
}

double LogModel::sweep_m() const {
  if (stations.size() < 2) {
    return 0;
  }
  const Station& a = stations.front();
  const Station& b = stations.back();
  double largest = 0;
  for (const Station& s : stations) {
    const double u = (s.x_m - a.x_m) / (b.x_m - a.x_m);
    largest = std::max(largest, (s.centre_m - (1 - u) * a.centre_m - u * b.centre_m).norm());
  }
  return largest;
}

double LogModel::volume_m3() const {
  double volume = 0;
  for (std::size_t i = 1; i < stations.size(); ++i) {
    volume +=
        frustum_m3(stations[i].x_m - stations[i - 1].x_m, section_area_m2(stations[i - 1], Surface::bark),
                   section_area_m2(stations[i], Surface::bark));
  }
  return volume;
}

double LogModel::seen_share() const {
  double seen = 0;
  double all = 0;
  for (const Station& s : stations) {
    seen += static_cast<double>(std::count(s.seen.begin(), s.seen.end(), char{1}));
    all += static_cast<double>(s.seen.size());
  }
  return all > 0 ? seen / all : 0;
}

Eigen::Vector2d LogModel::pith_at(double x_m) const {
  const double usable_m = std::max(usable_length_m(), 1e-9);
  const double u = std::clamp(x_m / usable_m, 0.0, 1.0);
  return (1 - u) * pith.small_end_m + u * pith.large_end_m;
}

std::string LogModel::find_error() const {
  if (stations.size() < 2) {
    return "the log model has fewer than two stations";
  }
  if (angle_count() < kLeastAngles) {
    return "the log model has fewer than " + std::to_string(kLeastAngles) + " angles a station";
  }
  if (stations.front().x_m != 0) {
    return "the first station is not at x = 0";
  }
  for (std::size_t i = 0; i < stations.size(); ++i) {
    if (i > 0 && !(stations[i].x_m > stations[i - 1].x_m)) {
      return "station " + std::to_string(i) + ": its x does not ascend";
    }
    const std::string error = find_station_error(stations[i], angle_count());
    if (!error.empty()) {
      return "station " + std::to_string(i) + ": " + error;
    }
  }
  return {};
}

void check(const LogModel& log) {
  const std::string error = log.find_error();
  require(error.empty(), error);
}

Eigen::MatrixX2d planning_outline_m(const Station& station, double sigmas) {
  const Eigen::VectorXd radius_m = (station.wood_radius_m - sigmas * station.wood_sigma_m)
                                       .cwiseMax(kLeastPlanningShare * station.wood_radius_m);
  return outline_m(station.centre_m, radius_m);
}

Eigen::MatrixX2d bark_outline_m(const Station& station) {
  return outline_m(station.centre_m, station.bark_radius_m);
}

Station station_at(const LogModel& log, double x_m) {
  const auto here = between(log.stations, x_m);
  return {here.x_m,
          here.mixed(&Station::centre_m),
          here.mixed(&Station::bark_radius_m),
          here.mixed(&Station::wood_radius_m),
          here.mixed(&Station::bark_sigma_m),
          here.mixed(&Station::wood_sigma_m),
          here.nearest().seen};
}

}  // namespace flitchwise
