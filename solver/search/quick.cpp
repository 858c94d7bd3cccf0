#include "solver/search/quick.hpp"

#include <oneapi/tbb/task_arena.h>

#include <algorithm>
#include <cmath>

#include "solver/search/tree.hpp"

namespace flitchwise::solver {
namespace {

constexpr double kTolerance_m =
    0.002;  // cells much smaller than that are not split: a plan so tight is no find

QuickAnswer find(const Job& job, const QuickSearch& quick, Budget& budget) {
  if (job.layouts.empty()) {
    return {};
  }
  constexpr double kRounding = 1e-6;  // values are sums of the unit
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

QuickAnswer search_quick(const LogModel& log, const std::vector<Target>& targets,
                         const SearchOptions& options, const QuickSearch& quick) {
  Budget budget(quick.seconds, options.most_nodes);
  oneapi::tbb::task_arena arena(options.threads == 0 ? oneapi::tbb::task_arena::automatic
                                                     : static_cast<int>(options.threads));
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
    arena.execute([&] { found = find(job, still, budget); });
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
