#pragma once
/// The log's points as radii around a centreline, gathered in small cells.

#include <vector>

#include "scan/find/isolate.hpp"
#include "scan/fit/centreline.hpp"
#include "scan/fit/smooth_surface.hpp"

namespace flitchwise::scan {

/// A point as place along the log, angle around it and distance from its centreline.
struct SurfacePoint {
  double x_m = 0;
  double theta_rad = 0;  ///< [0, 2 pi)
  double radius_m = 0;
};

enum class Points {
  bark,  ///< those whose normal, where known, points along their radius: not the sides of bearers and stubs
  all
};

std::vector<SurfacePoint> unroll(const LogCloud& log_cloud, const LogFrame& frame,
                                 const Centreline& centreline, Points which = Points::bark);

struct CellGrid {
  double begin_m = 0;
  double step_m = 0;
  int nx = 0;
  int ntheta = 0;
  std::vector<Cell> cells;  ///< only those that hold points; by ix, then itheta
};

/// Gathers points in cells of `step_m` along the log and a 1/ntheta turn around it.
CellGrid gather(const std::vector<SurfacePoint>& points, double begin_m, double end_m, double step_m,
                int ntheta);

}  // namespace flitchwise::scan
