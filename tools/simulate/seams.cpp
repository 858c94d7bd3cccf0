#include "tools/simulate/seams.hpp"

#include <cmath>

#include "scan/model/errors.hpp"
#include "tools/simulate/angles.hpp"

namespace flitchwise::simulate {

namespace {

constexpr std::uint64_t kSeamStream = 801;

void check(const SeamError& error) {
  constexpr double kMost_m = 0.2;
  require(error.doubled_m >= 0 && error.doubled_m <= kMost_m && error.step_m >= 0 && error.step_m <= kMost_m,
          "simulated seam: doubled_m and step_m must lie between 0 and 0.2");
  require(error.doubled_begin >= 0 && error.doubled_end <= 1 && error.doubled_begin < error.doubled_end,
          "simulated seam: the doubled part must begin and end between 0 and 1, in this order");
  require(error.doubled_arc_rad > 0 && error.doubled_arc_rad <= kTwoPi,
          "simulated seam: doubled_arc_rad must lie above 0 and up to a whole turn");
}

}  // namespace

void add_seam(ScanPoints& scan, const Site& site, const SeamError& error, std::uint64_t seed) {
  check(error);
  Random random(seed, kSeamStream);
  const LogSurface& surface = site.log.surface;
  const Eigen::Vector3d outwards =
      site.log.scan_from_shape * Eigen::Vector3d(0, std::cos(error.theta_rad), std::sin(error.theta_rad));
  for (std::size_t i = 0; i < scan.points_m.size(); ++i) {
    const Eigen::Vector3d in_shape = site.log.to_shape(scan.points_m[i]);
    const double turn = (surface.polar(in_shape).theta - error.theta_rad) / kTwoPi;
    const double place = in_shape.x() / surface.shape().length_m;
    double off = error.step_m * (turn - std::floor(turn) - 0.5);
    const bool doubled = scan.labels[i] == Label::bark && place >= error.doubled_begin &&
                         place <= error.doubled_end &&
                         std::abs(turn - std::round(turn)) * kTwoPi < error.doubled_arc_rad / 2;
    if (error.doubled_m > 0 && doubled && random.chance(0.5)) {
      off += error.doubled_m;
    }
    scan.points_m[i] += off * outwards;
  }
}

}  // namespace flitchwise::simulate
