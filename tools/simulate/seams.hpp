#pragma once
/// Scans that do not fit onto themselves: part of the log shown twice, or a step where the walk closes.

#include <cstdint>

#include "tools/simulate/scan.hpp"

namespace flitchwise::simulate {

struct SeamError {
  double doubled_m = 0;      ///< a second copy of a part of the bark stands this far off; [0, 0.2]
  double doubled_begin = 0;  ///< that part along the log, as shares of its length from the small end; [0, 1]
  double doubled_end = 1;
  double doubled_arc_rad = 1.6;  ///< and round it; (0, 2 pi]
  /// The error grows evenly round the log and jumps by this at `theta_rad`; [0, 0.2].
  double step_m = 0;
  double theta_rad = 1;  ///< middle of the doubled part, or place of the step
};

/// Moves the points of a scan of this site. Throws BadUse if a field is out of range. The same arguments give
/// the same scan.
void add_seam(ScanPoints& scan, const Site& site, const SeamError& error, std::uint64_t seed);

}  // namespace flitchwise::simulate
