#pragma once
/// Branch and bound over roll and pitch: see SEARCH.md, steps 4 to 6.

#include <cstdint>
#include <vector>

#include "solver/search/bound.hpp"
#include "solver/search/budget.hpp"
#include "solver/search/evaluate.hpp"

namespace flitchwise::solver {

/// What the tree is asked: is there a pose worth more than `worth`, all boards grown by `grown_m`?
struct TreeQuestion {
  Worth worth = 0;         ///< known to be possible (0 at first)
  double grown_m = 0;      ///< boards must fit when grown by this
  double tolerance_m = 0;  ///< cells that move the surface by a small part of it are not split
  double held_m = 0;  ///< prune, where that is cheap, only if a log that much larger gives no more either
  bool first_find = false;       ///< end once a pose is found
  std::uint64_t most_cells = 0;  ///< roll cells; 0: no limit
};

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
