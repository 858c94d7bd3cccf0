#pragma once
/// From the smooth surface to the stations of the log model: bumps of the bark, wood under the bark,
/// uncertainty.

#include <optional>
#include <vector>

#include "scan/fit/cells.hpp"
#include "scan/fit/fit.hpp"
#include "scan/model/species.hpp"

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

/// The model of the log. `bark` are the points whose normals are radial, `all` those and the rest near the
/// surface, both unrolled around the fitted centreline. The bark's thickness is the person's, else the
/// measured one, else the species', else a wide guess.
LogModel assemble(const FittedLog& fitted, const std::vector<SurfacePoint>& bark,
                  const std::vector<SurfacePoint>& all, const std::optional<BarkEstimate>& measured_bark,
                  const FitOptions& options);

}  // namespace flitchwise::scan
