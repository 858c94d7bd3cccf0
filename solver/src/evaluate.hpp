#pragma once
/// The exact worth of one pose of the stack: its boards, its margin, its plan.

#include <cstddef>
#include <map>
#include <vector>

#include "flitchwise/solver/plan.hpp"
#include "layer.hpp"

namespace flitchwise::solver {

/// How the endless family of planes lies: one of them passes through height phase_m (bench-frame z) at the
/// pivot.
struct Pose {
  double roll_rad = 0;
  double pitch = 0;
  double phase_m = 0;
};

/// Places that were found best before: layer number (0 lies right above the plane at phase_m) -> shift a
/// window.
using Shifts = std::map<int, std::vector<std::size_t>>;

/// Vertical distance of neighbouring planes: (thickness + kerf) sqrt(1 + pitch^2).
double plane_spacing_m(const Job& job, double pitch);
/// Layer number `layer` of the stack, without its kerfs.
Slab slab_of(const Job& job, const Pose& pose, int layer);

/// Boards of the whole stack when each must fit grown by `grown_m`. With `shifts`, windows stay where they
/// are. Requires: log is turned to pose.roll_rad.
int boards_at(RolledLog& log, const Pose& pose, double grown_m, const Shifts* shifts = nullptr);

/// The best place of every window in every layer that gives a board.
Shifts best_shifts(RolledLog& log, const Pose& pose, double grown_m);

/// Largest m for which the stack still gives `boards` boards when all are grown by m, to kMarginPrecision_m;
/// minus infinity unless it is above `above_m`.
double margin_at(RolledLog& log, const Pose& pose, int boards, double above_m, const Shifts& shifts);
constexpr double kMarginPrecision_m = 1e-5;

/// The layers `lowest`..`highest` of a pose as a plan: planes, flitches, boards with margins. Its status is
/// ok if it has boards; proof and message are left to the caller. Empty layers at the top and bottom are
/// dropped.
SawPlan plan_of(RolledLog& log, const Pose& pose, int lowest, int highest);
/// The numbers of the layers that may touch the wood.
struct LayerRange {
  int lowest = 0;
  int highest = 0;
};
LayerRange layers_of(const Job& job, const Pose& pose);

}  // namespace flitchwise::solver
