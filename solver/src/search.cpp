#include "flitchwise/solver/search.hpp"

#include <oneapi/tbb/task_arena.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <numbers>
#include <sstream>

#include "flitchwise/errors.hpp"
#include "search_climb.hpp"
#include "search_tree.hpp"

namespace flitchwise::solver {
namespace {

using std::numbers::pi;

constexpr std::array<double, 4> kMarginSteps_m{0.008, 0.004, 0.002, 0.001};  // bold first: that prunes most
constexpr double kSameMargin_m = 0.0002;      // margins that differ by less are equal: then less rolling wins
constexpr std::uint64_t kMarginCells = 96;    // roll cells each of them may look at
constexpr double kMarginTolerance_m = 0.008;  // and how fine they split

int to_mm(double m) {
  return static_cast<int>(std::lround(m * 1000));
}

std::string size_text(const Target& target) {
  return std::to_string(to_mm(target.thickness_m)) + "x" + std::to_string(to_mm(target.width_m)) + "x" +
         std::to_string(to_mm(target.length_m));
}

/// (-pi, pi]
double wrapped(double roll_rad) {
  return roll_rad - 2 * pi * std::ceil((roll_rad - pi) / (2 * pi));
}

SawPlan too_short(const Job& job) {
  SawPlan plan;
  plan.targets = {job.target};
  plan.options = job.options;
  plan.status = SawPlan::Status::log_too_short;
  const int usable_mm = static_cast<int>(std::floor(job.solid.usable_m * 1000));
  plan.message = "The log gives no board of " + size_text(job.target) + ": only " +
                 std::to_string(usable_mm) + " mm of its length are whole.";
  plan.proof.proven = true;
  plan.proof.tolerance_m = 0;
  return plan;
}

/// Widest full-length strip of the target's thickness over a grid of poses; negative if there is none.
double widest_m(const Job& job) {
  constexpr int kRolls = 24;               // 7.5 degrees apart
  constexpr double kHeightStep_m = 0.005;  // the message is rounded to whole millimetres, not exact
  double widest_m = -1;
  for (int i = 0; i < (job.options.as_it_lies ? 1 : kRolls); ++i) {
    RolledLog log(job, pi * i / kRolls);
    for (double z = -job.solid.reach_m; z < job.solid.reach_m; z += kHeightStep_m) {
      Layer layer(log, {z, z + job.target.thickness_m, 0}, 0);
      for (std::size_t window = 0; window < job.windows; ++window) {
        for (std::size_t shift = 0; shift < job.places[window].size(); ++shift) {
          widest_m = std::max(widest_m, layer.widest_at(window, shift));
        }
      }
    }
  }
  return widest_m;
}

std::string no_board_text(const Job& job) {
  std::ostringstream text;
  const double widest = widest_m(job);
  text << "The log gives no board of " << size_text(job.target) << ": ";
  if (widest > 0) {
    text << "the widest full-length board " << to_mm(job.target.thickness_m) << " mm thick is "
         << static_cast<int>(std::floor(widest * 1000)) << " mm.";
  } else {
    text << "no full-length board " << to_mm(job.target.thickness_m) << " mm thick fits.";
  }
  return text.str();
}

/// Turned by half a turn, the same planes cut the same boards: take the turn that is less work.
Pose less_rolled(const Job& job, Pose pose) {
  pose.roll_rad = wrapped(pose.roll_rad);
  if (!job.options.as_it_lies && std::abs(pose.roll_rad) > pi / 2) {
    pose.roll_rad -= std::copysign(pi, pose.roll_rad);
    pose.pitch = -pose.pitch;
    pose.phase_m = -pose.phase_m;
  }
  return pose;
}

/// Of the poses with the answer's boards, the one with (nearly) the widest margin; among those, less rolling.
Pose widest_margin(const Job& job, const TreeAnswer& answer, double time_left_s) {
  Climb best = climb(job, answer.pose, answer.boards, {});
  if (best.margin_m < 0) {  // it gives the boards, but only just
    best = {answer.pose, 0};
  }
  TreeQuestion question;
  question.boards = answer.boards - 1;
  question.tolerance_m = kMarginTolerance_m;
  question.first_find = true;
  question.most_cells = kMarginCells;
  question.time_limit_s = time_left_s;
  for (std::size_t i = 0; i < kMarginSteps_m.size() && time_left_s > 0;) {
    question.grown_m = best.margin_m + kMarginSteps_m.at(i);
    const TreeAnswer wider = ask_tree(job, question);
    const Climb up = wider.found ? climb(job, wider.pose, answer.boards, {}) : best;
    if (up.margin_m > best.margin_m) {
      best = up;
    } else {
      ++i;
    }
  }
  best.pose = less_rolled(job, best.pose);
  for (const double share : {0.0, 0.5}) {
    Pose start = best.pose;
    start.roll_rad *= share;
    ClimbLimits limits;
    limits.turn = false;
    const Climb up = climb(job, start, answer.boards, limits);
    if (up.margin_m >= std::max(0.0, best.margin_m - kSameMargin_m)) {
      return up.pose;
    }
  }
  return best.pose;
}

SawPlan search_in_arena(const Job& job) {
  const auto start = std::chrono::steady_clock::now();
  const auto passed_s = [&] {
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
  };
  TreeQuestion question;
  question.tolerance_m = job.options.tolerance_m;
  question.held_m = job.options.tolerance_m;
  question.time_limit_s = job.options.time_limit_s;
  const TreeAnswer answer = ask_tree(job, question);
  const double proof_s = passed_s();
  SawPlan plan;
  if (answer.found) {
    const Pose pose = widest_margin(job, answer, job.options.time_limit_s - proof_s);
    RolledLog log(job, pose.roll_rad);
    const LayerRange range = layers_of(job, pose);
    plan = plan_of(log, pose, range.lowest, range.highest);
    plan.message =
        "The plan gives " + std::to_string(plan.boards.size()) + " boards of " + size_text(job.target) + ".";
  } else {
    plan.targets = {job.target};
    plan.options = job.options;
    plan.message = no_board_text(job);
  }
  plan.proof.boards = static_cast<int>(plan.boards.size());
  plan.proof.upper_bound = std::max(answer.upper_bound, plan.proof.boards);
  plan.proof.value = plan.value;
  plan.proof.upper_value = plan.proof.upper_bound;
  plan.proof.tolerance_m = answer.tolerance_m;
  plan.proof.proven = plan.proof.boards == plan.proof.upper_bound;
  plan.proof.nodes = answer.nodes;
  plan.proof.seconds = proof_s;
  return plan;
}

}  // namespace

SawPlan search(const LogModel& log, const std::vector<Target>& targets, const SearchOptions& options) {
  const Job job = make_job(log, targets, options);
  if (job.windows == 0) {
    return too_short(job);
  }
  oneapi::tbb::task_arena arena(options.threads == 0 ? oneapi::tbb::task_arena::automatic
                                                     : static_cast<int>(options.threads));
  SawPlan plan;
  arena.execute([&] { plan = search_in_arena(job); });
  return plan;
}

SawPlan plan_at(const LogModel& log, const std::vector<Target>& targets, const SearchOptions& options,
                const Orientation& orientation) {
  const Job job = make_job(log, targets, options);
  require(std::isfinite(orientation.roll_rad) && std::isfinite(orientation.pitch) &&
              std::isfinite(orientation.height_m),
          "the orientation holds a number that is not finite");
  if (job.windows == 0) {
    return too_short(job);
  }
  const Pose pose{orientation.roll_rad, orientation.pitch, orientation.height_m};
  RolledLog rolled(job, pose.roll_rad);
  SawPlan plan =
      plan_of(rolled, pose, layers_of(job, pose).lowest, -1);  // layer -1 lies right below the top plane
  plan.proof.boards = static_cast<int>(plan.boards.size());
  plan.proof.upper_bound = plan.proof.boards;
  plan.proof.value = plan.proof.upper_value = plan.value;
  plan.message = plan.boards.empty() ? "These planes give no board of " + size_text(job.target) + "."
                                     : "These planes give " + std::to_string(plan.boards.size()) +
                                           " boards of " + size_text(job.target) + ".";
  return plan;
}

}  // namespace flitchwise::solver
