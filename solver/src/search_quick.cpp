#include "search_quick.hpp"

#include <oneapi/tbb/task_arena.h>

#include <algorithm>
#include <cmath>

#include "search_tree.hpp"

namespace flitchwise::solver {
namespace {

constexpr double kTolerance_m =
    0.002;  // cells much smaller than that are not split: a plan so tight is no find

std::optional<SawPlan> find(const Job& job, const QuickSearch& quick, Budget& budget) {
  if (job.layouts.empty()) {
    return std::nullopt;
  }
  constexpr double kRounding = 1e-6;  // values are sums of the unit
  TreeQuestion question;
  question.worth = static_cast<Worth>(std::floor(quick.known_value / job.worth_unit + kRounding));
  question.tolerance_m = std::max(kTolerance_m, job.options.tolerance_m);
  question.first_find = quick.first_find;
  question.most_cells = quick.most_cells;
  const TreeAnswer answer = ask_tree(job, question, budget);
  if (!answer.found) {
    return std::nullopt;
  }
  RolledLog log(job, answer.pose.roll_rad);
  SawPlan plan = plan_of(log, answer.pose);
  plan.proof.boards = static_cast<int>(plan.boards.size());
  plan.proof.value = plan.value;
  return plan;
}

}  // namespace

std::optional<SawPlan> search_quick(const LogModel& log, const std::vector<Target>& targets,
                                    const SearchOptions& options, const QuickSearch& quick) {
  Budget budget(quick.seconds, options.most_nodes);
  oneapi::tbb::task_arena arena(options.threads == 0 ? oneapi::tbb::task_arena::automatic
                                                     : static_cast<int>(options.threads));
  QuickSearch still = quick;
  std::optional<SawPlan> best;
  for (const Pattern pattern : {Pattern::live, Pattern::cant}) {
    if ((options.pattern != Pattern::best && options.pattern != pattern) || budget.over() ||
        (best && quick.first_find)) {
      continue;
    }
    SearchOptions one = options;
    one.pattern = pattern;
    const Job job = make_job(log, targets, one);
    std::optional<SawPlan> found;
    arena.execute([&] { found = find(job, still, budget); });
    if (found) {
      still.known_value = found->value;
      best = std::move(found);
    }
  }
  if (best) {
    best->options.pattern = options.pattern;
  }
  return best;
}

}  // namespace flitchwise::solver
