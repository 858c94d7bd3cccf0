#pragma once
/// What would stop the person at the log, in sentences.

#include <string>
#include <vector>

#include "solver/setup/cut_plan.hpp"

namespace flitchwise::solver {

/// The gravest first. `sheet` is complete but for its warnings.
std::vector<std::string> setup_warnings(const LogModel& log, const CutPlan& job, const SetupSheet& sheet);

}  // namespace flitchwise::solver
