#pragma once
/// Short looks at changed questions: how much a log gives, without a proof and without the widest margin.

#include <cstdint>
#include <optional>
#include <vector>

#include "scan/model/log_model.hpp"
#include "solver/plan/plan.hpp"

namespace flitchwise::solver {

struct QuickSearch {
  double known_value = 0;   ///< only plans worth more are of interest
  bool first_find = false;  ///< any of them will do
  double seconds = 1;       ///< wall time; SearchOptions::most_nodes holds, too
  std::uint64_t most_cells =
      0;  ///< of the search tree, which ends at the same place on every machine; 0: no limit
};

struct QuickAnswer {
  std::optional<SawPlan> plan;  ///< worth more than known; its proof holds nothing but its own boards
  std::uint64_t nodes = 0;      ///< that it took
};

/// Deterministic unless the time ends it. Throws BadUse as `search` does.
QuickAnswer search_quick(const LogModel& log, const std::vector<Target>& targets,
                         const SearchOptions& options, const QuickSearch& quick);

}  // namespace flitchwise::solver
