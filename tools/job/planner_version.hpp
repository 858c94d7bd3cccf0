#pragma once
/// By what the yard knows whether a plan that it keeps is still what the program would plan.

namespace flitchwise {

/// Raised whenever a change of the program may change a plan; tests/tools/golden_plans.txt goes with it.
constexpr int kPlannerVersion = 4;

}  // namespace flitchwise
