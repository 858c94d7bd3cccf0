#include "solver/search/margin.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <vector>

#include "solver/search/plan_builder.hpp"

namespace flitchwise::solver {
namespace {

using std::numbers::pi;

constexpr std::array<double, 4> kMarginSteps_m{0.008, 0.004, 0.002, 0.001};  // bold first: that prunes most
constexpr double kSameMargin_m = 0.0002;      // margins that differ by less are equal: then less work wins
constexpr double kSameRoll_rad = 1e-4;        // nobody rolls a log closer
constexpr std::uint64_t kMarginCells = 96;    // roll cells each of them may look at
constexpr double kMarginTolerance_m = 0.008;  // and how fine they split

/// (-pi, pi]
double wrapped(double roll_rad) {
  return roll_rad - 2 * pi * std::ceil((roll_rad - pi) / (2 * pi));
}

/// Turned by half a turn, the same planes cut the same boards: take the turn that is less work.
Pose less_rolled(const Job& job, Pose pose) {
  pose.roll_rad = wrapped(pose.roll_rad);
  if (!job.options.as_it_lies && job.options.roll_only_rad.empty() && std::abs(pose.roll_rad) > pi / 2) {
    pose.roll_rad -= std::copysign(pi, pose.roll_rad);
    pose.pitch = -pose.pitch;
    pose.phase_m = -pose.phase_m;
    std::reverse(pose.stack.begin(), pose.stack.end());
    for (Lay& lay : pose.stack) {
      lay.low_m = -lay.low_m - job.kinds[lay.kind].thickness_m;
    }
  }
  return pose;
}

/// Rolls that would be less work than this one: of those that the log can rest at, or none and half as much.
std::vector<double> smaller_rolls_rad(const Job& job, double roll_rad) {
  if (job.options.as_it_lies) {
    return {};
  }
  if (job.options.roll_only_rad.empty()) {
    return {0, roll_rad / 2};
  }
  std::vector<double> smaller;
  for (const double other_rad : job.options.roll_only_rad) {
    if (std::abs(wrapped(other_rad)) < std::abs(wrapped(roll_rad)) - kSameRoll_rad) {
      smaller.push_back(other_rad);
    }
  }
  return smaller;
}

/// Of the poses whose margins are as good as the best the one that takes fewest cuts, then least rolling.
Climb least_work(const Job& job, const std::vector<Climb>& met, double best_m) {
  Climb easiest;
  int fewest = std::numeric_limits<int>::max();
  for (const Climb& each : met) {
    if (each.margin_m < std::max(0.0, best_m - kSameMargin_m)) {
      continue;
    }
    const Pose pose = less_rolled(job, each.pose);
    RolledLog log(job, pose.roll_rad);
    const int cuts = cuts_of(log, pose);
    if (cuts < fewest ||
        (cuts == fewest && std::abs(pose.roll_rad) < std::abs(easiest.pose.roll_rad) - kSameRoll_rad)) {
      fewest = cuts;
      easiest = {pose, each.margin_m};
    }
  }
  return easiest;
}

}  // namespace

MarginAnswer widest_margin(const Job& job, const Pose& start, Worth worth, Budget& budget) {
  Climb best = climb(job, start, worth, {}, budget);
  if (best.margin_m < 0) {  // it gives the boards, but only just
    best = {start, 0};
  }
  std::vector<Climb> met{best};
  MarginAnswer answer;
  TreeQuestion question;
  question.worth = worth - 1;
  question.tolerance_m = kMarginTolerance_m;
  question.first_find = true;
  question.most_cells = kMarginCells;
  for (std::size_t i = 0; i < kMarginSteps_m.size() && !budget.over();) {
    question.grown_m = best.margin_m + kMarginSteps_m.at(i);
    const TreeAnswer wider = ask_tree(job, question, budget);
    const Climb up = wider.found ? climb(job, wider.pose, worth, {}, budget) : best;
    met.push_back(up);
    if (up.margin_m > best.margin_m) {
      best = up;
    } else {
      if (!wider.found && wider.whole && wider.upper_bound < worth) {
        answer.bound_m = question.grown_m;
      }
      ++i;
    }
  }
  const Pose turned_least = less_rolled(job, best.pose);
  for (const double roll_rad : smaller_rolls_rad(job, turned_least.roll_rad)) {
    Pose less = turned_least;
    less.roll_rad = roll_rad;
    ClimbLimits limits;
    limits.turn = false;
    met.push_back(climb(job, less, worth, limits, budget));
  }
  const Climb easiest = least_work(job, met, best.margin_m);
  answer.pose = easiest.pose;
  answer.margin_m = easiest.margin_m;
  return answer;
}

}  // namespace flitchwise::solver
