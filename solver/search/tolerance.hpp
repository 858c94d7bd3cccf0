#pragma once
/// How far a plan's marks may be off before a board is lost.

#include "scan/model/log_model.hpp"
#include "solver/plan/plan.hpp"

namespace flitchwise::solver {

/// See HeightTolerance. Takes at most a fifth of the plan's time limit, then says how far it was found to
/// hold by then, which is never less than its margin. Requires: plan.status is ok and plan came from this
/// log.
HeightTolerance height_tolerance(const LogModel& log, const SawPlan& plan);

}  // namespace flitchwise::solver
