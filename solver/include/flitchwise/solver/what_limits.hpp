#pragma once
/// What stands between a plan and one more board: where wood is missing, and what would have to change.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

#include "flitchwise/log_model.hpp"
#include "flitchwise/solver/plan.hpp"

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
    kerf,       ///< a thinner saw cut, all kinds of it
    width,      ///< narrower boards
    thickness,  ///< thinner boards
    length,     ///< shorter boards
    roll,       ///< the log may be rolled to any side
    surface     ///< the wood's surface known exactly where it is now guessed with care
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
  bool complete = false;                  ///< false: the time ended before everything was tried
};

struct WhatLimitsOptions {
  double time_limit_s = 2;  ///< for all of it, an eighth of it at most for one search; [0, 3600]
  /// Roll cells that one search may look at; one that finds nothing in them counts as no gain, so that the
  /// answer is the same on every machine that has the time. More find rarer gains. 0: no limit.
  std::uint64_t most_cells = 96;
};

constexpr double kMostLarger_m = 0.016;  ///< more wood all round than that is another log

/// Re-solves with one thing changed at a time. `plan` must be ok and come from this log. Throws BadUse if it
/// is not, or if options are out of range.
WhatLimits what_limits(const LogModel& log, const SawPlan& plan, const WhatLimitsOptions& options = {});

/// The same log with its wood (and bark) larger all round; `larger_m` >= 0.
LogModel larger(const LogModel& log, double larger_m);

}  // namespace flitchwise::solver
