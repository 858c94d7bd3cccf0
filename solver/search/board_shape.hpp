#pragma once
/// How the boards of a strip lie in the log.

#include <cstddef>
#include <vector>

#include "solver/plan/board_faces.hpp"
#include "solver/search/layer.hpp"

namespace flitchwise::solver {

/// One board of a strip: how it lies across.
struct Spot {
  std::size_t target = 0;  ///< index in Job::targets
  double across_m = 0;     ///< its size across the layer
  double offset_m = 0;     ///< of its middle from its group's middle, across the strip
  double middle_y_m = 0;   ///< of its group
  std::size_t chamfer = 0;
};

/// The strip's boards from the left.
std::vector<Spot> spots_of(const Job& job, const LayerKind& kind, const Strip& strip);

/// A layer of a stack that was turned by a roll.
struct LaidLayer {
  double roll_rad = 0;
  Slab slab;
  const LayerKind* kind = nullptr;
};

/// Log frame.
Corners corners_of(const Job& job, const LaidLayer& layer, const Strip& strip, const Spot& spot);

/// The angle between a board's wide face and the straight line from pith to pith, as a slope.
double grain_slope(const Job& job, const Corners& corners);

/// From the bench frame of this roll to the log frame.
Eigen::Vector3d to_log(double roll_rad, const Eigen::Vector3d& in_bench_m);

}  // namespace flitchwise::solver
