#pragma once
/// The cuts parallel to the opening cut.

#include <vector>

#include "solver/setup/cut_plan.hpp"

namespace flitchwise::solver {

/// Saw depth that most cuts from one sawn face to the next need, the first of them where two are as frequent;
/// that of the first target where there is but one plane.
double normal_saw_depth_m(const SawPlan& plan, const std::vector<LevelPlane>& planes);

/// Opening cut; then the planes above it, from the flat face of the piece that came off, and the planes below
/// it, each from the face sawn before: those of the top piece first, unless equal saw depths follow each
/// other more often otherwise.
std::vector<Cut> level_cuts(const CutPlan& job);

}  // namespace flitchwise::solver
