#pragma once
/// What a yard lacks for an order.

#include <vector>

#include "solver/allocate/allocate.hpp"

namespace flitchwise::solver {

/// What would have to be added to the yard.
struct Shortage {
  std::size_t line = 0;             ///< index in the order
  int boards = 0;                   ///< missing
  int logs = 0;                     ///< that would do; 0: no log of up to kLargestLog gives such a board
  double small_end_diameter_m = 0;  ///< of each, under bark, in steps of 10 mm
  double log_length_m = 0;          ///< of each: the board's and 50 mm of trim
};
/// Small end under bark of the thickest log that is asked for: thicker ones are seldom moved by hand. Common
/// practice, no source.
constexpr double kLargestLog_m = 0.5;

/// For every line that is short, the fewest logs that would do, and the thinnest of those: worked out by the
/// project's own search on straight round logs that taper by 10 mm of diameter a metre of length and whose
/// surface is known to 3 mm (1 sigma), as a fair scan shows it. A bowed log must be thicker. `options` are
/// those of the plans (kerfs, sigmas, pattern); the time limit and the number of nodes have no part: counted
/// cells end the search, so that the answer is the same on every machine. Throws BadUse if something is out
/// of range or the allocation is of another order.
std::vector<Shortage> shortages(const Order& order, const Allocation& allocation,
                                const SearchOptions& options = {});

}  // namespace flitchwise::solver
