#pragma once
/// What is worked out beside a plan, within a given time.

#include <vector>

#include "flitchwise/log_model.hpp"
#include "flitchwise/solver/plan.hpp"
#include "report/advice.hpp"

namespace flitchwise {

/// By eye always; what limits the plan and where a cross-cut would gain within `seconds`, which may be 0.
/// It ends by counted work; only where a machine is so slow that the time ends first the answer depends on
/// it. Requires: plan.status is ok and plan came from this log.
report::Advice advise(const LogModel& log, const solver::SawPlan& plan, double seconds);

}  // namespace flitchwise
