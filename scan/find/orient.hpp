#pragma once
/// From the file's own units and axes to the scan frame: metres, z up.

#include <Eigen/Core>
#include <optional>

#include "scan/model/sources.hpp"
#include "scan/read/cloud.hpp"

namespace flitchwise::scan {

struct OrientOptions {
  /// Metres a file unit. Set when the person names the file's unit or a tape measure settles the scale.
  double metres_per_unit = 1.0;
  /// Which axis of the file points up; found from the ground when empty.
  std::optional<Eigen::Vector3d> up;
};

struct Ground {
  Eigen::Vector3d point_m = Eigen::Vector3d::Zero();
  Eigen::Vector3d normal = Eigen::Vector3d::UnitZ();  ///< unit, pointing to the side of the log
};

struct OrientResult {
  Cloud cloud;  ///< metres, z up
  double scale = 1;
  Eigen::Matrix3d scan_from_file = Eigen::Matrix3d::Identity();  ///< rotation alone
  UpSource up_source;
  std::optional<Ground> ground;  ///< in the scan frame; empty if the scan shows none
};

/// Turns and scales a cloud into the scan frame. Up is, in this order: `options.up`; the file axis nearest to
/// the normal of the ground, on the side on which things stand; the ground's normal itself if it is far from
/// every axis; without ground, the axis that lets the longest extent lie level (z before y). Throws BadUse if
/// the scale is not positive or `up` has no length.
OrientResult orient(const Cloud& in_file, const OrientOptions& options = {});

}  // namespace flitchwise::scan
