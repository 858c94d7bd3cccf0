#pragma once
/// Cross-sections of the log and its boards, as someone sees them who stands before them.

#include <Eigen/Geometry>
#include <vector>

#include "scan/model/log_model.hpp"
#include "solver/plan/plan.hpp"
#include "tools/report/scene/scene.hpp"

namespace flitchwise::report {

using Corners = std::vector<Eigen::Vector2d>;

/// The log rolled, seen along its axis: the log's left is at the left hand of someone before the small end,
/// at the right hand of someone before the large end.
struct SectionView {
  double roll_rad = 0;
  bool from_large_end = false;

  /// A length to the log's left, to the right on the drawing.
  double across(double left_m) const { return from_large_end ? left_m : -left_m; }
  /// From y and z in the log frame.
  Eigen::Vector2d at(const Eigen::Vector2d& in_log_m) const;
  Corners outline(const Eigen::MatrixX2d& in_log_m) const;
};

/// Bark and wood.
void add_section(Scene& scene, const SectionView& view, const Station& station);
/// Where the board's four long edges, drawn on beyond its ends, pass x: lower left, lower right, upper right
/// and upper left as seen from the small end.
Corners board_section(const SectionView& view, const solver::Board& board, double x_m);
Eigen::AlignedBox2d box_of(const Corners& corners);
/// Least and largest x where the outline crosses the level y; empty box if it does not.
Eigen::AlignedBox1d crossing(const Corners& outline, double y_m);

}  // namespace flitchwise::report
