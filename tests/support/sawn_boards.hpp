#pragma once
/// The cut list of a setup sheet carried out on a log's truth.

#include <cstddef>
#include <map>
#include <utility>

#include "tools/job/plan_log.hpp"
#include "tools/simulate/simulate.hpp"

namespace flitchwise::testing {

/// What comes of the listed cuts.
struct SawnBoards {
  int whole = 0;                  ///< boards that fell off at every section, of true wood all round
  int fallen = 0;                 ///< the same, wane up to a corner of 5 by 5 mm allowed
  double worst_missing_m2 = 0;    ///< of any board's section
  double worst_size_error_m = 0;  ///< thickness and width of the whole boards, stated less measured
  double worst_length_error_m =
      0;  ///< of the crosscuts: a board's length from cut to cut, or to the log's end
};

/// How far something lies off its plan along the log: linear in x. Metres.
struct Shift {
  double at_0_m = 0;
  double slope = 0;
  double at(double x_m) const { return at_0_m + slope * x_m; }
  static Shift through(double x0_m, double y0_m, double x1_m, double y1_m) {
    const double slope = (y1_m - y0_m) / (x1_m - x0_m);
    return {y0_m - slope * x0_m, slope};
  }
};

/// How the cuts come to lie on the true log against the plan. Bench frame.
struct Layout {
  Shift up;                                                   ///< of all level planes
  std::map<std::pair<std::size_t, std::size_t>, Shift> left;  ///< of the edging of a flitch's window
};

/// Saws the true log by every cut of the sheet, as they come to lie, and looks at what falls off.
SawnBoards saw_boards(const PlannedLog& planned, const simulate::Truth& truth, const Layout& layout);

}  // namespace flitchwise::testing
