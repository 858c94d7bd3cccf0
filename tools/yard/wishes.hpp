#pragma once
/// What is looked for in one log, so that the yard has something to choose from.

#include <cstddef>
#include <string>
#include <vector>

#include "scan/model/log_model.hpp"
#include "solver/plan/plan.hpp"
#include "tools/yard/log_job.hpp"

namespace flitchwise::yard {

/// One search.
struct Wish {
  std::string words;                 ///< "most value", "most 50x150x3000, the rest as it comes"
  std::vector<std::size_t> targets;  ///< indices in PlanJob::targets
  std::vector<double> values;        ///< one a target of `targets`: what a board counts in this search
  solver::Pattern pattern = solver::Pattern::live;
  bool cut_first = false;   ///< the log is cut in two at the best place
  bool own_values = false;  ///< `values` are not the order's
};

/// At most job.most_plans of them, the first one always for all targets by their values: then by priority,
/// with a cant, cut in two, for most wood and most boards, each target first, boards of one length, each
/// target alone. Targets that are longer than the log are left out of all but the first.
std::vector<Wish> wishes_for(const PlanJob& job, const LogModel& log);

}  // namespace flitchwise::yard
