#include "solver/search/tolerance.hpp"

#include <algorithm>
#include <cmath>

#include "scan/model/errors.hpp"
#include "scan/model/units.hpp"
#include "solver/search/budget.hpp"
#include "solver/search/evaluate.hpp"

namespace flitchwise::solver {
namespace {

// A mark on a log's end is no finer than the step, a phone's inclinometer neither; beyond the most no mark
// needs care.
struct Scale {
  double step = 0;
  double most = 0;
};
constexpr Scale kHeights_m{0.0005, 0.1};
constexpr Scale kRolls_rad{0.05 * kRadADegree, 10 * kRadADegree};
constexpr double kPrecision = 0.1;  // of a step
constexpr double kTimeShare = 0.2;  // of the search's time limit; then what was found to hold so far is said

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

/// Asks whether the plan still gives its boards when something is off. Layers are looked at where the plan
/// has their boards first, and at other places only if they lose some there.
class OffCheck {
 public:
  OffCheck(const Job& job, const SawPlan& plan, const Budget& budget)
      : job_(job), plan_(plan), budget_(budget), stack_(stack_of(job, plan)) {
    const Pose pose = pose_when({});
    RolledLog log(job, pose.roll_rad);
    for (std::size_t lay = 0; lay < stack_.size(); ++lay) {
      const std::vector<Strip> strips = strips_of(log, pose, lay, 0);
      needed_.push_back(worth_of(strips));
      for (const Strip& strip : strips) {
        places_[lay].push_back(strip.place);
      }
    }
  }

  bool holds(const Off& off) const {
    if (budget_.out_of_time()) {
      return false;
    }
    const Pose pose = pose_when(off);
    RolledLog log(job_, pose.roll_rad);
    for (std::size_t lay = 0; lay < stack_.size(); ++lay) {
      if (worth_of(strips_of(log, pose, lay, 0, &places_)) < needed_[lay] &&
          worth_of(strips_of(log, pose, lay, 0)) < needed_[lay]) {
        return false;
      }
    }
    return true;
  }

 private:
  Pose pose_when(const Off& off) const {
    Pose pose{plan_.orientation.roll_rad + off.roll_rad, plan_.orientation.pitch, plan_.orientation.height_m,
              stack_};
    pose.phase_m += (off.small_end_m + off.large_end_m) / 2;
    pose.pitch += (off.large_end_m - off.small_end_m) / job_.solid.usable_m;
    return pose;
  }

  const Job& job_;
  const SawPlan& plan_;
  const Budget& budget_;
  Stack stack_;
  std::vector<Worth> needed_;  ///< a layer
  Places places_;
};

}  // namespace

HeightTolerance height_tolerance(const LogModel& log, const SawPlan& plan) {
  require(plan.status == SawPlan::Status::ok, "height_tolerance needs a plan that gives boards");
  const Job job = make_job(log, plan.targets, plan.options);
  const Budget budget(kTimeShare * plan.options.time_limit_s, 0);
  const OffCheck check(job, plan, budget);
  // How far off in one direction until a board is lost.
  const auto reach = [&](const Scale& scale, double Off::*what, double direction) {
    const auto holds = [&](double amount) {
      Off off;
      off.*what = direction * amount;
      return check.holds(off);
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
  // The wood may be smaller by the margin, so planes may move by as much: that holds without any look.
  const double margin_m = std::min(plan.margin_m, kHeights_m.most);
  return {
      std::max(margin_m, least(kHeights_m, &Off::small_end_m)),
      std::max(margin_m, least(kHeights_m, &Off::large_end_m)),
      std::max(std::min(margin_m / job.solid.reach_m, kRolls_rad.most), least(kRolls_rad, &Off::roll_rad))};
}

}  // namespace flitchwise::solver
