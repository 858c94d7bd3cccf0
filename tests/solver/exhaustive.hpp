#pragma once
/// An exhaustive search for the most boards of one log, written apart from the solver: it shares nothing with
/// it but LogModel and its planning outlines. Convex outlines and one length window only.

#include "scan/model/log_model.hpp"
#include "solver/plan/plan.hpp"

namespace flitchwise::test {

struct ExhaustiveAnswer {
  int boards = 0;
  double roll_rad = 0;
  double rise_m = 0;  ///< of the planes over the whole log
};

/// Most boards over rolls (half a turn) and tilts of the planes (a rise of 10 cm each way over the whole
/// log), heights of the stack and places along the log. Rolls and tilts go from coarse (2 degrees, 8 mm) to
/// fine (a tenth of a degree, 1 mm) around the poses that promise most, those whose boards would just fit if
/// they were a little smaller included; heights are tried every millimetre in the finest round (every 2 mm
/// before).
ExhaustiveAnswer most_boards_exhaustive(const LogModel& log, const solver::Target& target,
                                        const solver::SearchOptions& search);

}  // namespace flitchwise::test
