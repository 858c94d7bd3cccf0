#include "solver/advice/by_eye.hpp"

#include <algorithm>
#include <optional>

#include "solver/search/search.hpp"

namespace flitchwise::solver {
namespace {

constexpr double kStep_m = 0.0005;  // a chalk mark on a log's end is no finer

/// Width of an outline at a height, log frame; negative where it does not reach.
double width_at(const Eigen::MatrixX2d& outline_m, double z_m) {
  double least = 1;
  double most = -1;
  bool crossed = false;
  for (Eigen::Index i = 0; i < outline_m.rows(); ++i) {
    const auto a = outline_m.row(i);
    const auto b = outline_m.row((i + 1) % outline_m.rows());
    if ((a.y() <= z_m) == (b.y() <= z_m)) {
      continue;
    }
    const double y_m = a.x() + (b.x() - a.x()) * (z_m - a.y()) / (b.y() - a.y());
    least = crossed ? std::min(least, y_m) : y_m;
    most = crossed ? std::max(most, y_m) : y_m;
    crossed = true;
  }
  return crossed ? most - least : -1;
}

/// The highest level at which the small end is `width_m` wide; empty if it is nowhere.
std::optional<double> first_face_m(const LogModel& log, double width_m, double sigmas) {
  const Eigen::MatrixX2d outline_m = planning_outline_m(log.stations.front(), sigmas);
  const double bottom_m = outline_m.col(1).minCoeff();
  for (double z_m = outline_m.col(1).maxCoeff() - kStep_m; z_m > bottom_m; z_m -= kStep_m) {
    if (width_at(outline_m, z_m) >= width_m) {
      return z_m;
    }
  }
  return std::nullopt;
}

}  // namespace

SawPlan plan_by_eye(const LogModel& log, const std::vector<Target>& targets, const SearchOptions& options) {
  check(targets);
  check(options);
  check(log);
  SearchOptions by_eye = options;
  by_eye.pattern = Pattern::live;
  by_eye.as_it_lies = true;
  by_eye.roll_only_rad.clear();
  SawPlan best;
  best.targets = targets;
  best.options = by_eye;
  for (const Target& first : targets) {
    const std::optional<double> face_m = first_face_m(log, first.width_m, options.sigmas);
    if (!face_m) {
      continue;
    }
    SawPlan plan = plan_at(log, targets, by_eye, {0, 0, *face_m + options.kerf_m / 2});
    if (plan.status == SawPlan::Status::log_too_short || best.boards.empty() || plan.value > best.value) {
      best = std::move(plan);
    }
  }
  return best;
}

}  // namespace flitchwise::solver
