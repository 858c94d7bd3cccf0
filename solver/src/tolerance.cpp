#include <algorithm>
#include <cmath>
#include <numbers>

#include "evaluate.hpp"
#include "flitchwise/errors.hpp"
#include "flitchwise/solver/search.hpp"

namespace flitchwise::solver {
namespace {

// A mark on a log's end is no finer than the step, a phone's inclinometer neither; beyond the most no mark
// needs care.
struct Scale {
  double step = 0;
  double most = 0;
};
constexpr Scale kHeights_m{0.0005, 0.1};
constexpr Scale kRolls_rad{0.05 * std::numbers::pi / 180, 10 * std::numbers::pi / 180};
constexpr double kPrecision = 0.1;  // of a step

/// What is off: heights at both ends, and the roll.
struct Off {
  double small_end_m = 0;
  double large_end_m = 0;
  double roll_rad = 0;
};

/// The plan's own layers, counted from its topmost plane.
Stack stack_of(const Job& job, const SawPlan& plan) {
  Stack stack;
  double depth_m = 0;
  for (const Flitch& flitch : plan.flitches) {
    depth_m += flitch.thickness_m + job.options.kerf_m;
    for (std::size_t kind = 0; kind < job.kinds.size() && !flitch.boards.empty(); ++kind) {
      if (job.kinds[kind].kind == flitch.kind && job.kinds[kind].thickness_m == flitch.thickness_m) {
        stack.push_back({kind, job.options.kerf_m / 2 - depth_m});
      }
    }
  }
  std::reverse(stack.begin(), stack.end());
  return stack;
}

Worth worth_when_off(const Job& job, const SawPlan& plan, const Stack& stack, const Off& off) {
  Pose pose{plan.orientation.roll_rad + off.roll_rad, plan.orientation.pitch, plan.orientation.height_m,
            stack};
  pose.phase_m += (off.small_end_m + off.large_end_m) / 2;
  pose.pitch += (off.large_end_m - off.small_end_m) / job.solid.usable_m;
  RolledLog log(job, pose.roll_rad);
  return worth_at(log, pose, 0);
}

}  // namespace

HeightTolerance height_tolerance(const LogModel& log, const SawPlan& plan) {
  require(plan.status == SawPlan::Status::ok, "height_tolerance needs a plan that gives boards");
  const Job job = make_job(log, plan.targets, plan.options);
  const Stack stack = stack_of(job, plan);
  const Worth needed = worth_when_off(job, plan, stack, {});
  // How far off in one direction until a board is lost.
  const auto reach = [&](const Scale& scale, double Off::*what, double direction) {
    const auto holds = [&](double amount) {
      Off off;
      off.*what = direction * amount;
      return worth_when_off(job, plan, stack, off) >= needed;
    };
    double good = 0;
    while (good < scale.most && holds(good + scale.step)) {
      good += scale.step;
    }
    double bad = good + scale.step;
    while (bad - good > kPrecision * scale.step) {
      const double middle = (good + bad) / 2;
      (holds(middle) ? good : bad) = middle;
    }
    return good;
  };
  const auto least = [&](const Scale& scale, double Off::*what) {
    return std::min(reach(scale, what, 1), reach(scale, what, -1));
  };
  return {least(kHeights_m, &Off::small_end_m), least(kHeights_m, &Off::large_end_m),
          least(kRolls_rad, &Off::roll_rad)};
}

}  // namespace flitchwise::solver
