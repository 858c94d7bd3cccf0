#pragma once
/// How the boards lie on each flitch, as it is drawn and marked, and what the whole log gives.

#include <vector>

#include "solver/setup/cut_plan.hpp"

namespace flitchwise::solver {

/// One for every flitch with boards. `cuts`: the whole cut list, for its edging cuts.
std::vector<FlitchLayout> flitch_layouts(const CutPlan& job, const std::vector<Cut>& cuts);

/// Sawdust: each cut's face times its kerf.
WoodBalance wood_balance(const LogModel& log, const CutPlan& job, const std::vector<Cut>& cuts);

}  // namespace flitchwise::solver
