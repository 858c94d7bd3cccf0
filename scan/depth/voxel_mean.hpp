#pragma once
/// Weighted means of points in the cells of a cubic grid.

#include <Eigen/Core>
#include <cstdint>
#include <vector>

#include "scan/read/cloud.hpp"
#include "scan/read/thin.hpp"

namespace flitchwise::scan {

/// The grid's edge doubles whenever more than the given number of cells are occupied. Depends on the points
/// and their order only.
class VoxelMean {
 public:
  /// `edge` > 0; `most` >= 8 cells.
  VoxelMean(double edge, std::size_t most) : edge_(edge), most_(most), cells_(kExpected) {}

  /// Requires: weight > 0 and the point lies within 2^20 cells of zero. `colour` may be null.
  void add(const Eigen::Vector3d& point, double weight, const Colour* colour);
  double edge() const { return edge_; }
  std::size_t size() const { return sums_.size(); }

  /// The means in the order in which their cells were first met; with colours (grey where none was given) if
  /// asked.
  Cloud cloud(bool with_colours) const;

 private:
  static constexpr std::size_t kExpected = 1U << 16U;

  struct Sum {
    Eigen::Vector3d offset = Eigen::Vector3d::Zero();  // weighted, from zero
    double weight = 0;
    Eigen::Vector3f colour = Eigen::Vector3f::Zero();  // weighted
    float colour_weight = 0;
  };
  Sum& sum_of_cell(const Eigen::Vector3d& point);
  void coarsen();

  double edge_;
  std::size_t most_;
  CellIndex cells_;
  std::vector<Sum> sums_;
};

}  // namespace flitchwise::scan
