#pragma once
/// The errors that a scanner adds to a true surface point.

#include <Eigen/Core>
#include <array>
#include <cstdint>

#include "tools/simulate/random.hpp"
#include "tools/simulate/scanner.hpp"
#include "tools/simulate/scene.hpp"

namespace flitchwise::simulate {

class ScanErrors {
 public:
  ScanErrors(const Site& site, const Scanner& scanner, std::uint64_t seed);

  /// Where the scan puts a true point (scan frame, metres) with this outward normal. `on_side`: it lies on
  /// the log's bark, where facets and the doubled surface show.
  Eigen::Vector3d measured_m(const Eigen::Vector3d& point_m, const Eigen::Vector3d& normal, bool on_side);
  /// Whether the next point floats off the surface.
  bool floats() { return random_.chance(scanner_.floater_share); }
  /// A point some cm off `point_m`.
  Eigen::Vector3d floated_m(const Eigen::Vector3d& point_m, const Eigen::Vector3d& normal);
  /// Where drift and a walk that does not close put a point: what no look at the scan alone can tell.
  Eigen::Vector3d bent_m(const Eigen::Vector3d& point_m) const;

 private:
  double facet_height_m(double x_m, double theta) const;

  const Site& site_;
  const Scanner& scanner_;
  Random random_;
  RandomField correlated_;
  double facet_phase_ = 0, facet_turn_rad_m_ = 0, facet_swell_phase_ = 0, facet_piece_m_ = 1;
  std::array<Eigen::Vector3d, 3> drift_waves_m_{};
  double doubled_theta_ = 0;
  Eigen::Vector3d doubled_offset_m_ = Eigen::Vector3d::Zero();
  double loop_start_ = 0;
  Eigen::Vector3d loop_step_m_ = Eigen::Vector3d::Zero();
};

}  // namespace flitchwise::simulate
