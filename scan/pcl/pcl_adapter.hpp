#pragma once
/// The only door to PCL: our points in, our points out.

#include <Eigen/Core>
#include <cstddef>
#include <memory>
#include <optional>
#include <vector>

namespace flitchwise::scan {

using Points = std::vector<Eigen::Vector3f>;

/// Unit normal of the local plane through the neighbours within `radius_m` of each point; its sign is
/// arbitrary. Zero where PCL finds too few neighbours for a plane.
Points estimate_normals(const Points& points_m, double radius_m);

struct PlaneFit {
  Eigen::Vector3d point_m;
  Eigen::Vector3d normal;  ///< unit, sign arbitrary
  std::vector<std::size_t> inliers;
};

/// The plane with the most points within `tolerance_m` (RANSAC with a fixed seed, then least squares on its
/// inliers); its normal lies within `most_angle_rad` of `near_normal` (any if that is zero). Empty if there
/// is none.
std::optional<PlaneFit> fit_plane(const Points& points_m, double tolerance_m,
                                  const Eigen::Vector3d& near_normal, double most_angle_rad);

/// Neighbours within a radius, by PCL's k-d tree.
class NeighbourSearch {
 public:
  explicit NeighbourSearch(const Points& points_m);
  ~NeighbourSearch();
  NeighbourSearch(const NeighbourSearch&) = delete;
  NeighbourSearch& operator=(const NeighbourSearch&) = delete;
  NeighbourSearch(NeighbourSearch&&) = delete;
  NeighbourSearch& operator=(NeighbourSearch&&) = delete;

  /// Indices of the points within `radius_m` of `centre_m`, nearest first.
  std::vector<std::size_t> within(const Eigen::Vector3f& centre_m, double radius_m) const;

 private:
  struct Tree;
  std::unique_ptr<Tree> tree_;
};

}  // namespace flitchwise::scan
