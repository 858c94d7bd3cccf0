#pragma once
/// What the cuts are made from.

#include <vector>

#include "solver/setup/kit.hpp"
#include "solver/setup/rail.hpp"
#include "solver/setup/setup.hpp"

namespace flitchwise::solver {

struct CutPlan {
  const BenchLog& log;
  const SawPlan& plan;
  const Kit& kit;
  const std::vector<LevelPlane>& planes;  ///< of the plan, in the bench frame
  const RailSetup& rail;                  ///< for the opening plane
  double density_kg_m3 = 0;
};

}  // namespace flitchwise::solver
