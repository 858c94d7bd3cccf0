#pragma once
/// Thinning on a cubic grid.

#include <cstdint>
#include <vector>

#include "scan/read/cloud.hpp"

namespace flitchwise::scan {

/// The mean of the points in each occupied cell of a cubic grid with this edge (> 0, in the cloud's unit), in
/// the order in which the cells first occur. Colours are dropped. Throws BadUse if the edge is not positive.
Cloud thin(const Cloud& cloud, double edge);

/// Counts how many points fall together in cells of a cubic grid: a map from cell to a running number.
class CellIndex {
 public:
  explicit CellIndex(std::size_t expected_cells);
  /// Running number of this cell: the next free one if it is new.
  std::uint32_t find_or_add(std::int32_t x, std::int32_t y, std::int32_t z);
  std::uint32_t size() const { return static_cast<std::uint32_t>(count_); }

 private:
  void grow();
  std::vector<std::uint64_t> keys_;     // cell key + 1, 0 where free
  std::vector<std::uint32_t> numbers_;  // running number of the key beside it
  std::size_t count_ = 0;
};

}  // namespace flitchwise::scan
