#pragma once
/// Marks on the two end faces, and the mark on the bark that says how far to roll.

#include "solver/setup/bench.hpp"
#include "solver/setup/setup.hpp"

namespace flitchwise::solver {

/// Marks of `opening` on one end face, measured where the face is: ends are rarely square. Of the sheet only
/// the rail's height and place are used.
EndMark end_mark(const BenchLog& log, const LevelPlane& opening, const SetupSheet& sheet, bool large_end,
                 double tolerance_m);

/// See BracketCheck. `half_width_m`: farthest edge of the cut from the rail's middle line.
BracketCheck bracket_check(const BenchLog& log, const LevelPlane& opening, const SetupSheet& sheet,
                           double half_width_m);

/// See SetupSheet::bark_walk_m. Both tops lie where the plumb line through the middle of the section meets
/// the bark; the way follows the wood's shape at the bark's mean thickness, as a tape does, not every lump.
double bark_walk_m(const LogModel& log, double roll_rad);

}  // namespace flitchwise::solver
