#pragma once
/// What would stop the person at the log.

#include <vector>

#include "solver/setup/cut_plan.hpp"

namespace flitchwise::solver {

/// The gravest first. `sheet` is complete but for its warnings.
std::vector<SetupFact> setup_facts(const LogModel& log, const CutPlan& job, const SetupSheet& sheet);

}  // namespace flitchwise::solver
