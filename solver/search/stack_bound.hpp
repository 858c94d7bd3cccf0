#pragma once
/// Upper bounds over cells of orientations: see SEARCH.md, steps 4 and 5, for why they hold.

#include <vector>

#include "solver/search/evaluate.hpp"
#include "solver/search/roll_tables.hpp"

namespace flitchwise::solver {

/// Heights at the pivot, above the line through the middles of the sections, of a layer's lower face.
struct Range {
  double low_m = 0;
  double high_m = 0;
};
/// Where layers may lie in a plan that is worth more than what is known. Evenly spaced planes: one entry, the
/// phases of the stack. Else the heights of the layers, kind by kind.
using Open = std::vector<std::vector<Range>>;

struct StackAnswer {
  bool given_up = false;  ///< out of time: nothing below holds
  Worth worth = 0;        ///< no plan in the cell is worth more
  double phase_m = 0;     ///< lower face of the lowest layer of a stack that comes up to it
  Stack stack;            ///< that stack, counted from the phase
  Open alive;             ///< what may be worth more than `enough`
};

/// What is asked of the tables' rolls and a range of pitches.
struct StackQuestion {
  Span pitch;
  const Open& open;
  double step_m = 0;    ///< layers' heights are told apart to this
  double shrunk_m = 0;  ///< every board is shrunk by this on all sides, as in a log that is larger by it
  Worth enough = 0;     ///< it ends early once the bound is no more
};

/// Most over all stacks in `open`, pitches in the cell, yaws and places along the log. Every closer look
/// drops the layers that are in no stack that still gives enough.
StackAnswer most_worth(const RollTables& tables, const StackQuestion& question);

}  // namespace flitchwise::solver
