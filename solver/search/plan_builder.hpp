#pragma once
/// From a pose to the plan that a person sees.

#include "solver/search/budget.hpp"
#include "solver/search/evaluate.hpp"

namespace flitchwise::solver {

/// The pose as a plan: planes, flitches, boards with margins. Its status is ok if it has boards; proof and
/// message are left to the caller. Empty layers at the top and the bottom are dropped. Once the budget's time
/// is over, strips are laid where they fit, not where they have most room.
SawPlan plan_of(RolledLog& log, const Pose& pose, const Budget* budget = nullptr);

/// Cuts that the pose takes: planes, edging cuts, crosscuts between length windows.
int cuts_of(RolledLog& log, const Pose& pose);

}  // namespace flitchwise::solver
