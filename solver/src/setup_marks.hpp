#pragma once
/// Marks on the two end faces, and the mark on the bark that says how far to roll.

#include "flitchwise/solver/setup.hpp"
#include "setup_bench.hpp"

namespace flitchwise::solver {

/// Marks of `opening` on one end face, measured where the face is: ends are rarely square.
EndMark end_mark(const BenchLog& log, const LevelPlane& opening, double rail_height_m, bool large_end,
                 double tolerance_m);

/// See SetupSheet::bark_walk_m. Both tops lie where the plumb line through the middle of the section meets
/// the bark; the way follows the wood's shape at the bark's mean thickness, as a tape does, not every lump.
double bark_walk_m(const LogModel& log, double roll_rad);

}  // namespace flitchwise::solver
