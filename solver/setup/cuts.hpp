#pragma once
/// The cuts in their order, from the opening cut to the last board.

#include <vector>

#include "solver/setup/kit.hpp"
#include "solver/setup/rail.hpp"
#include "solver/setup/setup.hpp"

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

/// Saw depth that most cuts from one sawn face to the next need, the first of them where two are as frequent;
/// that of the first target where there is but one plane.
double normal_saw_depth_m(const SawPlan& plan, const std::vector<LevelPlane>& planes);

/// Opening cut; then the planes above it, from the flat face of the piece that came off, and the planes below
/// it, each from the face sawn before: those of the top piece first, unless equal saw depths follow each
/// other more often otherwise.
std::vector<Cut> level_cuts(const CutPlan& job);

/// For every flitch with boards, cants first: crosscuts that part its length windows; then for each window a
/// crosscut at either end, where the flitch stands out, and the edging cuts from the left, n + 1 for n boards
/// side by side. Boards that begin or end apart from their neighbours, as yawed ones do, are crosscut one by
/// one after edging. A board's end may come out up to 1 mm long. A cant is sawn in place of the edging: with
/// the rail on its supports for the first cut (its depth is lay_on_cants()'s), then from one sawn face to the
/// next.
std::vector<Cut> flitch_cuts(const CutPlan& job);

/// For the plan's shorter boards, after all others: the level cuts that take layers off the jackets, then for
/// each strip of boards side by side its crosscuts and its edging cuts, where no cut was made before. The
/// weight that comes off is not given.
std::vector<Cut> short_cuts(const CutPlan& job);

}  // namespace flitchwise::solver
