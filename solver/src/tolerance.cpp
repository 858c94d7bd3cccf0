#include <algorithm>
#include <cmath>

#include "evaluate.hpp"
#include "flitchwise/errors.hpp"
#include "flitchwise/solver/search.hpp"

namespace flitchwise::solver {
namespace {

constexpr double kStep_m = 0.0005;        // a mark on a log's end is no finer
constexpr double kPrecision_m = 0.00005;  // a tenth of the step
constexpr double kMost_m = 0.1;           // beyond this no mark needs care

enum class End { small, large };

/// Boards of the plan's own flitches when the topmost plane lies `off_m` too high at one end, the other end
/// exact.
int boards_when_off(const Job& job, const SawPlan& plan, End end, double off_m) {
  Pose pose{plan.orientation.roll_rad, plan.orientation.pitch, plan.orientation.height_m + off_m / 2};
  pose.pitch += (end == End::large ? off_m : -off_m) / job.solid.usable_m;
  RolledLog log(job, pose.roll_rad);
  int boards = 0;
  for (int layer = -static_cast<int>(plan.flitches.size()); layer < 0; ++layer) {
    for (const Strip& strip : Layer(log, slab_of(job, pose, layer), 0).best_strips()) {
      boards += strip.boards;
    }
  }
  return boards;
}

/// How far off in one direction until a board is lost.
double reach_m(const Job& job, const SawPlan& plan, End end, double direction) {
  const int needed = static_cast<int>(plan.boards.size());
  const auto holds = [&](double off_m) {
    return boards_when_off(job, plan, end, direction * off_m) >= needed;
  };
  double good = 0;
  while (good < kMost_m && holds(good + kStep_m)) {
    good += kStep_m;
  }
  double bad = good + kStep_m;
  while (bad - good > kPrecision_m) {
    const double middle = (good + bad) / 2;
    (holds(middle) ? good : bad) = middle;
  }
  return good;
}

}  // namespace

HeightTolerance height_tolerance(const LogModel& log, const SawPlan& plan) {
  require(plan.status == SawPlan::Status::ok, "height_tolerance needs a plan that gives boards");
  const Job job = make_job(log, plan.targets, plan.options);
  const auto least = [&](End end) {
    return std::min(reach_m(job, plan, end, 1), reach_m(job, plan, end, -1));
  };
  return {least(End::small), least(End::large)};
}

}  // namespace flitchwise::solver
