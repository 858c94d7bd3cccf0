#pragma once
/// The cuts in their order, from the opening cut to the last board.

#include <string>
#include <vector>

#include "flitchwise/solver/kit.hpp"
#include "flitchwise/solver/setup.hpp"
#include "setup_rail.hpp"

namespace flitchwise::solver {

/// What the cuts are made from.
struct CutPlan {
  const BenchLog& log;
  const SawPlan& plan;
  const Kit& kit;
  const std::vector<LevelPlane>& planes;  ///< of the plan, in the bench frame
  const RailSetup& rail;                  ///< for the opening plane
  double density_kg_m3 = 0;
};

/// Opening cut; then the planes above it, from the flat face of the piece that came off; then the planes
/// below it, each from the face sawn before.
std::vector<Cut> level_cuts(const CutPlan& job);

/// For every flitch with boards: crosscuts that part its length windows and trim them, then the edging cuts
/// of each window from the left, n + 1 for n boards side by side; last the crosscuts of single boards that
/// end apart from their neighbours.
std::vector<Cut> flitch_cuts(const CutPlan& job);

}  // namespace flitchwise::solver
