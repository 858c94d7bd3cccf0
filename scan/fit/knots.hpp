#pragma once
/// Knots and stubs that stand out of the bark.

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <vector>

#include "scan/fit/cells.hpp"
#include "scan/model/log_model.hpp"

namespace flitchwise::scan {

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
constexpr double kRing_m = 0.06;  ///< width of the bark round a knot or stub that is looked at

/// Whether two of them stand on one place, on a log of this radius.
bool same_place(const Knot& a, const Knot& b, double radius_m);

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

}  // namespace flitchwise::scan
