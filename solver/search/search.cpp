#include "solver/search/search.hpp"

#include <oneapi/tbb/task_arena.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <limits>
#include <numbers>
#include <optional>

#include "scan/model/errors.hpp"
#include "solver/search/margin.hpp"
#include "solver/search/plan_builder.hpp"

namespace flitchwise::solver {
namespace {

using std::numbers::pi;

constexpr double kMarginProof_m = 0.001;  // a margin known to this is proven
constexpr double kProofShare = 0.8;       // of time and nodes; the rest is for the margin
constexpr double kMarginShare =
    0.9;                            // of what is left then; the rest of the time is for laying out the boards
constexpr double kLiveShare = 0.5;  // of the proof's, for live sawing where a cant is tried after it

SawPlan without_boards(const Job& job) {
  SawPlan plan;
  plan.targets = job.targets;
  plan.options = job.options;
  return plan;
}

SawPlan too_short(const Job& job) {
  SawPlan plan = without_boards(job);
  plan.status = SawPlan::Status::log_too_short;
  plan.why_none = LogTooShort{job.solid.usable_m};
  plan.proof.proven = true;
  plan.proof.tolerance_m = 0;
  return plan;
}

/// Widest full-length strip of the first kind's thickness over a grid of poses; negative if there is none,
/// empty if the time ended.
std::optional<double> widest_m(const Job& job, const Budget& budget) {
  constexpr int kRolls = 24;               // 7.5 degrees apart
  constexpr double kHeightStep_m = 0.005;  // it is told in whole millimetres
  double widest_m = -1;
  for (int i = 0; i < (job.options.as_it_lies ? 1 : kRolls); ++i) {
    RolledLog log(job, pi * i / kRolls);
    for (double z = -job.solid.reach_m; z < job.solid.reach_m; z += kHeightStep_m) {
      if (budget.out_of_time()) {
        return std::nullopt;
      }
      const LayerKind& kind = job.kinds.front();
      Layer layer(log, {z, z + kind.thickness_m, 0}, kind, 0);
      for (std::size_t place = 0; place < job.places.size(); ++place) {
        widest_m = std::max(widest_m, layer.widest_at(place));
      }
    }
  }
  return widest_m;
}

WhyNone why_none(const Job& job, const TreeAnswer& answer, const Budget& budget) {
  if (answer.spent) {
    return SearchEnded{budget.out_of_time()};
  }
  NoPlace none{answer.upper_bound > 0, job.kinds.front().thickness_m, widest_m(job, budget)};
  if (none.widest_m) {
    none.widest_m = std::max(*none.widest_m, 0.0);
  }
  return none;  // by a hair: of cells that are too small to be split any further
}

/// What was found so far, over one pattern or two.
struct Found {
  const Job* job = nullptr;  ///< of the pose
  TreeAnswer answer;
};

TreeAnswer ask(const Job& job, Worth known, Budget& budget) {
  TreeQuestion question;
  question.worth = known;
  question.tolerance_m = job.options.tolerance_m;
  question.held_m = job.options.tolerance_m;
  return ask_tree(job, question, budget);
}

/// Live sawing first; a cant only if it is worth more.
Found best_of(const Job* live, const Job* cant, Budget& budget) {
  Found found;
  if (live != nullptr) {
    Budget first = budget.part(cant == nullptr ? 1 : kLiveShare);
    found = {live, ask(*live, 0, first)};
    budget.spend(first.spent());
  }
  if (cant == nullptr) {
    return found;
  }
  TreeAnswer more = ask(*cant, found.answer.worth, budget);
  if (live != nullptr) {
    more.upper_bound = std::max(more.upper_bound, found.answer.upper_bound);
    more.tolerance_m = std::min(more.tolerance_m, found.answer.tolerance_m);
    more.nodes += found.answer.nodes;
    more.whole = more.whole && found.answer.whole;
    more.spent = more.spent || found.answer.spent;
  }
  if (more.found || live == nullptr) {
    return {cant, more};
  }
  found.answer.upper_bound = more.upper_bound;
  found.answer.tolerance_m = more.tolerance_m;
  found.answer.nodes = more.nodes;
  found.answer.whole = more.whole;
  found.answer.spent = more.spent;
  return found;
}

/// Boards of the smallest volume that the log, larger by the tolerance, has wood for.
double most_by_volume(const Job& job) {
  double least_m3 = std::numeric_limits<double>::infinity();
  for (const Target& target : job.targets) {
    // Boards with wane lack a triangle at each corner.
    const double wane = 2 * target.wane_share * target.wane_share;
    least_m3 = std::min(least_m3, (1 - wane) * target.thickness_m * target.width_m * target.length_m);
  }
  double most_m2 = 0;
  for (const Section& section : job.solid.stations) {
    const Eigen::ArrayXd r = section.radius_m + job.options.tolerance_m;
    double area_m2 = 0;
    const double sine = std::sin(2 * pi / static_cast<double>(r.size()));
    for (Eigen::Index k = 0; k < r.size(); ++k) {
      area_m2 += r[k] * r[(k + 1) % r.size()] * sine / 2;
    }
    most_m2 = std::max(most_m2, area_m2);
  }
  return std::floor(most_m2 * (job.solid.usable_m + 2 * job.options.tolerance_m) / least_m3);
}

void fill_proof(const Job& job, const TreeAnswer& answer, SawPlan& plan) {
  Proof& proof = plan.proof;
  proof.boards = static_cast<int>(plan.boards.size());
  proof.value = plan.value;
  proof.upper_value = std::max(job.value_of(answer.upper_bound), plan.value);
  double least_value = job.targets.front().value;
  for (const Target& target : job.targets) {
    least_value = std::min(least_value, target.value);
  }
  // Where values differ, no more boards than the value pays for, nor than the log larger all round has wood
  // for.
  const double count = job.counts()
                           ? proof.upper_value
                           : std::min(std::floor(proof.upper_value / least_value), most_by_volume(job));
  proof.upper_bound = std::max(proof.boards, static_cast<int>(std::lround(count)));
  proof.tolerance_m = answer.tolerance_m;
  proof.proven = proof.value == proof.upper_value;
  proof.nodes = answer.nodes;
  proof.ended_early = answer.spent;
}

SawPlan search_in_arena(const Job* live, const Job* cant, const SearchOptions& options) {
  const auto start = std::chrono::steady_clock::now();
  Budget budget(options.time_limit_s, options.most_nodes);
  Budget proof = budget.part(kProofShare);
  const Found found = best_of(live, cant, proof);
  budget.spend(proof.spent());
  const double proof_s = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
  const Job& job = *found.job;
  SawPlan plan = without_boards(job);
  if (found.answer.found) {
    Budget climbing = budget.part(kMarginShare);
    const MarginAnswer margin = widest_margin(job, found.answer.pose, found.answer.worth, climbing);
    RolledLog log(job, margin.pose.roll_rad);
    plan = plan_of(log, margin.pose, &budget);
    plan.proof.margin_bound_m = margin.bound_m > 0 ? std::max(margin.bound_m, plan.margin_m) : 0;
    plan.proof.margin_proven = margin.bound_m > 0 && margin.bound_m - plan.margin_m <= kMarginProof_m;
  } else {
    plan.why_none = why_none(job, found.answer, budget);
  }
  plan.options.pattern = options.pattern;
  fill_proof(job, found.answer, plan);
  plan.proof.seconds = proof_s;
  return plan;
}

oneapi::tbb::task_arena arena_of(const SearchOptions& options) {
  return oneapi::tbb::task_arena(options.threads == 0 ? oneapi::tbb::task_arena::automatic
                                                      : static_cast<int>(options.threads));
}

QuickAnswer look(const Job& job, const QuickSearch& quick, Budget& budget) {
  if (job.layouts.empty()) {
    return {};
  }
  constexpr double kRounding = 1e-6;      // values are sums of the unit
  constexpr double kTolerance_m = 0.002;  // much smaller cells are not split: a plan so tight is no find
  TreeQuestion question;
  question.worth = static_cast<Worth>(std::floor(quick.known_value / job.worth_unit + kRounding));
  question.tolerance_m = std::max(kTolerance_m, job.options.tolerance_m);
  question.first_find = quick.first_find;
  question.most_cells = quick.most_cells;
  const TreeAnswer answer = ask_tree(job, question, budget);
  QuickAnswer quick_answer;
  if (answer.found) {
    RolledLog log(job, answer.pose.roll_rad);
    SawPlan& plan = quick_answer.plan.emplace(plan_of(log, answer.pose));
    plan.proof.boards = static_cast<int>(plan.boards.size());
    plan.proof.value = plan.value;
  }
  return quick_answer;
}

}  // namespace

SawPlan search(const LogModel& log, const std::vector<Target>& targets, const SearchOptions& options) {
  SearchOptions one = options;
  std::optional<Job> live;
  std::optional<Job> cant;
  if (options.pattern != Pattern::cant) {
    one.pattern = Pattern::live;
    live = make_job(log, targets, one);
  }
  if (options.pattern != Pattern::live) {
    one.pattern = Pattern::cant;
    cant = make_job(log, targets, one);
  }
  const Job& any = live ? *live : *cant;
  if (any.layouts.empty()) {
    return too_short(any);
  }
  oneapi::tbb::task_arena arena = arena_of(options);
  SawPlan plan;
  arena.execute([&] { plan = search_in_arena(live ? &*live : nullptr, cant ? &*cant : nullptr, options); });
  return plan;
}

SawPlan plan_at(const LogModel& log, const std::vector<Target>& targets, const SearchOptions& options,
                const Orientation& orientation) {
  const Job job = make_job(log, targets, options);
  require(std::isfinite(orientation.roll_rad) && std::isfinite(orientation.pitch) &&
              std::isfinite(orientation.height_m),
          "the orientation holds a number that is not finite");
  if (job.layouts.empty()) {
    return too_short(job);
  }
  Pose pose{orientation.roll_rad, orientation.pitch, orientation.height_m, {}};
  RolledLog rolled(job, pose.roll_rad);
  pose.stack = stack_below(rolled, pose);
  SawPlan plan = plan_of(rolled, pose);
  plan.proof.boards = static_cast<int>(plan.boards.size());
  plan.proof.upper_bound = plan.proof.boards;
  plan.proof.value = plan.proof.upper_value = plan.value;
  return plan;
}

QuickAnswer search_quick(const LogModel& log, const std::vector<Target>& targets,
                         const SearchOptions& options, const QuickSearch& quick) {
  Budget budget(quick.seconds, options.most_nodes);
  oneapi::tbb::task_arena arena = arena_of(options);
  QuickSearch still = quick;
  QuickAnswer best;
  for (const Pattern pattern : {Pattern::live, Pattern::cant}) {
    if ((options.pattern != Pattern::best && options.pattern != pattern) || budget.over() ||
        (best.plan && quick.first_find)) {
      continue;
    }
    SearchOptions one = options;
    one.pattern = pattern;
    const Job job = make_job(log, targets, one);
    QuickAnswer found;
    arena.execute([&] { found = look(job, still, budget); });
    if (found.plan) {
      still.known_value = found.plan->value;
      best.plan = std::move(found.plan);
    }
  }
  if (best.plan) {
    best.plan->options.pattern = options.pattern;
  }
  best.nodes = budget.spent();
  return best;
}

}  // namespace flitchwise::solver
