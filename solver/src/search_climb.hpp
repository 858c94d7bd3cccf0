#pragma once
/// From a good pose uphill to the one whose wood may shrink most: see SEARCH.md, step 6.

#include "evaluate.hpp"

namespace flitchwise::solver {

struct Climb {
  Pose pose;
  double margin_m = 0;  ///< may be negative: the stack gives the boards only in a log that much larger
};

/// Deterministic pattern search for the largest margin with `boards` boards, from `start`. Moves the surface
/// by `first_step_m` at first, ends when steps fall below `last_step_m`. With `stop_at_zero` it ends as soon
/// as the margin is not negative.
Climb climb(const Job& job, const Pose& start, int boards, double first_step_m, double last_step_m,
            bool stop_at_zero);

}  // namespace flitchwise::solver
