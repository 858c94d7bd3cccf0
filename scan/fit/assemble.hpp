#pragma once
/// From the smooth surface to the stations of the log model: bumps of the bark, wood under the bark,
/// uncertainty.

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "scan/fit/cells.hpp"
#include "scan/fit/fit.hpp"
#include "scan/model/species.hpp"

namespace flitchwise::scan {

/// The stretch along x over which every section is whole: between the innermost points of the two end planes.
struct UsableRange {
  double begin_m = 0;
  double end_m = 0;
};

/// Directions in which plain bark lies round a knot or stub, in eighths of a turn.
class BarkRing {
 public:
  void add(double along_m, double around_m) {
    const double turn = std::atan2(around_m, along_m) / (2 * std::numbers::pi) + 0.5;
    bark_.at(static_cast<std::size_t>(turn * kParts) % kParts) = true;
  }
  std::ptrdiff_t parts() const { return std::count(bark_.begin(), bark_.end(), true); }

 private:
  static constexpr std::size_t kParts = 8;
  std::array<bool, kParts> bark_{};
};
constexpr double kRingM = 0.06;  ///< width of the bark round a knot or stub that is looked at

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

/// Knots and stubs: places where the bark stands out of the smooth surface by more than bark does. `bump_m`
/// holds, a station and an angle, the local height over the smooth surface (0 where nothing was seen).
std::vector<Knot> find_knots(const std::vector<Station>& stations, const std::vector<Eigen::VectorXd>& bump_m,
                             double bark_texture_m);

/// Adds stubs too slender for the map of heights: clusters of points that stand off the smooth surface and go
/// down to it. `heights` are all points near the log as heights over the smooth surface, without the
/// underside; on the lower side a stub counts only if plain bark lies on most sides of it. A stub on a knot
/// that is there already makes that one higher.
void add_stubs(const std::vector<SurfacePoint>& heights, double radius_m, double bark_texture_m,
               double points_a_m2, std::vector<Knot>& knots);

/// Adds knots that a look for bumps of their shape finds over the bark's own scatter: on coarse scans a knot
/// holds too few points to stand out cell by cell. On the lower side only where plain bark lies all round.
void add_broad_knots(const std::vector<SurfacePoint>& heights, double radius_m, double bark_texture_m,
                     std::vector<Knot>& knots);

}  // namespace flitchwise::scan
