#pragma once
/// Collects points and keeps at most a given number: all of them while they fit, then the first in every cell
/// of a cubic grid whose edge grows as needed. Depends on the points and their order only.

#include <Eigen/Core>
#include <cstdint>
#include <vector>

#include "scan/read/cloud.hpp"

namespace flitchwise::scan {

class Thinner {
 public:
  /// `expected` points will come, of which `most` (< 2^31) may be kept. `finest_edge` > 0 is the smallest
  /// grid edge that is ever used; cells further than 2^20 of it from the origin are one.
  Thinner(Cloud& cloud, std::size_t most, std::uint64_t expected, float finest_edge);

  void add(const Eigen::Vector3f& point, const Colour* colour);
  /// Edge of the grid; 0 as long as every point was kept.
  float edge() const { return edge_; }

 private:
  void make_room();
  void coarsen(std::size_t goal);
  float edge_for(std::size_t goal) const;
  std::size_t first_slot(std::uint64_t key) const;
  std::size_t slot_of(std::uint64_t key) const;
  bool is_taken(const Eigen::Vector3f& point) const;
  bool take_cell(const Eigen::Vector3f& point);  // false if it was taken before

  Cloud& cloud_;
  std::size_t most_;
  std::uint64_t expected_;
  float finest_edge_;
  std::uint64_t added_ = 0;
  float edge_ = 0;
  double inverse_edge_ = 0;
  std::vector<std::uint64_t> cells_;  // open hash table of cell keys, 0 where free
};

}  // namespace flitchwise::scan
