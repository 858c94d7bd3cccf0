#pragma once
/// The cuts that make the shorter boards.

#include <vector>

#include "solver/setup/cut_plan.hpp"

namespace flitchwise::solver {

/// For the plan's shorter boards, after all others: the level cuts that take layers off the jackets, then for
/// each strip of boards side by side its crosscuts and its edging cuts, where no cut was made before. Their
/// `flitch` and `window` belong to none; the weight that comes off is not given.
std::vector<Cut> short_cuts(const CutPlan& job);

}  // namespace flitchwise::solver
