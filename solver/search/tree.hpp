#pragma once
/// Branch and bound over roll and pitch: see SEARCH.md, steps 4 to 6.

#include <cstdint>

#include "solver/search/roll_cell.hpp"

namespace flitchwise::solver {

struct TreeAnswer {
  bool found = false;       ///< a pose worth more than known at first
  Pose pose;                ///< the best one, if found
  Worth worth = 0;          ///< of it
  Worth upper_bound = 0;    ///< no pose is worth more
  double tolerance_m = 0;   ///< even if the log were this much larger all round
  std::uint64_t nodes = 0;  ///< cells bounded
  bool spent = false;       ///< the budget ended before every cell was looked at
  bool whole = false;       ///< every cell was looked at: `upper_bound` is what the question's log gives
};

/// Deterministic unless the time ends it. What it spends is taken off the budget.
TreeAnswer ask_tree(const Job& job, const TreeQuestion& question, Budget& budget);

}  // namespace flitchwise::solver
