#pragma once
/// The ground as a height field over its plane, so that uneven ground can be taken away from under a log.

#include <optional>
#include <vector>

#include "scan/find/orient.hpp"
#include "scan/pcl/pcl_adapter.hpp"

namespace flitchwise::scan {

class GroundSurface {
 public:
  /// From the scene's points (scan frame less `origin_m`) near the ground's plane.
  GroundSurface(const Ground& ground, const Points& points, const Eigen::Vector3d& origin_m);
  /// Height of a point (same frame as the points) above the local ground.
  double height_m(const Eigen::Vector3f& point) const;

 private:
  struct Cell;
  Eigen::Vector2i cell_of(const Eigen::Vector3d& d) const;
  Eigen::Vector3d point_m_;
  Eigen::Vector3d normal_;
  Eigen::Vector3d u_;
  Eigen::Vector3d v_;
  Eigen::Vector2i least_ = Eigen::Vector2i::Zero();
  Eigen::Vector2i size_ = Eigen::Vector2i::Zero();
  std::vector<double> offsets_m_;
};

/// Indices of the points that stand off the ground (all of them without ground).
std::vector<std::size_t> above_ground(const Points& points, const Eigen::Vector3d& origin_m,
                                      const std::optional<Ground>& ground);

}  // namespace flitchwise::scan
