#pragma once
/// The door to PCL's registration.

#include <Eigen/Geometry>
#include <memory>
#include <vector>

#include "scan/pcl/pcl_adapter.hpp"

namespace flitchwise::scan {

/// Points in metres with their unit normals (zero where unknown).
struct SurfacePoints {
  Points points_m;
  Points normals;
};

/// A point and the nearest one on the other surface.
struct Match {
  std::size_t source = 0;
  std::size_t target = 0;
};

/// How far apart the points of a pair may be.
struct Reach {
  double most_m = 0;
  double beside_m = 0;  ///< along the surface: beyond its edge, the nearest point is no counterpart
};

/// A surface that others are laid onto.
class RegistrationTarget {
 public:
  explicit RegistrationTarget(const SurfacePoints& target);
  ~RegistrationTarget();
  RegistrationTarget(const RegistrationTarget&) = delete;
  RegistrationTarget& operator=(const RegistrationTarget&) = delete;
  RegistrationTarget(RegistrationTarget&&) = delete;
  RegistrationTarget& operator=(RegistrationTarget&&) = delete;

  const SurfacePoints& points() const { return target_; }
  /// Symmetric point-to-plane ICP from a guess; pairs out of reach do not count. Gives the guess back where
  /// there are too few pairs.
  Eigen::Isometry3d refine(const SurfacePoints& source, const Eigen::Isometry3d& guess, const Reach& reach,
                           int rounds) const;
  /// The nearest target point of every source point within `reach_m`.
  std::vector<Match> matches(const SurfacePoints& source, const Eigen::Isometry3d& target_from_source,
                             double reach_m) const;

 private:
  struct Tree;
  SurfacePoints target_;
  std::unique_ptr<Tree> tree_;
};

}  // namespace flitchwise::scan
