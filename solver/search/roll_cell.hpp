#pragma once
/// One piece of the tree's work: a range of rolls and the pitches that are open in it. See SEARCH.md, step 6.

#include <cstdint>
#include <optional>
#include <vector>

#include "solver/search/budget.hpp"
#include "solver/search/stack_bound.hpp"

namespace flitchwise::solver {

/// What the tree is asked: is there a pose worth more than `worth`, all boards grown by `grown_m`?
struct TreeQuestion {
  Worth worth = 0;         ///< known to be possible (0 at first)
  double grown_m = 0;      ///< boards must fit when grown by this
  double tolerance_m = 0;  ///< cells that move the surface by a small part of it are not split
  double held_m = 0;  ///< prune, where that is cheap, only if a log that much larger gives no more either
  bool first_find = false;       ///< end once a pose is found
  std::uint64_t most_cells = 0;  ///< roll cells; 0: no limit

  double leaf_m() const { return tolerance_m / 16; }  ///< cells this small are not split
};

struct PitchCell {
  Span pitch;
  Open open;
};

struct RollCell {
  Span roll;
  std::vector<PitchCell> pitches;
  double size_m = 0;  ///< pitch is split until it moves the ends by no more, the roll likewise
  Worth bound = 0;
  std::uint64_t number = 0;
};

/// What came of one roll cell.
struct Outcome {
  std::vector<PitchCell> alive;  ///< pitch cells that need a split of the roll
  std::vector<PitchCell> again;  ///< pitch cells to be looked at again, now that more boards are known
  Worth bound = 0;               ///< of the alive ones
  std::size_t unresolved = 0;    ///< cells too small to split that may still give more
  Worth unresolved_bound = 0;    ///< of cells too small to split that may still give more
  double tolerance_m = 0;        ///< for which the pruned cells are pruned
  std::uint64_t nodes = 0;
  std::optional<Pose> pose;  ///< worth more than known
  Worth worth = 0;
};

/// Splits the pitches of a cell as far as its size asks, drops those that give no more than `known`, and
/// tries a pose where most is left.
Outcome work_on(const Job& job, const TreeQuestion& question, const RollCell& cell, Worth known,
                Budget& budget);

}  // namespace flitchwise::solver
