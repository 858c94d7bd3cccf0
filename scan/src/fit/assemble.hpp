#pragma once
/// From the smooth surface to the stations of the log model: bumps of the bark, wood under the bark,
/// uncertainty.

#include "fit/cells.hpp"
#include "flitchwise/scan/fit.hpp"

namespace flitchwise::scan {

/// The stretch along x over which every section is whole: between the innermost points of the two end planes.
struct UsableRange {
  double begin_m = 0;
  double end_m = 0;
};

/// What the last round of the fit leaves behind.
struct FittedLog {
  LogFrame frame;
  Centreline centreline;
  SmoothSurface surface;
  EndPlane small_end;  ///< log frame
  EndPlane large_end;
  UsableRange usable;
};

UsableRange usable_range(const SmoothSurface& surface, const Centreline& centreline,
                         const EndPlane& small_end, const EndPlane& large_end);

/// The model of the log. `points` are all points near the surface, unrolled around the fitted centreline.
LogModel assemble(const FittedLog& fitted, const std::vector<SurfacePoint>& points,
                  const FitOptions& options);

/// Knots and stubs: places where the bark stands out of the smooth surface by more than bark does. `bump_m`
/// holds, a station and an angle, the local height over the smooth surface (0 where nothing was seen).
std::vector<Knot> find_knots(const std::vector<Station>& stations, const std::vector<Eigen::VectorXd>& bump_m,
                             double bark_texture_m);

}  // namespace flitchwise::scan
