#pragma once
/// First pass over a scan: how many points, where, and how their colours are written.

#include <array>
#include <cstdint>
#include <vector>

#include "scan/read/point_source.hpp"

namespace flitchwise::scan {

/// Coordinates beyond this are no measurements; it keeps every offset inside float's range (3.4e38).
constexpr double kLargestCoordinate = 1e30;

/// What thinning and precision need to know about one axis. Half of the points at most may be strays.
struct Axis {
  double median = 0;
  double extent = 0;  ///< of the middle nine tenths of the points, so that a few strays do not count
};

struct Survey {
  std::uint64_t finite = 0;   ///< points with three usable coordinates
  std::uint64_t skipped = 0;  ///< the others
  std::array<Axis, 3> axes;
  float colour_min = 0;
  float colour_max = 0;
  bool colours_whole = true;  ///< every colour number is a whole number
};

bool is_usable(double x, double y, double z);

Survey survey(const PointSource& source);

}  // namespace flitchwise::scan
