#pragma once
/// From a good pose uphill to the one whose wood may shrink most: see SEARCH.md, step 6.

#include "solver/search/budget.hpp"
#include "solver/search/evaluate.hpp"

namespace flitchwise::solver {

struct Climb {
  Pose pose;
  double margin_m = 0;  ///< may be negative: the stack gives the boards only in a log that much larger
};

struct ClimbLimits {
  double first_step_m = 0.004;   ///< steps move the wood's surface by this much at first
  double last_step_m = 0.00005;  ///< and are halved until they fall below this
  bool stop_at_zero = false;     ///< end as soon as the margin is not negative
  bool turn = true;              ///< false: the roll stays
};

/// Deterministic pattern search for the largest margin with boards worth `worth`, from `start`; its stack
/// stays as it is. The margin is minus infinity if the start gives less even in a log several millimetres
/// larger. It ends where it is when the budget is spent.
Climb climb(const Job& job, const Pose& start, Worth worth, const ClimbLimits& limits, Budget& budget);

}  // namespace flitchwise::solver
