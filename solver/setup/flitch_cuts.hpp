#pragma once
/// The cuts that make boards of the flitches.

#include <vector>

#include "solver/setup/cut_plan.hpp"

namespace flitchwise::solver {

/// For every flitch with boards, cants first: crosscuts that part its length windows; then for each window a
/// crosscut at either end, where the flitch stands out, and the edging cuts from the left, n + 1 for n boards
/// side by side. Boards that begin or end apart from their neighbours, as yawed ones do, are crosscut one by
/// one after edging. A board's end may come out up to 1 mm long. A cant is sawn in place of the edging: with
/// the rail on its supports for the first cut (its depth is lay_on_cants()'s), then from one sawn face to the
/// next.
std::vector<Cut> flitch_cuts(const CutPlan& job);

}  // namespace flitchwise::solver
