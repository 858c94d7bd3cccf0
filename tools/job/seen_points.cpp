#include "tools/job/seen_points.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace flitchwise {
namespace {

// Together nine bytes a point, a third more as text: well under a megabyte.
constexpr std::size_t kMostOnLog = 40000;
constexpr std::size_t kMostAround = 20000;
constexpr double kReach_m = 0.4;   // beyond the bark and the ends: ground and bearers
constexpr double kOnLog_m = 0.03;  // from the bark surface: bark texture and noise

/// Distance over the bark surface, for points whose x lies beside the log; its ends count as far as they
/// reach.
double above_bark_m(const LogModel& log, const Eigen::Vector3d& in_log_m) {
  const auto after = std::lower_bound(log.stations.begin(), log.stations.end(), in_log_m.x(),
                                      [](const Station& station, double x_m) { return station.x_m < x_m; });
  const Station& station = after == log.stations.end() ? log.stations.back() : *after;
  const Eigen::Vector2d from_centre = in_log_m.tail<2>() - station.centre_m;
  const double turn = std::atan2(from_centre.y(), from_centre.x()) / (2 * std::numbers::pi);
  const auto count = static_cast<double>(station.bark_radius_m.size());
  const auto at = static_cast<Eigen::Index>(std::floor((turn - std::floor(turn)) * count));
  return from_centre.norm() - station.bark_radius_m[std::min(at, station.bark_radius_m.size() - 1)];
}

/// At most `most` of them, evenly spread over the order in which they were read.
std::vector<std::size_t> thinned(const std::vector<std::size_t>& points, std::size_t most) {
  if (points.size() <= most) {
    return points;
  }
  std::vector<std::size_t> kept;
  for (std::size_t i = 0; i < most; ++i) {
    kept.push_back(points[i * points.size() / most]);
  }
  return kept;
}

}  // namespace

SeenPoints seen_points(const scan::Cloud& in_scan, const LogModel& log) {
  std::vector<std::size_t> on_log;
  std::vector<std::size_t> around;
  for (std::size_t i = 0; i < in_scan.size(); ++i) {
    const Eigen::Vector3d in_log_m = log.frame.to_log(in_scan.at(i));
    if (in_log_m.x() < -kReach_m || in_log_m.x() > log.usable_length_m() + kReach_m) {
      continue;
    }
    const double above_m = above_bark_m(log, in_log_m);
    if (above_m < kReach_m) {
      (above_m < kOnLog_m ? on_log : around).push_back(i);
    }
  }
  std::vector<std::size_t> kept = thinned(on_log, kMostOnLog);
  const std::vector<std::size_t> beside = thinned(around, kMostAround);
  kept.insert(kept.end(), beside.begin(), beside.end());
  SeenPoints points;
  for (const std::size_t i : kept) {
    points.in_log_m.emplace_back(log.frame.to_log(in_scan.at(i)).cast<float>());
    if (!in_scan.colours.empty()) {
      points.colours.push_back(in_scan.colours[i]);
    }
  }
  return points;
}

SeenPoints points_of_piece(const SeenPoints& of_log, const LogModel& log, const LogModel& piece) {
  SeenPoints points;
  for (std::size_t i = 0; i < of_log.in_log_m.size(); ++i) {
    const Eigen::Vector3d in_scan_m = log.frame.to_scan(of_log.in_log_m[i].cast<double>());
    const Eigen::Vector3d in_piece_m = piece.frame.to_log(in_scan_m);
    if (in_piece_m.x() < -kReach_m || in_piece_m.x() > piece.usable_length_m() + kReach_m) {
      continue;
    }
    points.in_log_m.emplace_back(in_piece_m.cast<float>());
    if (!of_log.colours.empty()) {
      points.colours.push_back(of_log.colours[i]);
    }
  }
  return points;
}

}  // namespace flitchwise
