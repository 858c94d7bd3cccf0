#pragma once
/// What a perfect fit of a simulated scan would find, and exact answers for tests.
///
/// The log frame is the one of the whole project: origin on the chord of the centreline at the small end's
/// innermost full section, x along the chord to the large end, z as near to up as square to x allows, y = z
/// cross x. The centreline runs through the centroids of the wood sections without their knots, in planes
/// across x; its chord runs between the points where it meets the two end cuts. Metres and radians.

#include <Eigen/Core>
#include <cstdint>
#include <optional>
#include <vector>

#include "tools/simulate/scan.hpp"
#include "tools/simulate/scene.hpp"

namespace flitchwise::simulate {

struct TruthStation {
  double x_m = 0;
  Eigen::Vector2d centre_m = Eigen::Vector2d::Zero();  ///< y and z in the log frame
  std::vector<double> bark_radius_m;                   ///< around the centre at theta_k = 2 pi k / N
  std::vector<double> wood_radius_m;
  std::vector<char> seen;  ///< 1 where a camera sees the bark
};

struct TruthEnd {
  Eigen::Vector3d point_m = Eigen::Vector3d::Zero();  ///< where the centreline meets the cut, log frame
  Eigen::Vector3d normal = Eigen::Vector3d::UnitX();  ///< unit, out of the log
};

struct TruthOptions {
  double station_spacing_m = 0.025;  ///< [0.001, 1]
  int angles = 180;                  ///< [8, 3600]
  bool ask_cameras = true;           ///< false: `seen` stays 1, which is quicker
};

struct Truth {
  std::uint64_t seed = 0;
  PosedLog
      log;  ///< the exact surfaces: wood_depth_m, inside_wood, bark_top_below and so on, in the scan frame
  Eigen::Vector3d origin_in_scan_m = Eigen::Vector3d::Zero();
  Eigen::Matrix3d scan_from_log = Eigen::Matrix3d::Identity();  ///< columns: the log's x, y, z
  std::vector<TruthStation> stations = {};  ///< x = 0, 25 mm, ... and the last full section
  TruthEnd small_end = {};
  TruthEnd large_end = {};
  Eigen::Vector2d pith_small_end_m = Eigen::Vector2d::Zero();  ///< y and z in the log frame, on the end cuts
  Eigen::Vector2d pith_large_end_m = Eigen::Vector2d::Zero();
  std::vector<Bump> bumps = {};  ///< knots, stubs and lumps with x and theta in the log frame
  double bark_m = 0;             ///< mean over all samples
  double length_m = 0;           ///< between the two end cuts along the chord
  double usable_length_m = 0;    ///< x of the last full section

  Eigen::Vector3d to_scan(const Eigen::Vector3d& in_log_m) const;
  Eigen::Vector3d to_log(const Eigen::Vector3d& in_scan_m) const;
  /// Centre of the section at any x, worked out from the exact surface.
  Eigen::Vector2d centre_at(double x_m) const;
  /// Exact radii around any centre (y, z) inside the section at any x.
  double bark_radius_at(double x_m, const Eigen::Vector2d& centre_m, double theta) const;
  double wood_radius_at(double x_m, const Eigen::Vector2d& centre_m, double theta) const;
  /// As PosedLog's, for points in the scan frame.
  bool inside_wood(const Eigen::Vector3d& in_scan_m) const { return log.inside_wood(in_scan_m); }
  double wood_depth_m(const Eigen::Vector3d& in_scan_m) const { return log.wood_depth_m(in_scan_m); }
  std::optional<double> bark_top_below(const Eigen::Vector3d& in_scan_m, const Eigen::Vector3d& down) const {
    return log.bark_top_below(in_scan_m, down);
  }
  /// Largest distance of the centreline from the straight line between the first and last stations' centres.
  double sweep_m() const;
  /// Mean diameter over bark at a station.
  double bark_diameter_m(std::size_t station) const;
  double seen_share() const;
};

/// Works out the truth of a site as this scanner sees it.
Truth make_truth(const Site& site, const Scanner& scanner, std::uint64_t seed,
                 const TruthOptions& options = {});

}  // namespace flitchwise::simulate
