#pragma once
/// What stands between a plan and one more board: where wood is missing, and what would have to change.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

#include "scan/model/log_model.hpp"
#include "solver/plan/plan.hpp"

namespace flitchwise::solver {

/// Where the next board lacks most wood, if the log is sawn as it would be in a log larger all round by the
/// least that gives one more board.
struct BindingSpot {
  double larger_m = 0;   ///< that least, to half a millimetre
  double missing_m = 0;  ///< wood that is missing at the spot, square to the centreline
  double x_m = 0;        ///< log frame
  double theta_rad = 0;  ///< direction of the spot from the centreline, log frame (as the log lies)
  double sigma_m = 0;    ///< uncertainty of the wood surface there
  bool seen = false;     ///< the scan saw the bark there
};

/// One thing done differently, all others as they are, and what the log then gives.
struct Change {
  enum class Kind {
    kerf,        ///< a thinner saw cut, all kinds of it
    width,       ///< narrower boards
    thickness,   ///< thinner boards
    length,      ///< shorter boards
    roll,        ///< the log may be rolled to any side
    confidence,  ///< fewer sigmas kept from the wood's surface, but at least kLeastConfidence
    surface      ///< the wood's surface known exactly where it is now guessed with care
  };
  Kind kind = Kind::kerf;
  std::size_t target = 0;  ///< index in SawPlan::targets, for a board's size
  double from = 0;         ///< as it is: metres; radians of the plan's roll; sigmas
  double to = 0;           ///< the nearest that gains
  int boards = 0;          ///< that the log then gives
  int boards_gained = 0;   ///< more than the plan's; may be 0 or less if values differ
  double value_gained = 0;
};

struct WhatLimits {
  std::optional<BindingSpot> next_board;  ///< empty: none within `kMostLarger_m`, or no time to look
  std::vector<Change> changes;            ///< that gain; in the order of Kind
  bool complete = false;                  ///< false: time or work ended before everything was asked
};

/// A search that finds nothing within its cells and nodes counts as no gain. More of both find rarer gains.
struct WhatLimitsOptions {
  /// For all of it, an eighth at most for one search. Long enough that nodes end it first, else the answer
  /// depends on the machine; [0, 3600]
  double time_limit_s = 30;
  std::uint64_t most_cells = 96;     ///< roll cells that one search may look at; 0: no limit
  std::uint64_t most_nodes = 60000;  ///< for all of it, a small share at most for one search; 0: no limit
};

constexpr double kMostLarger_m = 0.016;  ///< more wood all round than that is another log
constexpr double kLeastConfidence = 1;   ///< sigmas; with less many boards have wane (SEARCH.md)

/// Re-solves with one thing changed at a time. `plan` must be ok and come from this log. Throws BadUse if it
/// is not, or if options are out of range.
WhatLimits what_limits(const LogModel& log, const SawPlan& plan, const WhatLimitsOptions& options = {});

/// The same log with its wood (and bark) larger all round; `larger_m` >= 0.
LogModel larger(const LogModel& log, double larger_m);

}  // namespace flitchwise::solver
