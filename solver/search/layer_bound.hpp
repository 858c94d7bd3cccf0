#pragma once
/// What one layer of a stack may give at most, whatever pose of a cell is taken: see SEARCH.md, step 5.

#include <cstddef>
#include <vector>

#include "solver/search/roll_tables.hpp"

namespace flitchwise::solver {

/// The poses that are bounded together, but for their rolls, which are those of the tables.
struct PoseCell {
  Span pitch;
  double shrunk_m = 0;   ///< every board is smaller by this on all sides
  double least_sec = 1;  ///< sqrt(1 + pitch^2), least and most in the cell
  double most_sec = 1;
  double spacing_slack_m = 0;  ///< what the spacings of planes may add up to over the cell's pitches
  double width_m = 0;          ///< of a lane's starts
  double most_pitch() const { return std::abs(pitch.middle) + pitch.half; }
};

/// The layers of one kind that start within `width_m` of one height.
struct Lane {
  std::ptrdiff_t step = 0;  ///< the layer starts at or above step x table step
  std::size_t slot = 0;     ///< its stretch of phases; unevenly spaced: its place in the grid of heights
  std::size_t kind = 0;
  Worth worth = 0;
};

/// What is looked at: every stride-th station, with or without the yaw.
struct Look {
  std::size_t stride = 1;
  bool yaw = false;
};

/// Sets the most that each lane may be worth. `lanes` are in the order of their kinds. False if the tables'
/// time ran out: then nothing holds.
bool count_lanes(const RollTables& tables, const PoseCell& cell, const Look& look, std::vector<Lane>& lanes);

}  // namespace flitchwise::solver
