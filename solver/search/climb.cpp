#include "solver/search/climb.hpp"

#include <array>
#include <cmath>
#include <limits>
#include <memory>

namespace flitchwise::solver {
namespace {

constexpr double kDeepest_m = -0.008;  // a pose that needs a log so much larger is no start

constexpr double kLeastGain = 0.02;  // of a step, or it is halved: else a climb may creep along a ridge

/// Steps in units that move the wood's surface by one metre.
struct Scale {
  double roll = 0;
  double pitch = 0;
};

Pose moved(const Job& job, const Pose& from, const std::array<int, 3>& way, double step_m) {
  const Scale scale{2 / job.solid.largest_width_m, 2 / job.solid.usable_m};
  Pose pose = from;
  pose.roll_rad += way[0] * step_m * scale.roll;
  pose.pitch += way[1] * step_m * scale.pitch;
  pose.phase_m += way[2] * step_m;
  return pose;
}

/// Axes first, then the diagonals: the margin is a least of many functions, so its ridges run askew.
constexpr std::array<std::array<int, 3>, 18> kWays{{{0, 0, 1},
                                                    {0, 0, -1},
                                                    {0, 1, 0},
                                                    {0, -1, 0},
                                                    {1, 0, 0},
                                                    {-1, 0, 0},
                                                    {0, 1, 1},
                                                    {0, -1, -1},
                                                    {0, 1, -1},
                                                    {0, -1, 1},
                                                    {1, 0, 1},
                                                    {-1, 0, -1},
                                                    {1, 0, -1},
                                                    {-1, 0, 1},
                                                    {1, 1, 0},
                                                    {-1, -1, 0},
                                                    {1, -1, 0},
                                                    {-1, 1, 0}}};

}  // namespace

Climb climb(const Job& job, const Pose& start, Worth worth, const ClimbLimits& limits, Budget& budget) {
  const bool may_turn = limits.turn && !job.options.as_it_lies && job.options.roll_only_rad.empty();
  Climb best{start, -std::numeric_limits<double>::infinity()};
  auto log = std::make_unique<RolledLog>(job, start.roll_rad);
  budget.spend();
  const bool whole = worth_at(*log, start, 0) >= worth;
  Places places = best_places(*log, start, whole ? 0 : kDeepest_m);
  best.margin_m = places.empty() ? best.margin_m : margin_at(*log, start, worth, kDeepest_m, places);
  if (std::isinf(best.margin_m)) {
    return best;
  }
  for (double step_m = limits.first_step_m; step_m > limits.last_step_m; step_m /= 2) {
    if (job.places.size() > 1 && best.margin_m > 0) {  // the best places may have moved along
      RolledLog here(job, best.pose.roll_rad);
      const Places moved_places = best_places(here, best.pose, best.margin_m);
      const double margin_m = margin_at(here, best.pose, worth, best.margin_m, moved_places);
      if (margin_m > best.margin_m) {
        best.margin_m = margin_m;
        places = moved_places;
      }
    }
    bool better = true;
    while (better) {
      better = false;
      for (const auto& way : kWays) {
        if ((limits.stop_at_zero && best.margin_m >= 0) || budget.over()) {
          return best;
        }
        const Pose pose = moved(job, best.pose, way, step_m);
        if (std::abs(pose.pitch) > job.options.most_pitch || (way[0] != 0 && !may_turn)) {
          continue;
        }
        if (pose.roll_rad != log->roll_rad()) {
          log = std::make_unique<RolledLog>(job, pose.roll_rad);
        }
        budget.spend();
        const double margin_m = margin_at(*log, pose, worth, best.margin_m + kLeastGain * step_m, places);
        if (margin_m > best.margin_m) {
          best = {pose, margin_m};
          better = true;
        }
      }
    }
  }
  return best;
}

}  // namespace flitchwise::solver
