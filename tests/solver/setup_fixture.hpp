#pragma once
/// Logs and plans made by hand, for which every figure of a setup has a closed form.

#include <Eigen/Core>
#include <Eigen/Geometry>
#include <cmath>
#include <functional>
#include <numbers>

#include "scan/model/log_model.hpp"
#include "solver/plan/plan.hpp"
#include "solver/setup/kit.hpp"

namespace flitchwise::solver::test {

constexpr int kAngles = 720;
constexpr double kStation_m = 0.025;
constexpr double kBark_m = 0.01;
constexpr double kDensity = 800;
/// A polygon of 720 corners lies this far inside a circle of 0.3 m: 0.3 (1 - cos(pi / 720)) < 3 um.
constexpr double kPolygon_m = 5e-6;

constexpr double kBarkSigma_m = 0.001;
/// How much further out than found the bark may lie: two sigma.
constexpr double kBarkPlay_m = 2 * kBarkSigma_m;

/// Radius over bark at x and theta.
using Shape = std::function<double(double, double)>;

inline LogModel shaped_log(double length_m, const Shape& radius_m) {
  LogModel log;
  const int steps = static_cast<int>(std::lround(length_m / kStation_m));
  for (int i = 0; i <= steps; ++i) {
    Station station;
    station.x_m = length_m * i / steps;
    station.bark_radius_m.resize(kAngles);
    for (int k = 0; k < kAngles; ++k) {
      station.bark_radius_m[k] = radius_m(station.x_m, 2 * std::numbers::pi * k / kAngles);
    }
    station.wood_radius_m = station.bark_radius_m.array() - kBark_m;
    station.bark_sigma_m = Eigen::VectorXd::Constant(kAngles, kBarkSigma_m);
    station.wood_sigma_m = Eigen::VectorXd::Constant(kAngles, 0.002);
    station.seen.assign(kAngles, 1);
    log.stations.push_back(station);
  }
  log.length_m = length_m;
  log.small_end = {Eigen::Vector3d::Zero(), -Eigen::Vector3d::UnitX(), true};
  log.large_end = {Eigen::Vector3d(length_m, 0, 0), Eigen::Vector3d::UnitX(), true};
  log.pith.source = Pith::Source::given;
  log.bark_m = kBark_m;
  log.density_kg_m3 = kDensity;
  return log;
}

inline LogModel cylinder(double length_m, double radius_m) {
  return shaped_log(length_m, [=](double, double) { return radius_m; });
}

inline LogModel cone(double length_m, double small_m, double large_m) {
  return shaped_log(length_m, [=](double x, double) { return small_m + (large_m - small_m) * x / length_m; });
}

/// What plan_of needs. Heights and pitch in the bench frame.
struct Stack {
  double top_m = 0;  ///< of the topmost plane over the middle of the log
  int planes = 1;
  double thickness_m = 0.05;
  double pitch = 0;
  double roll_rad = 0;
};

inline Eigen::Matrix3d log_from_bench(const SawPlan& plan) {
  return Eigen::AngleAxisd(-plan.orientation.roll_rad, Eigen::Vector3d::UnitX()).toRotationMatrix();
}

/// A plan of planes and flitches without boards.
inline SawPlan plan_of(const LogModel& log, const Stack& stack) {
  SawPlan plan;
  plan.status = SawPlan::Status::ok;
  plan.targets = {{"board", stack.thickness_m, 0.15, 3.0}};
  const double pivot_m = log.usable_length_m() / 2;
  plan.orientation = {stack.roll_rad, stack.pitch, stack.top_m};
  const double cosine = 1 / std::hypot(1, stack.pitch);
  const Eigen::Vector3d normal(-stack.pitch * cosine, 0, cosine);
  const double spacing_m = stack.thickness_m + plan.options.kerf_m;
  for (int i = 0; i < stack.planes; ++i) {
    const Eigen::Vector3d point(pivot_m, 0, stack.top_m - i * spacing_m / cosine);
    plan.planes.push_back({log_from_bench(plan) * point, log_from_bench(plan) * normal});
    if (i > 0) {
      Flitch flitch;
      flitch.thickness_m = stack.thickness_m;
      flitch.upper_plane = static_cast<std::size_t>(i) - 1;
      flitch.lower_plane = static_cast<std::size_t>(i);
      plan.flitches.push_back(flitch);
    }
  }
  return plan;
}

/// Where a board lies in its flitch: level plan (pitch 0), bench frame.
struct BoardPlace {
  std::size_t flitch = 0;
  std::size_t window = 0;
  double start_m = 0;
  double end_m = 0;
  double left_m = 0;  ///< at x = 0
  double right_m = 0;
  double yaw = 0;  ///< dy/dx; the ends are square to the board, `start_m` and `end_m` along it from x = 0
};

inline void add_board(SawPlan& plan, const BoardPlace& place) {
  Board board;
  board.id = std::to_string(place.flitch + 1) + "x";
  board.flitch = place.flitch;
  board.window = place.window;
  const double half_kerf_m = plan.options.kerf_m / 2;
  const double turn_rad = std::atan(place.yaw);
  const Eigen::Vector2d along(std::cos(turn_rad), std::sin(turn_rad));
  const Eigen::Vector2d left(-along.y(), along.x());
  const Eigen::Matrix3d bench_from_log = log_from_bench(plan).transpose();
  const Flitch& flitch = plan.flitches[place.flitch];
  const double high_m = (bench_from_log * plan.planes[flitch.upper_plane].point_m).z() - half_kerf_m;
  const double low_m = (bench_from_log * plan.planes[flitch.lower_plane].point_m).z() + half_kerf_m;
  std::size_t i = 0;
  for (const double s : {place.start_m, place.end_m}) {
    for (const auto& [across, z] : {std::pair{place.left_m, low_m}, std::pair{place.right_m, low_m},
                                    std::pair{place.right_m, high_m}, std::pair{place.left_m, high_m}}) {
      const Eigen::Vector2d xy = s * along + across * left;
      board.corners_m[i++] = log_from_bench(plan) * Eigen::Vector3d(xy.x(), xy.y(), z);
    }
  }
  plan.flitches[place.flitch].boards.push_back(plan.boards.size());
  plan.boards.push_back(board);
}

/// A rail longer than the logs of these tests, with round figures.
inline Kit long_kit() {
  Kit kit = plain_kit();
  kit.rail_length_m = 4.4;
  kit.support_positions_m = {0.4, 1.0, 1.6, 2.2, 2.8, 3.4, 4.0};
  kit.screw_spacing_m = 0.12;
  kit.rail_width_m = 0.16;
  return kit;
}

/// The same kit with a rail of 2.4 m.
inline Kit short_kit() {
  Kit kit = long_kit();
  kit.rail_length_m = 2.4;
  kit.least_overlap_m = 0.6;
  kit.support_positions_m = {0.1, 0.65, 1.2, 1.75, 2.3};
  return kit;
}

/// The sheet's first warning of this kind; nullptr without one.
template <typename Fact>
const Fact* warning_of(const SetupSheet& sheet) {
  for (const SetupFact& warning : sheet.warnings) {
    if (const auto* fact = std::get_if<Fact>(&warning)) {
      return fact;
    }
  }
  return nullptr;
}

}  // namespace flitchwise::solver::test
