#pragma once
/// A scan as the alignment sees it.

#include <Eigen/Geometry>
#include <optional>
#include <vector>

#include "scan/find/isolate.hpp"
#include "scan/pcl/pcl_registration.hpp"

namespace flitchwise::scan {

constexpr double kCoarseGrid_m = 0.05;  ///< some thousand points a scene: quick enough for a hundred guesses
constexpr double kFineGrid_m = 0.02;

/// What the alignment needs of a scan: z up, metres, about its own middle.
struct AlignView {
  Eigen::Isometry3d view_from_file = Eigen::Isometry3d::Identity();  ///< of the file's points in metres
  SurfacePoints coarse;                                              ///< the whole scene
  SurfacePoints fine;                                                ///< the whole scene
  SurfacePoints log;              ///< of `fine`; all that stands off the ground if no log was found
  SurfacePoints beside;           ///< of `fine`, what else stands off the ground: bearers, blocks, other logs
  std::vector<TrackPoint> track;  ///< of the log, if one was found
  bool has_ground = false;        ///< which says which way is up
};

/// `in_metres`: the file's points times their unit. `up`: the file's axis that points up, where it is known.
AlignView align_view(const Cloud& in_metres, const std::optional<Eigen::Vector3d>& up = std::nullopt);

/// Along the log's track, unit; zero without one.
Eigen::Vector3d axis_of(const std::vector<TrackPoint>& track);

}  // namespace flitchwise::scan
